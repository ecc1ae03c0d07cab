"""A small sample of the table of typing errors, wider by what so few logbooks leave to chance."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tests.benchmarks import track_typing_errors
from tests.benchmarks.typed_tracks import TrackWorld
from tests.benchmarks.typed_worlds import World, draw, slip
from tests.benchmarks.typing_errors import REPORTED, run_world
from tests.benchmarks.waiting_numbers import FIRST, waiting

BOOKS = 2


def test_errors_are_found_repairs_are_right_and_right_rows_are_let_pass():
    """Full size: at least 95 % found, 95 % of the repairs right, under 0.5 % of right rows doubted."""
    count = run_world(World("usual"), range(REPORTED, REPORTED + BOOKS))
    errors = count.errors
    assert errors["after two errors"] > 40
    assert errors["after two found"] > 0.9 * errors["after two errors"]
    assert errors["after two right"] > 0.85 * errors["after two offered"]
    assert count.flagged <= 1 and 0.5 < np.std(count.z) < 1.3


def test_before_two_runs_the_class_tells():
    count = run_world(World("first runs", sessions=(1, 1), runs=(1, 2), motors=(6, 8)), range(BOOKS))
    assert count.errors["before two found"] > 0.85 * count.errors["before two errors"] > 10


def test_what_is_far_off_waits_and_what_is_right_does_not():
    """Full size: 88 % of what is more than twenty sd off waits, and of 7812 rows as they were read none."""
    found = waiting(World("usual"), range(FIRST, FIRST + 6))
    assert found["over 20 waits"] >= 0.5 * found["over 20"] > 0
    assert found["as read"] > 100 and found["as read waits"] == 0


def test_of_track_runs_too():
    """Full size: 98 % found, 98 % of the repairs right, no right row in two hundred doubted."""
    count = track_typing_errors.run_world(TrackWorld("usual"), range(REPORTED, REPORTED + 5))
    errors = count.errors
    assert errors["errors"] > 60 and errors["found"] > 0.92 * errors["errors"]
    assert errors["right"] > 0.85 * errors["offered"] > 20
    assert count.flagged <= 1 and 0.3 < np.std(count.z) < 1.3


@given(st.integers(0, 500))
def test_a_slip_changes_a_number_and_nothing_else(seed):
    book = draw(World("any", sessions=(1, 1), motors=(1, 2)), seed)
    assert all(
        float(text) == run[name]
        for run, texts in zip(book.runs, book.texts, strict=True)
        for name, text in texts.items()
    )
    made = slip(World("any"), np.random.default_rng(seed), book.texts[0])
    if made is not None:
        kind, changed = made
        assert kind and 0 < len(changed) <= 2
        assert any(float(text) != book.runs[0][name] for name, text in changed.items())
