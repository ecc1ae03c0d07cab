"""σ of a tester with its interval, and shares of the scatter; published values stand in tests/reference."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.api import OLS

from pitbench.figures.repeatability import LIMIT, clamping_spread, repeatability, shares

POSITIVE = st.floats(0.05, 5)


@given(POSITIVE, POSITIVE, st.integers(0, 10_000))
def test_the_interval_is_that_of_the_scaled_inverse_chi_squared(sigma, usual, seed):
    value = np.random.default_rng(seed).normal(0, sigma, 8)
    found = repeatability(value, [0, 0, 0, 1, 1, 2, 2, 3], usual)
    squares = sum(((value[a:b] - value[a:b].mean()) ** 2).sum() for a, b in ((0, 3), (3, 5), (5, 7)))
    posterior = stats.invgamma((4 + 3) / 2, scale=(squares + 3 * usual**2) / 2)
    assert [found.low90**2, found.high90**2] == pytest.approx(posterior.ppf([0.05, 0.95]), rel=1e-7)
    assert found.freedom == 4 and found.limit == pytest.approx(2.8 * found.sd)


@pytest.mark.parametrize(("usual", "low", "high"), [(None, 0.87, 0.93), (0.2, 0.87, 0.98)])
def test_nine_intervals_in_ten_hold_sigma(usual, low, high):
    """2,000 evenings of five motors with two runs each. With the usual σ believed and true, a little more often."""
    value = np.random.default_rng(3).normal(0, 0.2, (2000, 10))
    found = [repeatability(each, np.arange(5).repeat(2), usual) for each in value]
    assert low < np.mean([each.low90 <= 0.2 <= each.high90 for each in found]) < high


def test_the_limit_holds_the_difference_of_two_readings_nineteen_times_in_twenty():
    value = np.random.default_rng(4).normal(0, 1, (2, 50_000))
    sigma = repeatability(value.ravel(), np.zeros(100_000, dtype=int))
    assert np.mean(np.abs(value[0] - value[1]) < sigma.limit) == pytest.approx(0.95, abs=0.005)


def test_single_runs_say_nothing():
    assert repeatability([1.0, 2.0], [0, 1], 0.2) is None
    assert repeatability([3.0, 3.0], [0, 0]).sd == 0


def test_shares_of_motors_sessions_and_readings():
    """Many motors and sessions of known spread: 1.5, 0.5 and 0.2."""
    rng = np.random.default_rng(6)
    motor, session = np.repeat(np.arange(40), 60), np.tile(np.repeat(np.arange(30), 2), 40)
    value = rng.normal(0, 1.5, 40)[motor] + rng.normal(0, 0.5, 30)[session] + rng.normal(0, 0.2, motor.size)
    found = shares(value, motor, session)
    assert found.motors == pytest.approx(2.25 / 2.54, abs=0.05)
    assert found.sessions == pytest.approx(0.25 / 2.54, abs=0.04)
    assert found.reading == pytest.approx(0.04 / 2.54, abs=0.006)
    assert found.motors + found.sessions + found.reading == pytest.approx(1)


def test_shares_need_two_motors_a_repeat_and_some_scatter():
    assert shares([1.0, 2.0, 3.0], [0, 0, 0], [0, 0, 1]) is None
    assert shares([1.0, 2.0], [0, 1], [0, 0]) is None
    assert shares([1.0, 1.0, 1.0], [0, 0, 1], [0, 0, 0]) is None
    one_session = shares([1.0, 1.2, 3.0, 3.1], [0, 0, 1, 1], [7, 7, 7, 7])
    assert one_session.sessions == 0 and one_session.motors > 0.9


@given(st.integers(0, 10_000), st.floats(0, 1e6))
def test_repeats_of_unequal_groups_are_pooled(seed, level):
    """As statsmodels has what a line of group means leaves over, however far from zero they lie."""
    rng = np.random.default_rng(seed)
    group = np.concatenate([[0, 0, 1], rng.integers(0, 4, 12)])
    own = rng.normal(0, 1, group.size) + group
    judge = OLS(own, np.equal.outer(group, np.unique(group)).astype(float)).fit()
    found = repeatability(level + own, group)
    assert found.freedom == judge.df_resid
    assert found.sd == pytest.approx(judge.mse_resid**0.5, rel=1e-6)


def evenings_with_clampings(rng, motors=5, sessions=6, runs=3, clamping=0.3, sigma=0.2):
    """Values, motors and sessions, everybody in every session; motors 1.5 apart, sessions 0.4."""
    motor, session, _ = (axis.ravel() for axis in np.indices((motors, sessions, runs)))
    value = rng.normal(0, 1.5, motors)[motor] + rng.normal(0, 0.4, sessions)[session]
    value = value + rng.normal(0, clamping, (motors, sessions))[motor, session] + rng.normal(0, sigma, motor.size)
    return value, motor, session


@given(st.integers(0, 10_000))
def test_clampings_are_those_of_the_balanced_two_way_table(seed):
    """Everybody in every session: interaction sum of squares over τ² + σ²/n is χ² (Searle, Casella & McCulloch,
    Variance Components, 4.3, recalled); with the prior laid over it, on a line of its own."""
    value, motor, session = evenings_with_clampings(np.random.default_rng(seed))
    found = clamping_spread(value, motor, session, 0.2, 0.2)
    table = value.reshape(5, 6, 3).mean(axis=2)
    rest = table - table.mean(axis=0) - table.mean(axis=1, keepdims=True) + table.mean()
    tau = np.linspace(0.001, 3, 20_000)
    variance = tau**2 + 0.2**2 / 3
    density = stats.chi2(20).pdf((rest**2).sum() / variance) / variance * stats.t(4, scale=0.2).pdf(tau)
    density /= density.sum()
    ends = np.interp([0.05, 0.95], np.cumsum(density), tau)
    assert found.freedom == 20
    assert found.sd == pytest.approx(np.sqrt(density @ tau**2), rel=0.02)
    assert [found.low90, found.high90] == pytest.approx(ends, rel=0.05, abs=0.01)


def test_nine_intervals_in_ten_hold_the_spread_of_clampings():
    rng = np.random.default_rng(9)
    held = []
    for _ in range(300):
        true = abs(rng.standard_t(4)) * 0.2  # as believed
        found = clamping_spread(*evenings_with_clampings(rng, motors=4, sessions=3, clamping=true), 0.2, 0.2)
        held.append(found.low90 <= true <= found.high90)
    assert 0.85 < np.mean(held) < 0.95


def test_two_readings_clamped_anew_differ_by_less_than_the_limit():
    rng = np.random.default_rng(10)
    found = clamping_spread(*evenings_with_clampings(rng, motors=40, sessions=40, runs=2), 0.2, 0.2)
    apart = rng.normal(0, 0.3, (2, 50_000)) + rng.normal(0, 0.2, (2, 50_000))
    assert np.mean(np.abs(apart[0] - apart[1]) < found.limit(0.2)) == pytest.approx(0.95, abs=0.01)
    assert found.limit(0.0) == pytest.approx(LIMIT * found.sd)


def test_clampings_take_two_motors_in_two_sessions():
    assert clamping_spread([1.0, 2.0, 3.0, 4.0], [0, 0, 1, 1], [0, 0, 0, 0], 0.2, 0.2) is None
    assert clamping_spread([1.0, 2.0, 3.0], [0, 0, 0], [0, 1, 2], 0.2, 0.2) is None
    assert clamping_spread([1.0, 2.0, 3.0], [0, 0, 1], [0, 1, 1], 0.2, 0.2) is None
    assert clamping_spread([1.0, 2.0, 3.0, 4.3], [0, 0, 1, 1], [0, 1, 0, 1], 0.2, 0.2).freedom == 1
