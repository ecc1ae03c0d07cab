"""A gear, a tyre or a mark is told once, in the setup log or with a track run: what is on the car is what the last of
the two says. Oracle: the order in which things were written down, gone through by hand."""

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry.setup_entry import Before, new_change
from pitbench.desk.entry.track_entry import change_motor, new_track_entry, save_track_run
from pitbench.desk.entry.track_side import also_on_car
from pitbench.desk.entry.track_told import tell_log, untold
from pitbench.desk.lists.on_car import on_the_car
from pitbench.desk.lists.setup_log import open_entries
from pitbench.desk.lists.setup_since import Since
from tests.unit.desk.track_side import Season

NOW = datetime(2026, 5, 17, 14, 2)
GEARS = {"pinion": 38, "spur": 72, "internal_ratio": 1.9, "timing_mark_deg": 35, "tyre": "club rubber, set 2"}
GEARS |= {"tyre_diameter_mm": 62.6, "tyre_runs": 7}


@pytest.fixture
def season():
    season = Season()
    season.run("2026-05-17T12:00", season.today, **GEARS)
    return season


def form(season, motor="Heron"):
    return new_track_entry(season.snapshot, NOW, season.motors[motor])


def on_car(season):
    return {line.what: line.now for line in on_the_car(season.snapshot, NOW)}


def runs_with(season, entry_id):
    return [run["id"] for run in Since(season.snapshot).runs(season.book.row("setup_entry", entry_id))]


@pytest.mark.parametrize(
    ("what", "was", "now", "name", "text"),
    [
        ("pinion", "38", "39", "pinion", "39"),
        ("Pinion", "", "39T", "pinion", "39"),
        ("gearing", "", "40 / 70", "pinion", "40"),
        ("gears", "", "40/70", "spur", "70"),
        ("mark", "35", "36°", "timing_mark_deg", "36"),
        ("tyres", "set 2", "set 3", "tyre", "club rubber, set 3"),
        ("tyre", "", "soft foam", "tyre", "soft foam"),
        ("tyre diameter", "", "2.46in", "tyre_diameter_mm", "62.484"),
        ("tyres", "", "62.1 mm", "tyre_diameter_mm", "62.1"),
        ("fan", "", "yes", "fan", "yes"),
        ("pinion", "38", "one up", "pinion", "38"),  # cannot be read, so it tells nothing
        ("pinion", "38", "3900", "pinion", "38"),
        ("rear spring", "2.2", "2.4", "pinion", "38"),
    ],
)
def test_a_change_in_the_log_is_in_the_next_form(season, what, was, now, name, text):
    season.change("2026-05-17T13:00", what, season.today, "Heron", was=was or None, now=now)
    assert form(season).texts[name] == text


def test_what_was_changed_before_the_last_run_is_told_by_the_run(season):
    season.change("2026-05-17T11:00", "pinion", season.today, "Heron", now="37")
    assert form(season).texts["pinion"] == "38"


def test_the_pinion_goes_with_its_motor_and_the_spur_with_the_car(season):
    season.run("2026-05-17T12:30", season.today, "Plover", pinion=30, spur=72, timing_mark_deg=33)
    season.change("2026-05-17T13:00", "pinion", season.today, "Heron", now="39", car_id=season.car.id)
    season.change("2026-05-17T13:01", "spur", season.today, "Heron", now="70", car_id=season.car.id)
    plover, heron = form(season, "Plover").texts, form(season).texts
    assert (plover["pinion"], plover["spur"]) == ("30", "70") and (heron["pinion"], heron["spur"]) == ("39", "70")
    season.change("2026-05-17T13:02", "pinion", season.today, now="41")  # of whichever motor is in the car
    assert form(season, "Plover").texts["pinion"] == form(season).texts["pinion"] == "41"


def test_another_car_is_another_car(season):
    season.change("2026-05-17T13:00", "pinion", season.today, now="39", car_id="other car")
    assert form(season).texts["pinion"] == "38"


