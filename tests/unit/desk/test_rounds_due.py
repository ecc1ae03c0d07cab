"""Which round a track run was: by the start times that were written down, else counted on. Oracle: a clock by hand."""

from datetime import datetime

import pytest

from pitbench.desk.entry.track_entry import count_on, leave_field, new_track_entry, save_track_run
from pitbench.desk.forecasting.next_start import next_start, round_due, starts_of
from tests.unit.desk.track_side import Season

TWO_DAYS = "qualifier 1 13:20, qualifier 2 14:40, main A1 17:30, main A2 11:20, main A3 12:30"
DAY = {"name": "Saltmouth", "date": "2026-05-16"}


def clock(text, day=16):
    return datetime.fromisoformat(f"2026-05-{day}T{text}")


def runs(*rounds):
    return [dict(zip(("round_kind", "round"), each.split(), strict=False)) for each in rounds]


@pytest.mark.parametrize(
    ("at", "day", "before", "due"),
    [
        ("10:00", 16, [], "practice 1"),
        ("10:40", 16, ["practice 1"], "practice 2"),
        ("13:26", 16, ["practice 1", "practice 2"], "qualifier 1"),
        ("14:41", 16, ["qualifier 1"], "qualifier 2"),  # a minute after the start of the second
        ("14:46", 16, ["qualifier 1"], "qualifier 2"),
        ("17:36", 16, ["qualifier 1"], "main A1"),  # the second was not driven
        ("17:50", 16, ["qualifier 2", "main A1"], "main A2"),
        ("11:26", 17, ["main A1"], "main A2"),
        ("12:36", 17, ["main A1", "main A2"], "main A3"),
        ("13:26", 17, ["main A3"], "main A4"),  # of yesterday's times none is due
        ("11:25", 16, ["practice 1"], "practice 2"),  # and on the first day none of the second
    ],
)
def test_a_round_follows_the_start_times(at, day, before, due):
    assert round_due({**DAY, "start_times": TWO_DAYS}, runs(*before), clock(at, day)) == due


@pytest.mark.parametrize(
    ("text", "due"),
    [
        ("main 14:30", "main"),
        ("14:30 main B", "main B"),
        ("q3 14.30", "qualifier 3"),
        ("main: 14h30", "main"),
        ("drivers' meeting 14:30", "qualifier 3"),
        ("q 13:30", "qualifier 3"),
        ("main 14:34", "qualifier 3"),  # nobody drives a main in two minutes
        ("", "qualifier 3"),
        ("main 14:30, qualifier 3 13:00", "main"),
    ],
)
def test_start_times_are_read_as_people_write_them(text, due):
    event = {"name": "Saltmouth", "date": "2026-05-17", "start_times": text}
    assert round_due(event, runs("qualifier 1", "qualifier 2"), clock("14:36", 17)) == due


def test_the_next_start_is_one_of_its_own_day():
    event = {**DAY, "start_times": TWO_DAYS}
    assert [start.round for start in starts_of(event, clock("09:00", 17))] == ["main A2", "main A3"]
    assert next_start(event, clock("09:00")).round == "qualifier 1"
    assert len(starts_of(event, clock("09:00", 20))) == 5  # which day that is nobody can say


@pytest.fixture
def season():
    season = Season()
    today = season.today.with_(start_times="qualifier 3 13:00, main 14:30")
    season.book.save("start times", [today])
    season.run("2026-05-17T12:00", season.today, round_kind="qualifier", round="2")
    return season


NOW = datetime(2026, 5, 17, 14, 36)


def test_the_form_says_main_after_the_main(season):
    entry = new_track_entry(season.snapshot, NOW, season.motors["Heron"])
    assert entry.texts["round"] == "main"
    entry.texts["laps"] = "20/5:00"
    save_track_run(season.book, entry, NOW, ())
    assert new_track_entry(season.snapshot, NOW.replace(minute=50), season.motors["Heron"]).texts["round"] == "main"


def test_a_time_typed_in_later_says_the_round_of_then_unless_another_was_typed(season):
    entry = new_track_entry(season.snapshot, NOW, season.motors["Heron"])
    entry.texts["time"] = "13:06"
    leave_field(entry, "time", season.snapshot, NOW)
    assert entry.texts["round"] == "qualifier 3"
    entry.texts |= {"round": "practice 9", "time": "14:35"}
    leave_field(entry, "time", season.snapshot, NOW)
    assert entry.texts["round"] == "practice 9"


def test_a_time_before_a_change_takes_what_was_on_the_car_then(season):
    season.run("2026-05-17T12:30", season.today, pinion=38)
    season.change("2026-05-17T13:30", "pinion", season.today, "Heron", now="39")
    entry = new_track_entry(season.snapshot, NOW, season.motors["Heron"])
    assert entry.texts["pinion"] == "39"
    entry.texts["time"] = "13:06"
    leave_field(entry, "time", season.snapshot, NOW)
    assert entry.texts["pinion"] == "38"
    entry.texts |= {"pinion": "40", "time": "14:35"}
    leave_field(entry, "time", season.snapshot, NOW)
    assert entry.texts["pinion"] == "40"


def test_another_event_named_has_its_own_start_times(season):
    dock = season.dock.with_(start_times="practice 4 14:00")
    season.book.save("start times", [dock])
    entry = new_track_entry(season.snapshot, NOW, season.motors["Heron"])
    entry.texts["event"] = "Oyster Dock"
    count_on(entry, season.snapshot, NOW)
    assert entry.texts["round"] == "practice 4"
    leave_field(entry, "time", season.snapshot, NOW)
    assert (entry.texts["event"], entry.texts["round"]) == ("Oyster Dock", "practice 4")
