"""Tables of variance of unbalanced layouts against scipy and statsmodels; published tables stand in tests/reference."""

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as smf
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.anova import anova_lm

from pitbench.figures.anova import Line, table


@given(st.integers(0, 10_000), st.floats(0, 1e6))
def test_one_way_of_unequal_groups(seed, level):
    rng = np.random.default_rng(seed)
    group = np.concatenate([[0, 0, 1], rng.integers(0, 4, 12)])
    value = level + rng.normal(0, 1, group.size) + group
    made = table(value, group)
    expected = stats.f_oneway(*(value[group == g] - level for g in np.unique(group)))
    assert made.terms[0].mean_square / made.within.mean_square == pytest.approx(expected.statistic, rel=1e-6)


@settings(max_examples=15)
@given(st.integers(0, 10_000))
@pytest.mark.filterwarnings("ignore:The design matrix is rank-deficient")
def test_nested_groups_of_unequal_size(seed):
    """Sessions within motors, as logbooks have them."""
    rng = np.random.default_rng(seed)
    motor = np.concatenate([np.arange(3).repeat(4), rng.integers(0, 3, 8)])
    session = 10 * motor + np.concatenate([np.tile([0, 0, 1, 1], 3), rng.integers(0, 2, 8)])
    value = rng.normal(50, 1, motor.size) + motor
    made = table(value, motor, session)
    fitted = smf.ols("y ~ C(motor) + C(session)", pd.DataFrame({"y": value, "motor": motor, "session": session})).fit()
    squares = anova_lm(fitted, typ=1)["sum_sq"]
    assert made.terms[0].squares == pytest.approx(squares["C(motor)"], rel=1e-9)
    assert made.within.squares == pytest.approx(squares["Residual"], rel=1e-9)
    assert [line.freedom for line in (*made.terms, made.within)] == [2, 3, 14]


@given(st.lists(st.tuples(st.floats(-1e3, 1e3), st.integers(0, 3)), min_size=1, max_size=12))
def test_the_lines_add_up_to_the_whole(pairs):
    value, group = (np.array(each) for each in zip(*pairs, strict=True))
    made = table(value, group)
    assert made.terms[0].squares + made.within.squares == pytest.approx(((value - value.mean()) ** 2).sum(), abs=1e-6)
    assert made.terms[0].freedom + made.within.freedom == value.size - 1


def test_one_value_has_no_freedom():
    assert table([5.0], [0]).within == Line(0.0, 0)
