"""Finish temperatures from readings and the cool-down clock, against the law, brute force and bad input."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures import cooling
from pitbench.figures.clock import can_at, cool_after
from pitbench.figures.cooling import TAU, CanReadings, finish, guessed, learn
from pitbench.figures.spread import normal_below

UNKNOWN = float("nan")
PRIOR = learn()


def cooled(rise, tau, after, ambient=25.0):
    """Exact readings of a can that rises so much over ambient at one minute."""
    return CanReadings(list(after), [ambient + rise * np.exp(-(t - 60) / tau) for t in after], ambient)


def test_the_normal_distribution():
    z = np.linspace(-7, 7, 1001)
    assert np.abs(normal_below(z) - stats.norm.cdf(z)).max() < 2e-6


def test_without_runs_a_can_rests_as_believed():
    log_tau = np.log(cooling.TAU)
    mean = PRIOR.weight @ log_tau
    assert np.exp(mean) == pytest.approx(480, rel=1e-6)
    assert np.sqrt(PRIOR.weight @ (log_tau - mean) ** 2) == pytest.approx(0.4, abs=0.01)


def test_a_reading_at_one_minute_is_the_finish():
    found = finish(CanReadings([60.0], [70.0], 25.0), PRIOR)
    assert found.temp_c == pytest.approx(70, abs=0.05) and found.doubt_k == pytest.approx(1.0, abs=0.02)


def test_earlier_than_half_a_minute_counts_as_half_a_minute():
    early, half = (finish(CanReadings([after], [70.0], 25.0), PRIOR) for after in (5.0, 30.0))
    assert early.temp_c == half.temp_c < 70


def test_an_unknown_delay_is_about_a_minute_and_never_none():
    found = finish(CanReadings([UNKNOWN], [70.0], 25.0), PRIOR)
    assert 70 < found.temp_c < 72 and 2 < found.doubt_k < 5


@given(st.floats(250, 1000), st.floats(20, 70), st.floats(5, 38))
def test_two_readings_find_rise_and_cooling(tau, rise, ambient):
    run = cooled(rise, tau, [60.0, 400.0, 700.0], ambient)
    found = finish(run, PRIOR)
    assert found.temp_c == pytest.approx(ambient + rise, abs=0.6)
    assert can_at(found, [900.0])[0].median == pytest.approx(ambient + rise * np.exp(-840 / tau), abs=1.2)


@given(st.permutations([0, 1, 2]))
def test_the_order_of_readings_does_not_matter(order):
    after, temp = [60.0, 300.0, UNKNOWN], [70.0, 52.0, 60.0]
    found = finish(CanReadings([after[i] for i in order], [temp[i] for i in order], 25.0), PRIOR)
    assert found.temp_c == pytest.approx(finish(CanReadings(after, temp, 25.0), PRIOR).temp_c, abs=1e-9)


def test_cooling_is_learned_over_runs():
    rng = np.random.default_rng(4)
    runs = [cooled(45, 330 * np.exp(rng.normal(0, 0.05)), [60.0, 300.0, 500.0]) for _ in range(8)]
    rest = learn([*runs, CanReadings([60.0], [70.0], 25.0), CanReadings([60.0, UNKNOWN], [70.0, 60.0], 25.0)])
    median = TAU[np.searchsorted(np.cumsum(rest.weight), 0.5)]
    assert rest.runs == 8 and median == pytest.approx(330, rel=0.06)
    late = CanReadings([420.0], [25 + 45 * np.exp(-360 / 330)], 25.0)
    assert finish(late, rest).temp_c == pytest.approx(70, abs=3)
    assert finish(late, rest).doubt_k < finish(late, PRIOR).doubt_k / 1.5


def test_readings_noisy_as_believed_are_told_with_honest_doubt():
    """Runs at rest drawn from the priors, read at known times: nine finishes in ten lie within their doubt."""
    rng = np.random.default_rng(11)
    held = []
    for _ in range(600):
        tau, rise = 480 * np.exp(0.4 * rng.standard_normal()), 45 + 15 * rng.standard_normal()
        exact = cooled(rise, tau, [rng.uniform(30, 200), rng.uniform(240, 420)][: rng.integers(1, 3)])
        run = CanReadings(exact.after_s, np.array(exact.temp_c) + rng.standard_normal(len(exact.temp_c)), 25.0)
        spread = can_at(finish(run, PRIOR), [60.0, 900.0])
        truths = 25 + rise, 25 + rise * np.exp(-840 / tau)
        held.append([each.low90 <= truth <= each.high90 for each, truth in zip(spread, truths, strict=True)])
    assert np.all(np.abs(np.mean(held, axis=0) - 0.9) < 0.03)


def test_readings_that_tell_nothing():
    assert not finish(CanReadings([60.0], [20.0], 25.0), PRIOR).told
    hour_late = finish(CanReadings([3600.0], [27.0], 25.0), PRIOR)
    assert not hour_late.told and hour_late.temp_c < 110
    assert finish(CanReadings([300.0], [50.0], 25.0), PRIOR).told


def test_one_reading_tells_the_time_within_a_quarter_of_an_hour_two_much_better():
    one = cool_after(finish(CanReadings([60.0], [70.0], 25.0), PRIOR))
    two = cool_after(finish(cooled(45, 480, [60.0, 300.0]), PRIOR))
    assert 13 * 60 < (one.high90 - one.low90) / 2 < 17 * 60
    assert (two.high90 - two.low90) < (one.high90 - one.low90) / 4
    assert one.low90 < one.low50 < one.median < one.high50 < one.high90


def test_the_clock_runs_down_to_ambient():
    known = finish(CanReadings([60.0], [70.0], 25.0), PRIOR)
    medians = [each.median for each in can_at(known, np.arange(60.0, 7200.0, 300.0))]
    assert all(a > b for a, b in pairwise(medians)) and medians[-1] < 25.2


def test_a_can_that_was_never_warm_is_cool():
    assert cool_after(guessed(25.0, 0.5, 25.0, PRIOR)).median == 0


def test_a_forecast_stands_in_for_a_reading():
    found = can_at(guessed(70.0, 4.0, 25.0, PRIOR), [60.0])[0]
    assert found.median == pytest.approx(70, abs=0.05)
    assert found.high90 - found.low90 == pytest.approx(2 * 1.645 * 4, rel=0.01)
