"""Track runs, events, readings and settings as they are written down. Oracle: what was stored, byte for byte."""

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry.cooling_entry import read_cooling, run_to_read, save_reading
from pitbench.desk.entry.event_entry import edit_event, event_problems, new_event, save_event
from pitbench.desk.entry.half_filled import Written
from pitbench.desk.entry.settings_entry import (
    convert_texts,
    save_settings,
    settings_problems,
    settings_texts,
    units_meant,
)
from pitbench.desk.entry.track_entry import (
    change_motor,
    edit_track_entry,
    kept_texts,
    make_track_run,
    new_track_entry,
    save_track_run,
    take_texts,
)
from pitbench.desk.places import event_on
from pitbench.desk.workshop import Workshop
from pitbench.records.ids import new_id
from pitbench.records.models import BenchRun, Car, Event, Motor, Settings, TrackRun
from pitbench.records.refusal import Refusal
from pitbench.records.rounds import continued, next_round, read_round
from pitbench.records.units import Units
from pitbench.store.logbook import Logbook

NOW = datetime(2026, 5, 17, 14, 2)
IMPERIAL = Settings(temperature_unit="F", length_unit="in")
BLANK = {"motor": "Lapwing", "temp_c": "", "after_s": "", "fan": ""}


@pytest.fixture
def book():
    with Logbook.in_memory() as book:
        motors = [Motor(name="Lapwing"), Motor(name="Whio")]
        workshop = Workshop(book)
        builds = [workshop.first_build(motor.row(), {}) for motor in motors]
        bench = BenchRun(
            motor_id=motors[1].id,
            build_id=builds[1]["id"],
            taken_at="2026-05-10",
            kv_rpm_per_v=3900,
            timing_mark_deg=38,
        )
        book.save("motors", [*motors, *workshop.to_save.values(), bench, Car(name="grey car")])
        yield book


def run_of(book, **more):
    motor = book.rows("motor")[0]
    build = next(row for row in book.rows("build") if row["motor_id"] == motor["id"])
    run = TrackRun(**{"motor_id": motor["id"], "build_id": build["id"], "started_at": "2026-05-17T13:36", **more})
    book.save("a run", [run])
    return run


TEMPERATURES = st.floats(5, 119, allow_nan=False)
LENGTHS = st.floats(20, 199, allow_nan=False)


@given(TEMPERATURES, LENGTHS, st.booleans(), st.lists(st.floats(10, 60), max_size=5))
def test_an_edit_that_types_nothing_changes_nothing_in_any_unit(reading, across, imperial, laps):
    with Logbook.in_memory() as book:
        motor = Motor(name="Lapwing")
        workshop = Workshop(book)
        workshop.first_build(motor.row(), {})
        book.save("motor", [motor, *workshop.to_save.values()])
        if imperial:
            book.save_settings("units", IMPERIAL)
        run = run_of(book, finish_reading_c=reading, tyre_diameter_mm=across, lap_times_s=laps, run_time_s=301.23456)
        before = book.row("track_run", run.id)
        made, _ = make_track_run(edit_track_entry(book.snapshot(), run.id, NOW), book.snapshot(), NOW, ())
        assert made.row() == before
        again = new_track_entry(book.snapshot(), NOW)
        again.texts["laps"] = "22/5:03"
        texts = kept_texts(again, book.snapshot(), again.texts)
        draft = take_texts(new_track_entry(book.snapshot(), NOW), texts)
        kept, _ = make_track_run(draft, book.snapshot(), NOW, ())
        assert kept.tyre_diameter_mm == pytest.approx(across, abs=1e-7)
        made, _ = make_track_run(again, book.snapshot(), NOW, ())
        assert made.tyre_diameter_mm == across  # taken over to the last digit


def test_the_motor_brings_gears_and_timing_the_car_brings_its_tyres(book):
    car = book.rows("car")[0]["id"]
    whio = book.rows("motor")[1]
    on_car = {"car_id": car, "spur": 72.0, "internal_ratio": 1.9}
    own = {"pinion": 31, "timing_mark_deg": 35, "tyre": "old", "tyre_runs": 9}
    run_of(book, started_at="2026-04-12T10:00", **on_car, **own)
    whio_build = next(row["id"] for row in book.rows("build") if row["motor_id"] == whio["id"])
    of_whio = {"motor_id": whio["id"], "build_id": whio_build, "pinion": 29, "tyre": "new", "tyre_runs": 1}
    run_of(book, started_at="2026-05-17T10:00", **on_car, **of_whio)
    texts = new_track_entry(book.snapshot(), NOW, book.rows("motor")[0]["id"]).texts
    taken = [texts.get(name) for name in ("car", "pinion", "spur", "timing_mark_deg", "tyre", "tyre_runs")]
    assert taken == ["grey car", "31", "72", "35", "new", "2"]


