"""The usual range of a motor's next value, against scipy's Student t, a worked example, and simulated benches."""

from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures.earlier import Usual, mean_range, usual_range

VALUES = st.lists(st.floats(3000, 5000), min_size=1, max_size=30)


@given(VALUES, st.floats(0.1, 50))
def test_the_usual_range_is_the_t_interval_of_the_pooled_deviation(values, noise):
    """σ² scaled inverse χ²(3, noise²), flat mean: the next value is t with 3 + n − 1 degrees of freedom
    (Gelman et al., Bayesian Data Analysis, 3rd ed., 3.2, from memory)."""
    n = len(values)
    squares = float(np.var(values)) * n
    pooled = sqrt((3 * noise**2 + squares) / (n + 2))
    low, high = stats.t.interval(0.9, n + 2, loc=np.mean(values), scale=pooled * sqrt(1 + 1 / n))
    usual = usual_range(values, noise)
    assert (usual.low, usual.high) == pytest.approx((low, high), rel=1e-6, abs=1e-6)
    assert usual.count == n and usual.mean == pytest.approx(np.mean(values))
    half = stats.t.ppf(0.95, n + 2) * pooled / sqrt(n)
    assert mean_range(values, noise) == pytest.approx(half, rel=1e-6)


def test_two_runs_by_hand():
    # KV 3948 and 3952 at 0.2 %: s² = (3·7.9² + 2² + 2²)/4 = 48.81, t(4) = 2.1318; 2.1318·√(48.81·1.5) = 18.24
    assert usual_range([3948, 3952], 0.2, relative=True) == Usual(
        3950, pytest.approx(3931.76, abs=0.01), pytest.approx(3968.24, abs=0.01), 2
    )
    assert mean_range([3948, 3952], 0.2, relative=True) == pytest.approx(10.53, abs=0.01)


def test_nothing_is_known_without_a_value():
    assert usual_range([], 0.2) is None and mean_range([], 0.2) is None


@given(VALUES)
def test_equal_readings_never_make_a_range_of_nothing(values):
    same = [values[0]] * len(values)
    assert usual_range(same, 0.2, relative=True).high > values[0]


@pytest.mark.parametrize("runs", [1, 2, 5])
def test_nine_in_ten_come_true(runs):
    """20,000 benches whose σ comes from the prior: the next value and the mean are covered nine times in ten."""
    rng = np.random.default_rng(7)
    covered_next = covered_mean = 0
    benches = 20_000
    sigma = np.sqrt(3 * 8.0**2 / rng.chisquare(3, benches))
    readings = rng.normal(3950, sigma[:, None], (benches, runs + 1))
    for row in readings.tolist():
        usual = usual_range(row[:-1], 8.0)
        covered_next += usual.low <= row[-1] <= usual.high
        covered_mean += abs(usual.mean - 3950) <= mean_range(row[:-1], 8.0)
    assert covered_next / benches == pytest.approx(0.9, abs=0.01)
    assert covered_mean / benches == pytest.approx(0.9, abs=0.01)
