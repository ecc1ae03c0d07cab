"""Track runs in the list of runs. Oracle of the rollout: pi x diameter / (spur / pinion x internal ratio), by hand."""

from datetime import datetime

import pytest

from pitbench.desk.entry.run_entry import bring_back, leave_out, put_in_bin
from pitbench.desk.lists.run_track import figures_of
from pitbench.desk.lists.runs import RunList
from pitbench.desk.track_figures import average_lap_of, rollout_of
from pitbench.desk.workshop import Workshop
from pitbench.records.models import BenchRun, Car, Cooling, Event, Motor, TrackRun
from pitbench.records.units import Units
from pitbench.store.logbook import Logbook
from pitbench.words.runs import runs_words

NOW = datetime(2026, 5, 17, 14, 2)
GEARS = {"pinion": 31, "spur": 72, "internal_ratio": 1.9, "tyre_diameter_mm": 62.5}


@pytest.fixture
def book():
    with Logbook.in_memory() as book:
        motor, event, car = Motor(name="Lapwing"), Event(name="Saltmouth", date="2026-05-17"), Car(name="grey car")
        workshop = Workshop(book)
        build = workshop.first_build(motor.row(), {"rotor": "R2"})
        run = TrackRun(
            motor_id=motor.id,
            build_id=build["id"],
            started_at="2026-05-17T13:36",
            event_id=event.id,
            car_id=car.id,
            round_kind="qualifier",
            round="2",
            run_time_s=303.4,
            laps=22,
            finish_reading_c=68,
            incident="traffic",
            **GEARS,
        )
        cooling = Cooling(track_run_id=run.id, after_s=300, temp_c=45)
        book.save("a run", [motor, event, car, *workshop.to_save.values(), run, cooling])
        yield book


def test_the_line_of_a_track_run(book):
    listed = RunList(book.snapshot(), NOW)
    line = listed.line(0)
    assert (line.when, line.motor, line.kind) == ("today 13:36", "Lapwing", "qualifier")
    assert line.figures == "31/72  44.5 mm  13.79 s  68 °C"
    assert (line.mark, line.note, line.where) == ("traffic", "", "Saltmouth")
    said = "Saltmouth   qualifier 2   grey car   31/72   22/5:03.4   62.5 mm   rotor R2, else its own"
    assert listed.detail(0)[0] == said


@pytest.mark.parametrize("words", ["track", "saltmouth qualifier", "grey 31/72", "traffic r2", "-bench 2026-05"])
def test_words_find_it(book, words):
    assert RunList(book.snapshot(), NOW).narrow(words) == [0]


def test_bench_does_not_find_it(book):
    assert RunList(book.snapshot(), NOW).narrow("bench") == []


def test_rollout_by_hand():
    assert rollout_of(GEARS) == pytest.approx(3.14159265 * 62.5 / (72 / 31 * 1.9))
    assert rollout_of({"pinion": 31}) is None
    assert figures_of({**GEARS, "finish_reading_c": 68}, Units("F", "in"), {}) == "31/72  1.752 in  154 °F"


def test_what_a_run_does_not_say_comes_from_its_car_and_its_laps():
    run = {**GEARS, "car_id": "grey", "lap_times_s": (14.0, 14.5)}
    del run["internal_ratio"]
    # 44.49 mm at 1.9 to one, 84.54 mm at one to one
    assert figures_of(run, Units(), {"grey": 1.9}) == "31/72  44.5 mm  14.25 s"
    assert figures_of(run, Units(), {}) == "31/72  84.5 mm  14.25 s"


def test_a_run_left_out_says_why_before_its_incident_and_the_list_counts_the_track(book):
    run = book.records("track_run")[0]
    others = [run.with_(id=f"run {n}", started_at=f"2026-05-16T1{n}:00") for n in range(2)]
    bench = BenchRun(motor_id=run.motor_id, build_id=run.build_id, taken_at="2026-05-15", kv_rpm_per_v=3950)
    book.save("more", [*others, bench])
    leave_out(book, run.id, "wrong tyres")
    listed = RunList(book.snapshot(), NOW)
    assert [listed.line(place).mark for place in range(4)] == ["out: wrong tyres", "traffic", "traffic", ""]
    assert runs_words(listed, range(4), "", False) == "4 runs of Lapwing, 3 of them on the track, newest first."


def test_a_track_run_goes_to_the_bin_with_its_readings_and_comes_back(book):
    run = book.rows("track_run")[0]
    assert put_in_bin(book, run["id"]) == "qualifier 2 of Lapwing to the bin"
    assert book.rows("track_run") == book.rows("cooling") == []
    assert RunList(book.snapshot(), NOW, binned=True).line(0).kind == "qualifier"
    assert bring_back(book, run["id"]) == "qualifier 2 of Lapwing brought back"
    assert len(book.rows("track_run")) == len(book.rows("cooling")) == 1


def test_it_goes_with_its_motor_and_comes_back_with_it(book):
    motor = book.rows("motor")[0]["id"]
    assert put_in_bin(book, motor) == "motor Lapwing with 1 run to the bin"
    assert book.rows("track_run") == book.rows("cooling") == []
    bring_back(book, motor)
    assert len(book.rows("track_run")) == len(book.rows("cooling")) == 1


def test_it_is_left_out_with_a_reason(book):
    run = book.rows("track_run")[0]
    assert leave_out(book, run["id"], "wrong pack") == "qualifier 2 of Lapwing left out"
    assert RunList(book.snapshot(), NOW).line(0).mark == "out: wrong pack"
    leave_out(book, run["id"], None)
    assert "excluded_why" not in book.rows("track_run")[0]


def test_a_run_is_found_by_the_track_of_its_event_and_by_gears(book):
    event = book.rows("event")[0]
    book.save("where", [Event.of(event).with_(track="harbour hall")])
    found = RunList(book.snapshot(), NOW)
    assert found.narrow("hall") == found.narrow("harbour 31/72 -bench") == [0] and found.narrow("moor") == []


@pytest.mark.parametrize(
    ("said", "average"),
    [
        ({"lap_times_s": (14.0, 14.5), "average_lap_s": 20}, 14.25),
        ({"average_lap_s": 14.1, "laps": 20, "run_time_s": 300}, 14.1),
        ({"laps": 20, "run_time_s": 300}, 15.0),
        ({"laps": 0, "run_time_s": 300}, None),
        ({"laps": 20}, None),
    ],
)
def test_the_average_lap(said, average):
    assert average_lap_of(said) == average
