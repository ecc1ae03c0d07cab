"""A small sample of the table of `changes`; wider than its limits by what so few changes leave to chance."""

import numpy as np
import pytest

from tests.benchmarks import changes


@pytest.mark.parametrize(
    ("name", "count"),
    [
        ("bearings, same evening", 40),
        ("bearings, next evening", 40),
        ("a car, step of 0.5 % of a lap", 60),
    ],
)
def test_intervals_hold_and_what_is_said_for_sure_is_so(name, count):
    row = changes.sample(changes.ROWS[name], count, changes.REPORTED)
    assert 0.9 - 3 * row.held_error <= row.held <= 0.985  # three standard errors of so small a sample
    assert np.isnan(row.right) or row.right >= 0.75


def test_hardly_anything_is_said_for_sure_of_what_did_next_to_nothing():
    row = changes.sample(changes.ROWS["bearings, next to nothing"], 40, changes.REPORTED)
    assert row.sure <= 0.1 and row.held >= 0.85


def test_less_current_is_told_as_help():
    told = [changes.worked_on(changes.ROWS["bearings, 8 % less current"], seed) for seed in range(20)]
    assert np.mean([each.chance for each in told]) > 0.7 and all(each.helped for each in told)
