"""The setup log: what is here, what was run last time, which runs tell about a change, what is on the car."""

import pytest

from pitbench.desk.comparing.pace import pace_of
from pitbench.desk.lists.last_time import ambient_here, last_time
from pitbench.desk.lists.on_car import car_named, on_the_car
from pitbench.desk.lists.setup_log import (
    EARLIER_HERE,
    ELSEWHERE,
    THIS_EVENT,
    SetupLine,
    SetupLog,
    open_after,
    open_entries,
)
from pitbench.desk.lists.setup_since import Since
from pitbench.desk.places import Place, here_of
from pitbench.records.models import Event, Settings
from pitbench.records.units import Units, units_of
from pitbench.words.setup import entry_words, here_words, last_time_words, on_the_car_words, since_words
from tests.unit.desk.by_hand import NOW, new_book
from tests.unit.desk.track_side import Season

MAIN = {"round_kind": "main", "round": "A", "pinion": 30, "spur": 72, "timing_mark_deg": 35}


@pytest.fixture
def season():
    season = Season()
    season.run("2026-04-12T10:30", season.april, round_kind="practice", note="cold")
    season.run(
        "2026-04-12T16:40", season.april, **MAIN, finish_reading_c=66, result="third", note="loose out of the hairpin."
    )
    season.change("2026-04-12T15:10", "rear spring", season.april, now="soft", was="medium", outcome="better")
    season.change("2026-05-03T14:30", "rotor", season.dock, "Heron", now="R2", was="R5", outcome="worse, 79 °C")
    season.change("2026-05-17T09:20", "tyres trued", season.today, now="62.5 mm", why="new set")
    season.change("2026-05-17T11:20", "pinion", season.today, "Heron", was="30", now="31", why="cool, 61 °C")
    return season


def log(season):
    return SetupLog(season.snapshot, NOW)


def last_words(snapshot, now=NOW):
    here = here_of(snapshot, now)
    return last_time_words(here, last_time(snapshot, here), now, units_of(snapshot))


def since(season, entry, pace=None):
    return since_words(Since(season.snapshot).runs(entry), Units(), pace)


def whole(season, place):
    return entry_words(log(season).detail(place), NOW, Units())


def row(season, what):
    return next(each for each in season.book.rows("setup_entry") if each["what"] == what)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        (Place("salt flats", "saltmouth"), Place("salt flats", "winter cup"), True),
        (Place("salt flats", "saltmouth"), Place("dock", "saltmouth"), False),
        (Place("", "saltmouth"), Place("salt flats", "saltmouth"), True),
        (Place("", ""), Place("", ""), False),
    ],
)
def test_here_is_the_same_track_else_the_same_name(one, other, same):
    assert one.same(other) is other.same(one) is same


def test_this_event_first_then_earlier_here_then_elsewhere_each_newest_first(season):
    found = log(season)
    assert [(row["what"], group) for row, group in zip(found.rows, found.groups, strict=True)] == [
        ("pinion", THIS_EVENT),
        ("tyres trued", THIS_EVENT),
        ("rear spring", EARLIER_HERE),
        ("rotor", ELSEWHERE),
    ]
    line = SetupLine("today 11:20", "Heron", "pinion 30 to 31", "cool, 61 °C", "open", "open", "", "Saltmouth")
    assert found.line(0) == line
    assert found.line(3).how == "worse" and found.line(2).how == "better"


@pytest.mark.parametrize(
    ("words", "hits"),
    [("", 4), ("heron", 2), ("salt flats", 3), ("open", 2), ("-open", 2), ("oyster", 1), ("2026-04", 1), ("61", 1)],
)
def test_words_narrow_the_log(season, words, hits):
    assert len(log(season).narrow(words)) == hits


