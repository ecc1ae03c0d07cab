"""A small sample of the calibration table. Wider than the table's limits by what so few days leave to chance."""

import numpy as np
import pytest

from tests.benchmarks import calibration
from tests.benchmarks.bench_days import World, draw_day

DAYS = 120


@pytest.mark.parametrize("name", ["stated priors, 2 runs", "stated priors, 5 runs", "motors alike, 2 runs"])
def test_stated_chances_come_true(name):
    row = calibration.sample(name, DAYS, calibration.REPORTED)
    assert 0.84 <= row.score <= 0.95
    assert 0.82 <= row.lead <= 0.96
    assert 0.84 <= row.figures <= 0.95
    assert row.error < 0.08
    assert row.right > 0.85


@pytest.mark.parametrize("name", ["tester twice as noisy, 5 runs", "one run 8 sigma off, 3 runs"])
def test_a_bad_tester_and_a_bad_reading_are_borne(name):
    row = calibration.sample(name, DAYS // 2, calibration.REPORTED)
    assert row.score > 0.80 and row.figures > 0.80


@pytest.mark.parametrize("name", ["identical pair, 2 runs", "identical pair, 5 runs"])
def test_identical_motors_are_seldom_told_apart(name):
    assert calibration.sample(name, DAYS, calibration.REPORTED).clear <= 0.08


def test_the_error_of_chances_is_what_it_should_be():
    rng = np.random.default_rng(0)
    stated = rng.uniform(0, 1, 50_000)
    honest = calibration.calibration_error(zip(stated, rng.uniform(0, 1, 50_000) < stated, strict=True))
    boastful = calibration.calibration_error((0.9, each) for each in rng.uniform(0, 1, 20_000) < 0.6)
    assert honest < 0.02 and boastful == pytest.approx(0.3, abs=0.02)


def test_identical_motors_are_identical_and_a_day_is_the_same_every_time():
    day = draw_day(World(motors=(2,), identical=True), 5)
    assert day.true_score() == pytest.approx([0, 0])
    again = draw_day(World(motors=(2,), identical=True), 5)
    assert all(np.array_equal(day.tested.of(name).value, again.tested.of(name).value) for name in day.tested.readings)