def test_other_tyres_bring_what_they_were_when_they_ran_last(season):
    season.change("2026-05-17T12:10", "tyres", season.today, was="set 2", now="set 3")
    assert "tyre_diameter_mm" not in form(season).texts and "tyre_runs" not in form(season).texts
    season.change("2026-05-17T12:11", "tyre diameter", season.today, now="63.0")
    assert form(season).texts["tyre_diameter_mm"] == "63"
    season.run("2026-05-17T12:20", season.today, **GEARS | {"tyre": "club rubber, set 3", "tyre_runs": 0})
    season.change("2026-05-17T12:30", "tyres", season.today, was="set 3", now="set 2")
    texts = form(season).texts
    assert [texts[name] for name in ("tyre", "tyre_diameter_mm", "tyre_runs")] == ["club rubber, set 2", "62.6", "8"]


def test_a_motor_named_in_the_form_brings_what_the_log_says_of_it(season):
    season.run("2026-05-17T12:30", season.today, "Plover", pinion=30, spur=72)
    season.change("2026-05-17T13:00", "pinion", season.today, "Plover", now="31")
    entry = form(season)
    entry.texts["motor"] = "plover"
    change_motor(entry, season.snapshot, NOW)
    assert entry.texts["pinion"] == "31"


def test_on_the_car_is_what_the_last_of_the_two_says(season):
    season.change("2026-05-17T12:30", "pinion", season.today, "Heron", was="38", now="39")
    assert on_car(season)["pinion"] == "39"
    season.run("2026-05-17T12:40", season.today, **GEARS | {"pinion": 41})
    assert on_car(season)["pinion"] == "41"
    line = next(line for line in on_the_car(season.snapshot, NOW) if line.what == "pinion")
    assert line.by_run and line.since == "today 12:40" and line.motor == "Heron"
    season.run("2026-05-17T13:00", season.today, **GEARS | {"pinion": 41})  # nothing new: since 12:40 still
    assert next(line for line in on_the_car(season.snapshot, NOW) if line.what == "pinion").since == "today 12:40"
    season.change("2026-05-17T13:10", "tyres", season.today, was="set 2", now="set 3")
    season.run("2026-05-17T13:20", season.today, **GEARS | {"pinion": 41, "tyre": "club rubber, set 3"})
    assert on_car(season)["tyres"] == "set 3" and "tyre" not in on_car(season)


def test_an_entry_begins_with_what_is_on_the_car(season):
    season.run("2026-05-17T12:40", season.today, **GEARS | {"pinion": 41})
    season.change("2026-05-17T12:50", "rear spring", season.today, now="2.4")
    for what, was in (("pinion", "41"), ("PINION", "41"), ("gears", "41/72"), ("rear spring", "2.4"), ("wing", "")):
        assert new_change(season.snapshot, NOW, what).texts["was"] == was
    change = new_change(season.snapshot, NOW, "pinion", season.motors["Plover"])
    assert change.texts["was"] == ""  # it never ran
    assert Before(season.snapshot).was(change) == ""


def test_runs_count_for_a_change_while_it_was_on_the_car(season):
    entry = season.change("2026-05-17T12:30", "pinion", season.today, "Heron", was="38", now="39")
    on_39 = season.run("2026-05-17T12:40", season.today, pinion=39)
    unsaid = season.run("2026-05-17T12:50", season.today)
    on_41 = season.run("2026-05-17T13:00", season.today, pinion=41)
    season.run("2026-05-17T13:10", season.today, pinion=39)  # put back, which is another change
    assert runs_with(season, entry) == [on_39, unsaid]
    assert open_entries(season.snapshot, on_41) == [] and len(open_entries(season.snapshot, unsaid)) == 1


def test_another_motors_pinion_ends_nothing(season):
    entry = season.change("2026-05-17T12:30", "pinion", season.today, was="38", now="39")
    first = season.run("2026-05-17T12:40", season.today, pinion=39)
    season.run("2026-05-17T12:50", season.today, "Plover", pinion=30)
    again = season.run("2026-05-17T13:00", season.today, pinion=39)
    assert runs_with(season, entry) == [first, again]


def test_a_spring_is_changed_for_every_motor_in_the_car(season):
    spring = {"car_id": season.car.id}
    entry = season.change("2026-05-17T12:30", "rear spring", season.today, "Heron", now="2.4", **spring)
    other = season.run("2026-05-17T12:40", season.today, "Plover")
    season.change("2026-05-17T12:50", "rear spring", season.today, "Plover", now="2.2", **spring)
    season.run("2026-05-17T13:00", season.today)
    assert runs_with(season, entry) == [other]