def test_last_time_is_told_by_the_main_and_by_what_was_noted(season):
    here = here_of(season.snapshot, NOW)
    assert last_words(season.snapshot) == [
        "Last time at Saltmouth, 12 Apr: Heron, 30/72, mark 35°, 66 °C, third.",
        "You noted: loose out of the hairpin; bring soft springs; rear spring medium to soft: better.",
    ]
    season.run("2026-05-17T10:00", season.today, ambient_c=24)
    assert here_words(here, ambient_here(season.snapshot, here), NOW, Units()) == (
        "Saltmouth today",
        "clay, damp, ambient 24 °C",
    )


def test_temperatures_are_said_in_the_units_of_the_team(season):
    season.book.save_settings("units", Settings(id="settings", temperature_unit="F"))
    assert "151 °F" in last_words(season.snapshot)[0]


def test_an_event_that_is_over_is_the_last_time_itself(season):
    later = NOW.replace(day=20)
    assert "Last time at Saltmouth, 17 May: no track run" in last_words(season.snapshot, later)[0]


def test_first_time_at_a_track_and_no_event_at_all(season):
    season.book.save("event", [Event(name="Heather Ring", date="2026-05-17T08:00")])
    assert last_words(season.snapshot) == ["First time at Heather Ring: no earlier event here is in the logbook."]
    empty = new_book().snapshot()
    assert "No event is written down yet" in last_words(empty)[0]
    assert SetupLog(empty, NOW).rows == [] and on_the_car(empty, NOW) == []
    assert "Nothing is known of the car yet" in on_the_car_words(0, car_named(empty))


def test_runs_since_a_change_are_those_of_its_motor_and_event_until_it_was_changed_again(season):
    before = season.run("2026-05-17T11:00", season.today)
    first = season.run("2026-05-17T11:52", season.today, round_kind="qualifier", round="1", finish_reading_c=66)
    other_motor = season.run("2026-05-17T12:10", season.today, "Plover")
    second = season.run("2026-05-17T12:30", season.today, round_kind="qualifier", round="2", incident="traffic")
    season.change("2026-05-17T13:00", "Pinion", season.today, "Heron", was="31", now="32")
    after = season.run("2026-05-17T13:30", season.today)
    pinion = row(season, "pinion")
    assert [run["id"] for run in Since(season.snapshot).runs(pinion)] == [first, second]
    assert since(season, pinion) == ("Two track runs since: qualifier 1, 66 °C; qualifier 2, ! traffic.")
    told = [run["id"] for run in Since(season.snapshot).runs(row(season, "tyres trued"))]
    assert told == [before, first, other_motor, second, after]


def test_pace_stands_with_the_runs_where_it_is_known(season):
    run = season.run("2026-05-17T11:52", season.today, round_kind="qualifier", round="1", average_lap_s=14.0)
    other = season.run("2026-05-17T12:10", season.today, "Plover", average_lap_s=14.4)
    pinion, pace = row(season, "pinion"), pace_of(season.snapshot, None)
    seconds = pace.against_its_day(run).seconds
    said = since(season, pinion, pace)
    assert said.startswith(f"One track run since: qualifier 1, {seconds.mean:+.2f} ±")
    assert said.endswith(" s a lap. Minus: quicker than usual that day.") and seconds.mean < 0
    assert since(season, pinion).endswith("since: qualifier 1.")
    assert pace.against_its_day(other).seconds.mean > 0
    assert log(season).class_asked(0) == "" and log(season).class_asked(3) is None


def test_many_runs_since_are_counted_and_none_is_said(season):
    assert since(season, row(season, "pinion")) == "No track run since."
    for minute in range(5):
        season.run(f"2026-05-17T12:0{minute}", season.today)
    assert since(season, row(season, "pinion")).startswith("Five track runs since: track run; ")
    assert since(season, row(season, "pinion")).endswith("; and 2 more.")


