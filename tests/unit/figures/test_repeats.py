"""How many runs tell two motors apart; the published example stands in tests/reference."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures.repeats import readings, runs_to_tell


@given(st.floats(0.3, 4), st.floats(0.005, 0.3), st.floats(0.01, 0.5), st.integers(1, 200))
def test_readings_with_scipys_quantiles(shift, false_alarm, missed, freedom):
    z = stats.norm.isf(false_alarm) + stats.norm.isf(missed)
    t = stats.t.isf(false_alarm, freedom) + stats.t.isf(missed, freedom)
    assert readings(shift, false_alarm, missed) == pytest.approx((z / shift) ** 2)
    assert readings(shift, false_alarm, missed, freedom) == pytest.approx((t / shift) ** 2)


@given(st.floats(0.7, 6))
def test_runs_are_the_first_that_their_own_t_allows(difference):
    """Two means of n readings differ with √(2/n)·σ, known to 2n − 2 degrees of freedom: scipy's t, number by number."""
    needed = {
        n: (2 / difference**2) * (stats.t.isf(0.1, 2 * n - 2) + stats.t.isf(0.2, 2 * n - 2)) ** 2 for n in range(2, 33)
    }
    assert runs_to_tell(difference) == next((n for n, enough in needed.items() if enough <= n), None)


@pytest.mark.parametrize("difference", [1.0, 1.25, 2.0])
def test_two_motors_that_far_apart_are_told_in_four_of_five_evenings(difference):
    """And two equal ones in one of ten: Student's t on simulated runs."""
    runs = runs_to_tell(difference)
    rng = np.random.default_rng(runs)
    one, other = rng.standard_normal((2, 20_000, runs))
    point = stats.t.ppf(0.9, 2 * runs - 2)
    t = (other.mean(axis=1) + difference - one.mean(axis=1)) / np.sqrt(
        (one.var(axis=1, ddof=1) + other.var(axis=1, ddof=1)) / runs
    )
    assert 0.78 < np.mean(t > point) < 0.93  # whole runs overshoot
    equal = t - difference / np.sqrt((one.var(axis=1, ddof=1) + other.var(axis=1, ddof=1)) / runs)
    assert np.mean(equal > point) == pytest.approx(0.1, abs=0.01)


def test_never_less_than_two_and_none_beyond_reason():
    assert runs_to_tell(50.0) == 2
    assert runs_to_tell(0.05) is None
