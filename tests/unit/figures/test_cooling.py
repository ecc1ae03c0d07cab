"""Finish temperatures from readings and the cool-down clock, against the law, brute force and bad input."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures.clock import COOL_WITHIN_K, can_at, ready_after
from pitbench.figures.cooling import CanReadings, finish, guessed, learn
from pitbench.figures.delays import learn_delays
from pitbench.figures.rest_grid import FAST_S, FASTER, SLOWING, Curves
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
    log_slow, share = np.log(PRIOR.curves.slow_s), PRIOR.curves.share
    assert np.exp(PRIOR.weight @ log_slow) == pytest.approx(480, rel=0.05)  # some fast ones would be slower
    assert np.sqrt(PRIOR.weight @ np.log(PRIOR.curves.slow_s / 480) ** 2) == pytest.approx(0.6, abs=0.05)
    assert PRIOR.weight @ share == pytest.approx(0, abs=0.01)
    assert np.sqrt(PRIOR.weight @ share**2) == pytest.approx(0.3, abs=0.015)


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
    left = rest.weight @ rest.curves.left(500.0)
    assert rest.runs == 8 and left == pytest.approx(np.exp(-440 / 330), rel=0.06)
    late = CanReadings([420.0], [25 + 45 * np.exp(-360 / 330)], 25.0)
    assert finish(late, rest).temp_c == pytest.approx(70, abs=3)
    assert finish(late, rest).doubt_k < finish(late, PRIOR).doubt_k / 1.5


def test_readings_noisy_as_believed_are_told_with_honest_doubt():
    """Runs at rest drawn from the priors, read at known times: nine finishes in ten lie within their doubt."""
    rng = np.random.default_rng(11)
    held = []
    for _ in range(600):
        slow, fast = 480 * np.exp(0.6 * rng.standard_normal()), rng.choice(FAST_S)
        fast = min(fast, FASTER * slow)
        curve = Curves(*(np.array(each) for each in (slow, fast, 0.3 * rng.standard_normal(), rng.choice(SLOWING))))
        rise = 45 + 25 * rng.standard_normal()
        after = [rng.uniform(30, 200), rng.uniform(240, 420)][: rng.integers(1, 3)]
        run = CanReadings(after, [25 + rise * curve.left(t) + rng.standard_normal() for t in after], 25.0)
        spread = can_at(finish(run, PRIOR), [60.0, 900.0])
        truths = 25 + rise, 25 + rise * curve.left(900.0)
        held.append([each.low90 <= truth <= each.high90 for each, truth in zip(spread, truths, strict=True)])
    assert np.all(np.abs(np.mean(held, axis=0) - 0.9) < 0.03)


def test_readings_that_tell_nothing():
    assert not finish(CanReadings([60.0], [20.0], 25.0), PRIOR).told
    hour_late = finish(CanReadings([3600.0], [27.0], 25.0), PRIOR)
    assert not hour_late.told and hour_late.temp_c < 110
    assert finish(CanReadings([300.0], [50.0], 25.0), PRIOR).told


def test_one_reading_says_cool_half_an_hour_late_two_much_sooner():
    cool = 60 + 480 * np.log(45 / COOL_WITHIN_K)
    one = ready_after(finish(CanReadings([60.0], [70.0], 25.0), PRIOR))
    two = ready_after(finish(cooled(45, 480, [60.0, 300.0]), PRIOR))
    assert 20 * 60 < one - cool < 50 * 60
    assert 0 < two - cool < 0.6 * (one - cool)


def test_the_clock_runs_down_to_ambient():
    known = finish(CanReadings([60.0], [70.0], 25.0), PRIOR)
    medians = [each.median for each in can_at(known, np.arange(60.0, 7200.0, 300.0))]
    assert all(a > b for a, b in pairwise(medians)) and medians[-1] < 25.2


def test_a_can_that_was_never_warm_is_cool():
    assert ready_after(guessed(25.0, 0.5, 25.0, PRIOR)) == 0


def test_a_forecast_stands_in_for_a_reading():
    found = can_at(guessed(70.0, 4.0, 25.0, PRIOR), [60.0])[0]
    assert found.median == pytest.approx(70, abs=0.05)
    assert found.high90 - found.low90 == pytest.approx(2 * 1.645 * 4, rel=0.01)


def drawn_class(rng):
    """Two runs of one class as the priors have it, each read once, late: the readings and the true rises."""
    spread = min(0.05 + 0.15 * abs(rng.standard_normal()), 0.35)
    slow = np.sqrt(0.36 - spread**2) * rng.standard_normal()
    share = np.sqrt(0.09 - spread**2 / 4) * rng.standard_normal()
    fast, slowing, runs, rises = rng.choice(FAST_S), rng.choice(SLOWING), [], []
    for after in (240.0, 150.0):
        own = 480 * np.exp(slow + spread * rng.standard_normal())
        curve = Curves(*(np.array(each) for each in (own, fast, share + spread / 2 * rng.standard_normal(), slowing)))
        rises.append(45 + 25 * rng.standard_normal())
        runs.append(CanReadings([after], [25 + rises[-1] * curve.left(after) + rng.standard_normal()], 25.0))
    return (runs, rises) if own * FASTER > fast else drawn_class(rng)


def test_doubt_is_told_apart_what_is_a_runs_own_and_what_all_share():
    """The errors of two late readings of one class go together as far as shared_k says."""
    rng = np.random.default_rng(8)
    errors, shared, doubts = [], [], []
    for _ in range(1500):
        runs, rises = drawn_class(rng)
        late = [finish(run, PRIOR) for run in runs]
        errors.append([each.temp_c - 25 - rise for each, rise in zip(late, rises, strict=True)])
        shared.append([each.shared_k for each in late])
        doubts.append([each.doubt_k for each in late])
        assert all(each.doubt_k == pytest.approx(np.hypot(each.own_k, each.shared_k)) for each in late)
    assert np.mean(np.square(doubts)) == pytest.approx(np.mean(np.square(errors)), rel=0.15)
    assert np.prod(shared, axis=1).mean() == pytest.approx(np.prod(errors, axis=1).mean(), rel=0.25)


def test_what_more_left_means_for_a_late_reading_and_for_an_early_one():
    late, early = (finish(CanReadings([after], [60.0], 25.0), PRIOR) for after in (300.0, 60.0))
    assert late.shared_k < -2 and abs(early.shared_k) < 0.1


def test_an_unknown_delay_is_as_the_class_states_its_own():
    late = learn_delays([180.0] * 20)
    assert late.stated == 20 and 150 < late.after_s.mean() < 190
    run = CanReadings([UNKNOWN], [60.0], 25.0)
    known = finish(CanReadings([180.0], [60.0], 25.0), PRIOR)
    told = finish(run, PRIOR, late)
    assert told.temp_c == pytest.approx(known.temp_c, abs=2) and told.doubt_k > known.doubt_k
    assert finish(run, PRIOR).temp_c < told.temp_c - 5
    assert learn_delays([60.0]).after_s.max() > learn_delays([60.0] * 30).after_s.max()


def test_cool_is_said_when_nine_chances_in_ten_are_that_it_is():
    found = finish(CanReadings([60.0, 240.0], [70.0, 55.0], 25.0), learn([cooled(45, 480, [60.0, 300.0])] * 4))
    said = ready_after(found)
    draw = np.random.default_rng(3)
    way = draw.choice(found.weight.size, 20000, p=found.weight)
    rise = found.rise_k[way] + found.sd_k[way] * draw.standard_normal(way.size)
    assert np.mean(rise * found.curves.some(way).left(said) <= 3) == pytest.approx(0.9, abs=0.015)


ANY = st.tuples(st.one_of(st.just(UNKNOWN), st.floats(0, 30_000)), st.floats(-20, 250))


@given(st.lists(st.lists(ANY, min_size=1, max_size=4), min_size=1, max_size=4), st.floats(-10, 45))
def test_whatever_was_typed_something_finite_is_said(runs, ambient):
    read = [CanReadings([after for after, _ in run], [temp for _, temp in run], ambient) for run in runs]
    rest = learn(read)
    found = finish(read[0], rest)
    assert np.isfinite(
        [found.temp_c, found.doubt_k, found.own_k, found.shared_k, found.delay_k, ready_after(found), rest.noise_k]
    ).all()
    (then,) = can_at(found, [900.0])
    assert then.low90 <= then.low50 <= then.median <= then.high50 <= then.high90


def test_one_run_read_in_another_unit_does_not_turn_the_class():
    runs = [cooled(45, 480, [60.0, 300.0]) for _ in range(6)]
    wrong = CanReadings([60.0, 300.0], [158.0, 52.0], 25.0)
    right, turned = (ready_after(finish(runs[0], learn(each))) for each in (runs, [*runs, wrong]))
    assert turned == pytest.approx(right, rel=0.1)


def test_a_poor_thermometer_is_learned_from_runs_read_often():
    rng = np.random.default_rng(2)
    times = np.arange(60.0, 900.0, 90.0)
    for sd in (0.5, 1.0, 2.0):
        runs = [cooled(45, 480, times) for _ in range(6)]
        noisy = [CanReadings(run.after_s, run.temp_c + sd * rng.standard_normal(times.size), 25.0) for run in runs]
        assert learn(noisy).noise_k == pytest.approx(sd, rel=0.25)