def test_an_outcome_left_open_is_asked_for_after_the_next_run(season):
    run = season.run("2026-05-17T11:52", season.today)
    assert [e["what"] for e in open_entries(season.snapshot, run)] == ["pinion", "tyres trued"]
    assert [e["what"] for e in open_after(season.snapshot, season.motors["Heron"])] == ["pinion", "tyres trued"]
    assert open_after(season.snapshot, season.motors["Plover"]) == []
    other = season.run("2026-05-17T12:10", season.today, "Plover")
    assert [e["what"] for e in open_entries(season.snapshot, other)] == ["tyres trued"]
    assert [e["what"] for e in open_after(season.snapshot, None, season.car.id)] == ["tyres trued"]


def test_an_old_change_and_one_of_another_event_are_not_asked_for(season):
    season.change("2026-05-01", "wing", motor="Heron")
    season.change("2026-05-03T15:00", "ride height", season.dock)
    run = season.run("2026-05-17T11:52", season.today)
    assert {e["what"] for e in open_entries(season.snapshot, run)} == {"pinion", "tyres trued"}
    season.book.journal.bin("run", [("track_run", run)])
    assert open_entries(season.snapshot, run) == [] and open_entries(season.snapshot, "none") == []


def test_the_entry_in_full(season):
    season.run("2026-05-17T11:52", season.today, round_kind="qualifier", round="1", finish_reading_c=66)
    assert whole(season, 0) == (
        "PINION, Heron, Saltmouth, today 11:20",
        [
            "Was 30, now 31, why: cool, 61 °C.",
            "One track run since: qualifier 1, 66 °C.",
            "The outcome is still open: e writes it down.",
        ],
    )
    assert whole(season, 3)[1][-1] == "Outcome: worse, 79 °C."


def test_on_the_car_is_the_last_now_of_every_what(season):
    season.run("2026-05-17T11:52", season.today)
    season.change("2026-05-17T12:00", "PINION", season.today, was="31", now="32", outcome="hot")
    season.change("2026-05-17T12:05", "diff oil", season.today, now="3000", car_id="other car")
    season.change("2026-05-17T12:06", "bearings oiled", season.today)
    things = on_the_car(season.snapshot, NOW)
    assert [(t.what, t.now) for t in things][:1] == [("diff oil", "3000")]  # the newest record names the other car
    season.run("2026-05-17T12:30", season.today)
    things = on_the_car(season.snapshot, NOW)
    assert [(t.what, t.now) for t in things] == [
        ("PINION", "32"),
        ("tyres trued", "62.5 mm"),
        ("rotor", "R2"),
        ("spur", "72"),  # these two only the main of April says
        ("timing mark", "35"),
        ("rear spring", "soft"),
    ]
    assert (
        on_the_car_words(len(things), car_named(season.snapshot))
        == "On No. 4 now: 6 things, what was changed last first."
    )


def test_the_event_that_is_on_is_here_though_another_is_planned():
    from datetime import datetime

    from pitbench.desk.places import here_of
    from pitbench.records.models import Event
    from pitbench.store.logbook import Logbook

    with Logbook.in_memory() as book:
        events = [Event(name="Saltmouth", date="2026-05-16"), Event(name="Oyster Dock", date="2026-05-24")]
        book.save("events", events)
        assert here_of(book, datetime(2026, 5, 17, 14, 2)).spoken == "Saltmouth"
        planned = here_of(book, datetime(2026, 5, 20, 14, 2))
        assert (planned.spoken, planned.on) == ("Oyster Dock", True)  # the evening before, what was run there last time
        assert not here_of(book, datetime(2026, 6, 1)).on


def test_a_race_day_of_another_name_at_the_same_track_is_told_with_its_track(season):
    first = Event(name="Round one", date="2026-05-10", track="Heather Ring")
    season.book.save("events", [first, Event(name="Round two", date="2026-05-17T08:00", track="Heather Ring")])
    words = last_words(season.snapshot)
    assert words[0] == "Last time at Heather Ring, at Round one, 10 May: no track run was written down."