def test_a_motor_never_on_the_track_takes_its_mark_from_the_bench(book):
    run_of(book, pinion=31, timing_mark_deg=35)
    entry = new_track_entry(book.snapshot(), NOW)
    entry.texts |= {"motor": "whio", "result": "third"}
    change_motor(entry, book.snapshot(), NOW)
    assert (entry.texts["timing_mark_deg"], entry.texts["pinion"], entry.texts["result"]) == ("38", "31", "third")


def test_hidden_fields_are_not_taken_over(book):
    run_of(book, pack="P2", pinion=31)
    book.save_settings("hide", Settings(hidden_track_fields=("pack",)))
    texts = new_track_entry(book.snapshot(), NOW).texts
    assert "pack" not in texts and texts["pinion"] == "31"


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("motor", "Lapwign", "Motor Lapwign is no motor of yours, Lapwing would be right."),
        ("laps", "22/5.03.4", "Laps and time 22/5.03.4 is no laps and time, 22/5:03.4 would be right"),
        ("time", "15:00", "Time 15:00 is still to come, this computer's clock says 2026-05-17 14:02."),
        ("round", "heat 3", "Round heat 3 is no round, practice 2, q1 or main A would be right."),
        ("event", "Saltmuoth", "Event Saltmuoth is no event of yours, F6 writes it down."),
        ("fan", "maybe", "Fan maybe must be yes or no."),
        ("pinion", "31.5", "Pinion 31.5 must be a whole number."),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(book, field, typed, sentence):
    entry = new_track_entry(book.snapshot(), NOW)
    entry.texts[field] = typed
    with pytest.raises(Refusal) as refused:
        save_track_run(book, entry, NOW, ())
    assert str(refused.value).startswith(sentence)
    assert book.rows("track_run") == []


def test_a_run_is_one_action_with_its_new_car(book):
    entry = new_track_entry(book.snapshot(), NOW)
    entry.texts["car"] = "blue car"
    assert save_track_run(book, entry, NOW, ()) == "track run of Whio"
    book.journal.undo()
    assert [row["name"] for row in book.rows("car")] == ["grey car"] and book.rows("track_run") == []


def test_rounds_count_on():
    done = [{"round_kind": "practice", "round": "1"}, {"round_kind": "practice", "round": "2"}]
    assert next_round(done) == "practice 3" and continued("qualifier", done) == "qualifier 1"
    assert read_round("q", done) == ("qualifier", "1") and read_round("Main", done) == ("main", None)
    assert next_round([*done, {"round_kind": "main", "round": "A1"}]) == "main A2"


# events


def test_the_event_that_is_on(book):
    events = [Event(name=name, date=date) for name, date in (("Old", "2026-05-10"), ("Now", "2026-05-16"))]
    book.save("events", [*events, Event(name="Next", date="2026-05-24")])
    assert event_on(book, NOW)["name"] == "Now"
    assert event_on(book, datetime(2026, 5, 20)) is None


def test_the_same_name_within_two_days_is_the_same_event(book):
    book.save("event", [Event(name="Saltmouth", date="2026-05-16")])
    entry = new_event(book, NOW, "saltmouth")
    assert "There is an event Saltmouth of 2026-05-16 already" in event_problems(entry, book.snapshot(), NOW)["event"]
    entry.texts["date"] = "2026-05-23"  # written down before it begins
    assert save_event(book, entry, NOW) == "event saltmouth"
    assert edit_event(book, entry.edits).texts["date"] == "2026-05-23"
    entry.texts["note"] = "wet"
    assert save_event(book, entry, NOW) == "edited event saltmouth"


@pytest.mark.parametrize(
    ("field", "typed", "clause"),
    [
        ("event", "", "is empty, a name would be right"),
        ("date", "2028-01-01", "is more than a year ahead"),
        ("gearing_limit", "wind", "must be none, heat, rules, gears or unknown"),
    ],
)
def test_what_no_event_has_is_said(book, field, typed, clause):
    entry = Written(new_event(book, NOW, "Saltmouth").texts | {field: typed})
    assert clause in event_problems(entry, book.snapshot(), NOW)[field]


# readings


