"""Where one more value should lie, held against scipy's median absolute deviation."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import median_abs_deviation

from pitbench.figures.far_off import FAR, expected

VALUES = st.lists(st.floats(-1e3, 1e3), min_size=3, max_size=30)


@given(VALUES, st.floats(0.01, 10), st.floats(0, 10))
def test_the_spread_is_the_normal_mad_never_less_than_believed(values, spread, besides):
    found = expected(values, spread, besides)
    seen = max(spread, median_abs_deviation(values, scale="normal"))
    assert found.sd == pytest.approx(math.hypot(seen * math.sqrt(1 + 1 / len(values)), besides), rel=1e-3)
    assert found.centre == pytest.approx(np.median(values))


@given(st.lists(st.floats(41.9, 42.1), min_size=3, max_size=9), st.floats(60, 1e6), st.randoms())
def test_one_wild_value_is_far_off_and_moves_no_other(values, wild, shuffled):
    every = [*values, wild]
    shuffled.shuffle(every)
    found = expected(every, 0.15)
    assert found.is_far(wild) and not any(found.is_far(value) for value in values)
    off = FAR * found.sd
    assert not found.is_far(found.centre + 0.999 * off) and found.is_far(found.centre - 1.001 * off)


def test_of_two_nobody_can_tell_which_is_wrong():
    assert expected([42.0, 24.1], 0.15) is None and expected([], 0.15) is None
    split = expected([42.0, 42.0, 24.0, 24.0], 0.15)
    assert not split.is_far(42.0) and not split.is_far(24.0)
