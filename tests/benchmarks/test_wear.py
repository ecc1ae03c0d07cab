"""A small sample of the table of wear. Wider than the table's limits by what so few seasons leave to chance."""

from dataclasses import replace

import numpy as np
import pytest

from pitbench.figures.criteria import CURRENT, KV
from tests.benchmarks import wear
from tests.benchmarks.motor_seasons import World, draw_season, up_to

SEASONS = 16


def test_steady_motors_are_seldom_flagged_and_steps_are_found():
    """Full size: at most 5 % on any evening and at least 70 % wanted."""
    steady, stepped = (wear.sample(wear.ROWS[name], SEASONS, wear.REPORTED) for name in ("steady", "one steps"))
    assert steady.ever.value < 0.09 and steady.ever.cases > 50 and steady.steady.value <= steady.ever.value
    assert stepped.found.value > 0.55 and stepped.ever.value < 0.09
    assert 0.82 < steady.held.value < 0.96


def test_moods_alone_flag_nobody():
    quiet = World(noise=0.05, mood=4.0, motors=(6,))
    assert wear.sample(quiet, 5, wear.REPORTED).ever.value < 0.15


def test_large_changes_are_found_whatever_they_are():
    for kind in ("step", "wear"):
        assert wear.sample(World(changed=1, size=8.0, kind=kind), 5, wear.REPORTED).found.value > 0.9


def test_a_season_is_what_it_says():
    world = World(motors=(4,), evenings=(10,), runs=(2,), noise=1e-9, mood=0.0, changed=1, there=1.0)
    season = draw_season(replace(world, size=3e9), 2)
    ((motor, moved),) = season.changed.items()
    name, by = next(iter(moved.items()))
    found = season.tested.of(name)
    own = found.value[found.motor == motor]
    change = 100 * np.log(own[-1] / own[0]) if name in (KV, CURRENT) else own[-1] - own[0]
    assert change == pytest.approx(by, abs=2.0)  # warmth and timing stay
    early = up_to(season, 4).tested
    assert max(early.runs.session) == 4 and early.of(KV).run.max() == len(early.runs.motor) - 1