def test_a_reading_is_of_the_newest_run_today_of_the_motor_named(book):
    run = run_of(book, run_time_s=300.0)
    run_of(book, started_at="2026-05-16T18:00")
    assert run_to_read(book, book.rows("motor")[1]["id"], NOW)["id"] == run.id
    reading = read_cooling({**BLANK, "temp_c": "41"}, book.snapshot(), NOW)
    assert reading.row == {"temp_c": 41, "after_s": 21 * 60} and not reading.problems  # 13:41 to 14:02
    whio = read_cooling({**BLANK, "motor": "Whio", "temp_c": "41"}, book.snapshot(), NOW)
    assert whio.problems["motor"] == "Motor Whio has no track run today, t writes one down."


def test_a_second_reading_at_the_same_time_is_refused(book):
    run_of(book, run_time_s=300.0)
    texts = {**BLANK, "temp_c": "66", "after_s": "1:15"}
    save_reading(book, texts, NOW, new_id())
    with pytest.raises(Refusal, match="has a reading already, another time would be right"):
        save_reading(book, texts, NOW, new_id())
    save_reading(book, {**texts, "after_s": "300", "temp_c": "165"}, NOW, new_id())
    (cooling,) = book.rows("cooling")
    assert (cooling["after_s"], cooling["temp_c"], cooling["waits"]) == (300, 165, ["temp_c"])
    save_reading(book, {**texts, "after_s": "301", "temp_c": "165"}, NOW, new_id(), {"temp_c"})
    assert [row.get("kept") for row in book.rows("cooling")] == [None, ["temp_c"]]
    assert book.rows("track_run")[0]["finish_reading_after_s"] == 75


def test_a_reading_under_a_fan_is_no_finish_reading(book):
    run_of(book, run_time_s=300.0)
    save_reading(book, {**BLANK, "temp_c": "50", "fan": "y"}, NOW, new_id())
    assert "finish_reading_c" not in book.rows("track_run")[0] and book.rows("cooling")[0]["fan"] is True


def test_fahrenheit_is_offered_in_celsius_only(book):
    run_of(book, run_time_s=300.0)
    texts = {**BLANK, "temp_c": "165"}
    assert read_cooling(texts, book.snapshot(), NOW).suspects["temp_c"].suggested == "73.9"
    book.save_settings("units", IMPERIAL)
    assert read_cooling(texts, book.snapshot(), NOW).suspects == {}
    hot = read_cooling({**texts, "temp_c": "329"}, book.snapshot(), NOW).suspects["temp_c"]
    assert (hot.sentence, hot.suggested) == ("Can 329: 23 to 248 °F is usual.", "")  # −5 and 120 °C


# settings


def test_settings_go_along_into_the_units_typed_and_blank_is_the_default(book):
    texts = settings_texts(book.snapshot())
    texts["temperature_unit"] = "°F"
    meant = units_meant(texts, Units())
    convert_texts(texts, Units(), meant)
    assert (meant.temperature, texts["ceiling_c"]) == ("F", "176")
    texts |= {"leads_mohm": "", "ceiling_c": "185"}
    save_settings(book, texts)
    assert (book.settings().ceiling_c, book.settings().leads_mohm) == (85, 20)
    texts |= {"length_unit": "feet", "ceiling_c": "900"}
    problems = settings_problems(book.snapshot(), texts)
    assert problems["length_unit"] == "Lengths in feet must be mm or in." and "ceiling_c" in problems


def test_a_bench_run_in_fahrenheit_is_asked_about_and_stored_in_celsius(book):
    from pitbench.desk.entry.bench_entry import edit_entry, make_run, new_entry
    from pitbench.desk.entry.bench_side import side_of

    book.save_settings("units", IMPERIAL)
    entry = new_entry(book.snapshot(), NOW)
    entry.texts |= {"kv_rpm_per_v": "3950", "motor_temp_c": "310", "ambient_c": "77"}
    side = side_of(entry, book.snapshot(), NOW)
    hot = side.suspects["motor_temp_c"]
    assert (hot.sentence, hot.typed) == ("Motor temperature 310: 23 to 194 °F is usual.", "310")
    assert "ambient 77 °F" in side.conditions
    entry.texts["motor_temp_c"] = "86.9"
    run = make_run(entry, book.snapshot(), NOW, ())
    assert (run.motor_temp_c, run.ambient_c) == (30.5, 25)
    book.save("run", [run.with_(motor_temp_c=30.123456789012)])
    before = book.row("bench_run", run.id)
    assert make_run(edit_entry(book.snapshot(), run.id), book.snapshot(), NOW, ()).row() == before
