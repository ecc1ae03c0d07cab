"""A small sample of the tables of `advice`. Wider than their limits by what so few days leave to chance."""

import numpy as np
import pytest

from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.next_test import NextTest
from tests.benchmarks import advice
from tests.benchmarks.bench_days import draw_day

DAYS = 40


def test_following_the_advice_beats_testing_all_in_turn_and_expectations_come_true():
    row = advice.summed_up(advice.sample("2 runs each, winding not read", DAYS, advice.REPORTED))
    _, stated, of_best = row.gain
    assert stated.value > 2 * stated.error and of_best.value > 2 * of_best.error
    assert row.off.value == pytest.approx(0, abs=0.05) and row.off.cases > DAYS


@pytest.mark.parametrize("name", advice.ROWS)
def test_every_kind_of_day_can_be_followed(name):
    day = advice.followed(advice.ROWS[name], 3)
    for way in (day.before, day.advised, day.in_turn, day.with_winding):
        assert 0 < way.of_best <= way.stated + 1e-9
    assert sum(minutes for _, _, minutes, _ in day.steps) <= 30


def test_a_run_reads_no_winding_and_a_winding_reading_nothing_else():
    day = draw_day(advice.CLAMPED, 7)
    rng, now = np.random.default_rng(0), max(day.tested.runs.session)
    ran = advice.performed(day, NextTest("runs", (0, 1), 2, 8.0, 0.5, 0.6), now, rng).tested
    wound = advice.performed(day, NextTest("winding", (0, 1), 2, 28.0, 0.5, 0.6), now, rng).tested

    def more(after):
        return [after.of(name).value.size - day.tested.of(name).value.size for name in (KV, CURRENT, RESISTANCE)]

    assert more(ran) == [4, 4, 0] and more(wound) == [0, 0, 4]
