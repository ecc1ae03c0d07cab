"""Wear of motors from readings to power at load, on comparisons made by hand."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.figures.comparison import draw
from pitbench.figures.criteria import CURRENT, KV
from pitbench.figures.drift import UPWARD, Drift, drift, long_enough, step_places
from pitbench.figures.session_levels import Levels
from pitbench.figures.wear import POWER, wear
from tests.unit.figures.made import compared

MOTORS, SESSIONS = 4, 8
MOTOR, SESSION = (np.repeat(each.ravel(), 2) for each in np.indices((MOTORS, SESSIONS)))
HOURS = 0.5 * SESSION


def bench(seed=0, current=0.0, kv=0.0, mood=0.0, gearing="free"):
    """Readings of four motors; motor 1 changes by so many percent from the first session to the last."""
    rng = np.random.default_rng(seed)
    course, moods = (MOTOR == 1) * SESSION / (SESSIONS - 1), mood * rng.standard_normal(SESSIONS)[SESSION]
    read = {
        KV: 3900 * np.exp((kv * course + moods + 0.15 * rng.standard_normal(MOTOR.size)) / 100),
        CURRENT: 4 * np.exp((current * course + moods + 0.8 * rng.standard_normal(MOTOR.size)) / 100),
        "resistance_mohm": np.full(MOTOR.size, 11.5),
    }
    return draw(compared(read, MOTOR, SESSION, gearing=gearing), n_draws=400)


def test_a_change_is_found_in_its_motor_and_holds_the_truth():
    found = wear(bench(current=6.0), HOURS, 0.5)
    assert {motor for motor, each in found.items() if any(f.drift for f in each.figures.values())} == {1}
    change = found[1].figures[CURRENT].change
    assert change.low90 < 6.0 < change.high90 and found[1].hours == 3.5 and found[1].sessions == SESSIONS


@pytest.mark.parametrize("seed", range(3))
def test_moods_of_evenings_are_no_drift(seed):
    found = wear(bench(seed=seed, mood=2.0), HOURS, 0.5)
    assert not any(f.drift for each in found.values() for f in each.figures.values())


def test_power_falls_by_what_the_current_takes():
    """Free gearing, P = (V − i·R)(i − I0): with i known, a percent more I0 costs I0/(i − I0) percent."""
    drawn = bench(current=10.0)
    found = wear(drawn, HOURS, 0.5)[1].figures
    low, high = drawn.power.current
    costs = found[POWER].change.mean / found[CURRENT].change.mean
    assert -4 / (low - 4) < costs < -0.5 * 4 / (high - 4)  # the drag may be less under load, where it turns slower


def test_the_chance_of_a_fall_grows_with_the_fall():
    steady, falls = (wear(bench(current=each), HOURS, 0.1)[1] for each in (0.0, 20.0))
    assert steady.falls < 0.3 < 0.9 < falls.falls and falls.power.high90 < steady.power.mean


def test_without_use_or_readings_nothing_is_said():
    assert wear(bench(), 0 * HOURS, 0.5) == {}
    no_current = compared({KV: np.full(MOTOR.size, 3900.0)}, MOTOR, SESSION)
    assert wear(draw(no_current, n_draws=40), HOURS, 0.5) == {}


def levels(values, use=None):
    n = len(values)
    use = np.arange(n, dtype=float) if use is None else np.array(use, dtype=float)
    return Levels(use, np.array(values, dtype=float), np.eye(n), np.zeros(n, dtype=np.int64), 3.0, 3)


def test_a_step_needs_use_before_it_and_two_sessions_after():
    assert drift(levels([0, 0, 0, 0, 0, 0, 0, 20]), UPWARD) is None
    found = drift(levels([0, 0, 0, 0, 0, 0, 20, 20]), UPWARD)
    assert isinstance(found, Drift) and found.since == 6 and found.change == pytest.approx(20)
    assert step_places(levels(range(6), [0, 1, 1, 1, 2, 3])) == [4]
    assert not long_enough(levels(range(3))) and not long_enough(levels(range(6), [1] * 6))


@given(st.lists(st.floats(-5, 5), min_size=4, max_size=12), st.floats(-50, 50), st.floats(0.1, 9))
def test_a_common_level_and_the_unit_of_use_change_nothing(values, by, unit):
    first, other = (
        drift(levels(values), UPWARD),
        drift(levels(np.add(values, by), unit * np.arange(len(values))), UPWARD),
    )
    assert (first is None) == (other is None)
    if first is not None:
        assert other.change == pytest.approx(first.change, abs=1e-6) and other.sd == pytest.approx(first.sd, rel=1e-6)


def test_figures_read_without_scatter_are_no_proof():
    same = bench()
    flat = replace(same.asked.of(KV), value=np.full(MOTOR.size, 3900.0))
    drawn = draw(replace(same.asked, readings=dict(same.asked.readings) | {KV: flat}), n_draws=40)
    assert all(each.figures[KV].drift is None for each in wear(drawn, HOURS, 0.5).values())
