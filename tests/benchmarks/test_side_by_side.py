"""A small sample of the table of differences side by side. Wider than the table by what so few days leave to chance."""

import numpy as np
import pytest

from pitbench.figures.criteria import CURRENT, KV
from tests.benchmarks import side_by_side, thermal_days
from tests.benchmarks.side_by_side import FINISH, IMBALANCE, PACE, POWER, SPREAD, TIMING

SEED = side_by_side.REPORTED


@pytest.mark.parametrize("name", ["stated priors, 5 runs", "clampings 1 sigma, 5 runs"])
def test_what_the_bench_tells_apart_is_apart(name):
    rows = side_by_side.sample(name, 40, SEED)
    assert {KV, CURRENT, POWER, SPREAD, IMBALANCE, TIMING} <= rows.keys()
    for figure, row in rows.items():
        assert 0.80 <= row.held.value <= 1.0, figure
        assert figure == TIMING or row.error < 0.20, figure
        assert row.wrong is None or row.wrong.value < 0.12, figure
    assert rows[TIMING].error is rows[TIMING].named is None


def test_equals_are_seldom_told_apart_and_have_no_better_one():
    rows = side_by_side.sample("identical pair, 5 runs", 25, SEED)
    assert all(row.named is None or row.named.value <= 0.16 for row in rows.values())
    assert all(row.error is None and row.wrong is None for row in rows.values())


def test_pace_and_finish_temperatures():
    pace = side_by_side.sample("pace: 12 days, 6 motors", 12, SEED)[PACE]
    heat = side_by_side.sample("heat: as drawn", 3, SEED)[FINISH]
    assert pace.held.value > 0.75 and heat.held.value > 0.50
    assert pace.wrong.value < 0.15


def test_a_motor_that_burns_more_finishes_hotter():
    """The truth that finish temperatures are held against: more winding, timing or length, more heat."""
    days: list[thermal_days.Losses] = []
    world = side_by_side.SEASONS
    thermal_days.draw(world, 1, 5, days)
    rollout, length, air = (np.full((1, 1), each) for each in (44.0, 300.0, 22.0))
    timing = np.zeros((1, world.motors))
    usual = thermal_days.mean_finishes(world, 1, 5, days[-1], rollout, length, air, timing)[0]
    of_one = timing + np.array([0.0, 2.0, 0.0])
    advanced = thermal_days.mean_finishes(world, 1, 5, days[-1], rollout, length, air, of_one)[0]
    days[-1].ohms[0, 0] *= 1.2
    more = thermal_days.mean_finishes(world, 1, 5, days[-1], rollout, length, air, timing)[0]
    longer = thermal_days.mean_finishes(world, 1, 5, days[-1], rollout, length + 60, air, timing)[0]
    assert len(days) == world.events and more[0] > usual[0] + 1.0
    assert advanced[1] > usual[1] + 1.0 and advanced[[0, 2]] == pytest.approx(usual[[0, 2]])
    assert more[1:] == pytest.approx(usual[1:]) and (longer > more).all() and 35 < usual.mean() < 110