def test_what_the_form_changed_is_offered_for_the_log_and_written_as_one_action(season):
    entry = form(season)
    entry.texts |= {
        "pinion": "39",
        "timing_mark_deg": "36",
        "pack": "P9",
        "tyre_diameter_mm": "62.4",
        "laps": "20/5:00",
    }
    save_track_run(season.book, entry, NOW, ())
    run = season.book.row("track_run", entry.edits)
    found = untold(season.snapshot, run["id"])
    assert [(e["what"], e["was"], e["now"]) for e in found] == [("pinion", "38", "39"), ("timing mark", "35", "36")]
    assert tell_log(season.book, run["id"]) == "setup entry: pinion 38 to 39, timing mark 35 to 36"
    rows = season.book.rows("setup_entry")
    assert {row["written_at"] for row in rows} == {run["started_at"]} and rows[0]["motor_id"] == run["motor_id"]
    assert rows[0]["car_id"] == run["car_id"] and rows[0]["event_id"] == run["event_id"]
    assert runs_with(season, rows[0]["id"]) == [run["id"]]  # the run it was changed for counts for it
    assert untold(season.snapshot, run["id"]) == [] and tell_log(season.book, run["id"]) is None
    assert on_car(season)["pinion"] == "39"
    season.book.journal.undo()
    assert season.book.rows("setup_entry") == []


def test_what_the_log_says_already_is_not_offered(season):
    season.change("2026-05-17T13:58", "Pinion", season.today, "Heron", now="39")
    entry = form(season)
    entry.texts["laps"] = "20/5:00"  # it was on the track when that was written down
    save_track_run(season.book, entry, NOW, ())
    assert season.book.row("track_run", entry.edits)["pinion"] == 39 and untold(season.snapshot, entry.edits) == []


def test_another_motor_in_the_car_is_no_change_of_its_pinion(season):
    season.change("2026-05-01", "pinion", season.today, now="37")  # of whichever motor was in it then
    entry = form(season, "Plover")
    entry.texts |= {"pinion": "30", "spur": "70"}
    save_track_run(season.book, entry, NOW, ())
    assert [e["what"] for e in untold(season.snapshot, entry.edits)] == ["spur"]


def test_an_offer_is_called_as_the_log_calls_it(season):
    season.change("2026-05-01", "Tyres", now="set 2")
    entry = form(season)
    entry.texts["tyre"] = "club rubber, set 4"
    save_track_run(season.book, entry, NOW, ())
    assert [e["what"] for e in untold(season.snapshot, entry.edits)] == ["Tyres"]


STEPS = st.lists(st.tuples(st.sampled_from(["log", "run"]), st.integers(20, 45)), min_size=1, max_size=8)


@given(STEPS)
def test_whatever_the_order_the_last_of_the_two_is_right(steps):
    season = Season()
    for minute, (by, pinion) in enumerate(steps):
        at = f"2026-05-17T12:{minute:02d}"
        if by == "log":
            season.change(at, "pinion", season.today, "Heron", now=str(pinion))
        else:
            season.run(at, season.today, pinion=pinion)
    last = str(steps[-1][1])
    assert on_car(season)["pinion"] == last and form(season).texts["pinion"] == last
    change = new_change(season.snapshot, NOW, "pinion", season.motors["Heron"])
    assert change.texts["was"] == last


def test_what_no_field_of_a_run_tells_stands_beside_the_form(season):
    season.change("2026-05-17T12:10", "rear spring", season.today, "Heron", now="2.2", car_id=season.car.id)
    season.change("2026-05-17T12:20", "front toe", season.today, now="1°")
    season.change("2026-05-17T12:30", "Rear spring", season.today, now="2.4")
    season.change("2026-05-17T12:31", "bearings", season.today, "Heron", now="oiled")
    season.change("2026-05-17T12:32", "pinion", season.today, "Heron", now="39")
    season.change("2026-05-17T12:33", "wing", season.today, now="low", car_id="other car")
    assert also_on_car(form(season), season.snapshot) == "Rear spring 2.4, front toe 1°"
    entry = form(season)
    entry.texts["car"] = "a new one"
    assert also_on_car(entry, season.snapshot) == ""
