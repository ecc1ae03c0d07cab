"""The straight line against scipy; published lines stand in tests/reference."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures.sweep import fit_line


@given(st.integers(0, 10_000), st.integers(3, 12))
def test_slope_and_intercept(seed, count):
    rng = np.random.default_rng(seed)
    x, y = rng.uniform(30, 45, count), rng.normal(4, 1, count)
    line, expected = fit_line(x, y), stats.linregress(x, y)
    assert (line.slope, line.at(0.0)) == pytest.approx((expected.slope, expected.intercept), rel=1e-7, abs=1e-8)
    assert line.slope_doubt == pytest.approx(expected.stderr, rel=1e-7)


def test_nine_slopes_in_ten_lie_within_reach():
    """Three marks, one run each, the tester as good as believed: 2,000 sweeps."""
    rng = np.random.default_rng(8)
    x = np.array([30.0, 35.0, 40.0])
    lines = [fit_line(x, 4 + 0.08 * x + rng.normal(0, 0.04, 3), 0.04) for _ in range(2000)]
    held = [abs(line.slope - 0.08) <= line.reach * line.slope_doubt for line in lines]
    assert 0.88 < np.mean(held) < 0.97
    assert lines[0].freedom == 4


def test_two_marks_carry_a_line_only_with_a_usual_sigma():
    assert fit_line([30.0, 40.0], [4.0, 5.0], 0.04).slope == pytest.approx(0.1)
    with pytest.raises(ValueError, match="two different x"):
        fit_line([30.0, 30.0], [4.0, 5.0], 0.04)
