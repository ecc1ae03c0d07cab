"""A small sample of the tables of unseen heat. Wider than what is wanted by what so few worlds leave to chance."""

from math import erf

import numpy as np
import pytest

from tests.benchmarks import temperature, unseen_heat, unseen_heat_days
from tests.benchmarks.unseen_heat_days import ROWS, USUAL, WORLDS

SEED = temperature.REPORTED


def test_the_two_halves_have_nothing_in_common():
    chosen, reported = WORLDS["chosen"], WORLDS["reported"]
    assert not chosen.keys() & reported.keys()
    assert not any(world in chosen.values() for world in reported.values())


def test_bands_hold_in_worlds_nothing_was_chosen_on():
    found = [unseen_heat.forecasts_of(WORLDS["reported"][name], 4, SEED)[0] for name in ("heavy", "strong fan")]
    every = [one for kind in found for world in kind for one in world]
    assert 0.80 <= np.mean([one.held for one in every]) <= 0.97
    assert 0.35 <= np.mean([one.held_half for one in every]) <= 0.65
    assert np.mean([one.crps for one in every]) < 0.85 * np.mean([one.crps_mean_rise for one in every])


def test_a_fan_that_failed_is_said_after_the_first_reading_and_followed():
    found, _ = unseen_heat.forecasts_of(ROWS["fan fails before the tenth run"], 10, SEED, 9)
    before, after, later = zip(*found, strict=True)
    assert sum("something_changed" in one.flags for one in before) <= 3
    assert sum("something_changed" in one.flags for one in after) >= 7
    assert np.mean([one.held for one in [*after, *later]]) >= 0.75 > np.mean([one.held for one in before])


@pytest.mark.parametrize("name", ["main of 10 min after runs of 5", "lengths from 4 to 8 min"])
def test_other_lengths_are_borne(name):
    found, _ = unseen_heat.forecasts_of(ROWS[name], 6, SEED, 11)
    assert np.mean([one.held for world in found for one in world]) >= 0.75


def test_readings_without_a_time_are_asked_about():
    found, _ = unseen_heat.forecasts_of(ROWS["read at 150 to 240 s, never said"], 4, SEED, 11)
    assert all("delay_unknown" in world[0].flags for world in found)


def test_worlds_are_the_same_every_time_and_longer_rollout_is_hotter():
    one, read, usual = unseen_heat_days.draw(USUAL, 20, 5)
    again, _, _ = unseen_heat_days.draw(USUAL, 20, 5)
    assert np.array_equal(one.finish_true, again.finish_true)
    assert (np.diff(read, axis=1) > 0).all() and (usual > 40).all() and (usual < 50).all()
    rise = one.finish_true - one.ambient
    assert 38 < np.median(rise) < 60 and rise.min() > 8


def test_scores_are_the_textbook_ones():
    """CRPS of a normal on the grid of the benchmark against its closed form, which judges the mean rise."""
    season, _, _ = unseen_heat_days.draw(USUAL, 1, 3)
    rise = season.reading[0, :6] - season.ambient[0, :6]
    sd, mean = max(float(rise.std()), 5.0), float(season.planned[0, 6] + rise.mean())
    at = np.linspace(mean - 80, mean + 80, 40_001)
    below = 0.5 * (1 + np.vectorize(erf)((at - mean) / sd / 2**0.5))
    closed = temperature.crps_of_mean_rise(season, 0, 6)
    assert np.trapezoid((below - (at >= season.to_read[0, 6])) ** 2, at) == pytest.approx(closed, abs=0.01)
