"""A small sample of the cooling tables, and all of the real motor. Wider than their limits by what chance leaves."""

import numpy as np
import pytest

from tests.benchmarks import cooling
from tests.benchmarks.cooling import ASKED, REPORTED, outcomes, real_motor, score
from tests.benchmarks.resting_cans import KINDS, Kind, draw

USUAL = "10 runs learned, read twice"


@pytest.mark.parametrize("learned", ["3 readings", "8 readings", "every 10 s"])
def test_later_temperatures_of_a_real_motor(learned):
    """Three published heat-and-rest runs of a small brushless motor (tests/reference/real), two learned from, one
    foreseen from readings at 60 and 180 s by a thermometer of 1 K."""
    found = real_motor(cooling.LEARNED_S[learned], 1.0, 10)
    assert 0.80 <= found.held <= 0.97 and found.off_k < 1.5
    assert found.too_early <= 0.1


def test_a_thermometer_that_reads_well_is_learned_to():
    """The same motor by its thermocouple alone, which is good to a tenth of a kelvin, learned from whole records."""
    found = [real_motor(cooling.LEARNED_S[each], 0.0, 1) for each in cooling.WHOLE]
    assert 0.80 <= np.mean([each.held for each in found]) <= 0.97
    assert all(each.held >= 0.80 and each.width_k < 1.2 and each.off_k < 0.4 for each in found)


@pytest.mark.parametrize("kind", ["read at the can", "read at the skin", "under a fan"])
def test_simulated_cans(kind):
    found = score(list(outcomes(KINDS[kind], ASKED[USUAL], 12, REPORTED)))
    assert found.held.value > 0.82 and found.finish_held.value > 0.75
    assert found.not_cool.value <= 0.15 and found.too_early.value <= 0.1


def test_the_simulator_keeps_to_its_own_physics():
    """At rest a can cools to its air; heat only goes out; under a fan sooner than in still air."""
    still, fan = (draw(Kind(fan=each), 6, 2, 3) for each in (False, True))
    over = still.temp_c - still.air_c
    assert np.all(over[-1] < 4) and np.all(over[100:] > -0.01) and np.all(np.diff(over[100:], axis=0) < 0)
    assert np.all((fan.temp_c - fan.air_c)[600] < over[600])
