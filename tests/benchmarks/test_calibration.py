"""A small sample of the calibration table. Wider than the table's limits by what so few days leave to chance."""

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest

from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from tests.benchmarks import calibration, scores
from tests.benchmarks.bench_days import World, draw_day
from tests.benchmarks.kinds_of_days import ROWS

DAYS = 120
HIGHEST = 0.97
"""Where nothing happens from clamping to clamping, intervals that allow for it hold more than nine in ten."""


@pytest.mark.parametrize("name", ["stated priors, 2 runs", "clampings 1 sigma, 5 runs", "motors alike, 2 runs"])
def test_stated_chances_come_true(name):
    row = calibration.sample(name, DAYS, calibration.REPORTED)
    assert 0.82 <= row.held[calibration.LEAD].value <= 0.985
    assert all(0.84 <= row.held[name].value <= HIGHEST for name in row.held if name != calibration.LEAD)
    assert row.error < 0.08
    assert row.wrong.value < 0.15
    assert row.skill.value > 0.3


@pytest.mark.parametrize("name", ["tester twice as noisy, 5 runs", "one run 8 sigma off, 3 runs"])
def test_a_bad_tester_and_a_bad_reading_are_borne(name):
    row = calibration.sample(name, DAYS // 2, calibration.REPORTED)
    assert all(share.value > 0.80 for share in row.held.values())


@pytest.mark.parametrize("name", ["identical pair, 2 runs", "identical pair, 5 runs"])
def test_identical_motors_are_seldom_told_apart(name):
    assert calibration.sample(name, DAYS, calibration.REPORTED).clear.value <= 0.08


def test_the_error_of_chances_is_what_it_should_be():
    rng = np.random.default_rng(0)
    stated = rng.uniform(0, 1, 50_000)
    honest = scores.calibration_error(zip(stated, rng.uniform(0, 1, 50_000) < stated, strict=True))
    boastful = scores.calibration_error((0.9, each) for each in rng.uniform(0, 1, 20_000) < 0.6)
    assert honest < 0.02 and boastful == pytest.approx(0.3, abs=0.02)


def test_identical_motors_are_identical_and_a_day_is_the_same_every_time():
    day = draw_day(World(motors=(2,), identical=True), 5)
    assert day.true_score() == pytest.approx([0, 0])
    again = draw_day(World(motors=(2,), identical=True), 5)
    assert all(np.array_equal(day.tested.of(name).value, again.tested.of(name).value) for name in day.tested.readings)


@pytest.mark.parametrize("name", [name for name in ROWS if name.startswith(("clampings", "hard"))])
def test_every_kind_of_day_can_be_drawn_and_ranked(name):
    row = calibration.sample(name, 2, calibration.REPORTED)
    assert row.sets == 2 and all(0 <= share.value <= 1 for share in row.held.values())


def test_a_clamping_reads_off_in_all_its_runs_and_the_winding_typed_again_is_the_same():
    quiet = {"noise_pct": (1e-9, 1e-9, 1e-9), "motors": (3,), "sessions": (2,), "runs": 6, "session_pct": (0, 0, 0)}
    clamped = replace(ROWS["clampings 2 sigma, 5 runs"], **quiet)
    current = draw_day(clamped, 3).tested.of(CURRENT)
    level = [np.log(current.value[(current.motor == 0) & (current.session == s)]).mean() for s in (0, 1)]
    assert abs(level[0] - level[1]) > 0.02  # without clampings 0.008 at most: the timing is set anew for every run
    copied = draw_day(ROWS["hard: winding typed with every run, 5 runs"], 3).tested
    assert np.unique(copied.of(RESISTANCE).value).size == copied.n_motors < np.unique(copied.of(KV).value).size


def test_every_run_has_its_time_of_the_evening():
    in_turn, blocks = (draw_day(World(motors=(3,), sessions=(1,), blocks=each), 1) for each in (False, True))
    assert np.rint(10 * np.array(in_turn.tested.runs.hours)).tolist() == [0, 3, 1, 4, 2, 5]
    assert np.rint(10 * np.array(blocks.tested.runs.hours)).tolist() == [0, 1, 2, 3, 4, 5]


def test_scores_are_those_of_the_textbook():
    draws = np.random.default_rng(0).standard_normal((40_000, 1))
    z, normal = 0.7, NormalDist()
    closed = z * (2 * normal.cdf(z) - 1) + 2 * normal.pdf(z) - 1 / np.sqrt(np.pi)  # Gneiting & Raftery 2007, eq. 21
    assert scores.crps(draws, np.array([z])) == pytest.approx([closed], abs=0.01)
    assert scores.log_skill([(1.0, True), (0.0, False)]) == pytest.approx(np.log(2))
