"""The forecast as other programs get it: what a plan leaves open, what is refused, and the answer's keys.

The temperatures themselves are checked in tests/reference and tests/benchmarks; here the physics is only that hotter
air, a longer rollout and a warm start make a hotter finish.
"""

import json
import math
from dataclasses import replace
from datetime import datetime

import pytest

from pitbench.__main__ import main
from pitbench.desk.answers import plain
from pitbench.desk.entry.cooling_entry import run_to_read
from pitbench.desk.forecasting.forecast import forecast_of
from pitbench.desk.forecasting.heat import heat_of
from pitbench.desk.forecasting.temperature_plan import first_plan, plan_answer
from pitbench.records.models import Build, Cooling, Event, Motor, TrackRun
from pitbench.records.refusal import Refusal
from pitbench.records.units import Units
from pitbench.store.logbook import Logbook
from pitbench.words.forecast import forecast_words
from pitbench.words.temperature import against_words

CEILING = 80.0
PLAN = {"pinion": 30, "spur": 72, "length_s": 300.0, "ambient_c": 25.0, "tyre_diameter_mm": 62.5}


def run(name, at, hot, **more):
    row = {
        "motor_id": name, "build_id": f"{name}-b", "started_at": at, "event_id": "e1", "pinion": 30, "spur": 72,
        "internal_ratio": 2.4, "tyre_diameter_mm": 62.5, "timing_mark_deg": 35, "run_time_s": 300, "ambient_c": 25,
        "finish_reading_c": hot, "finish_reading_after_s": 60,
    }  # fmt: skip
    return TrackRun(**{key: value for key, value in {**row, **more}.items() if value is not None})


@pytest.fixture
def book():
    with Logbook.in_memory() as logbook:
        motors = [Motor(id=name.lower(), name=name) for name in ("Heron", "Whio")]
        builds = [Build(id=f"{motor.id}-b", motor_id=motor.id) for motor in motors]
        days = {"e1": "2026-04-12", "e2": "2026-05-03"}
        events = [Event(id=key, name="Saltmouth", date=day) for key, day in days.items()]
        logbook.save("motors", [*motors, *builds, *events])
        hours = range(9, 15)
        logbook.save("runs", [run("heron", f"2026-04-12T{hour:02d}:00", 68 + hour % 3) for hour in hours])
        yield logbook


@pytest.fixture
def path(book, tmp_path):
    path = tmp_path / "logbook.json"
    kinds = ("motor", "build", "event", "track_run")
    with Logbook.open(path, create=True) as logbook:
        logbook.save("all", [record for kind in kinds for record in book.records(kind)])
    return path


def asked(book, motor="Heron", event=None, **given):
    return forecast_of(book.snapshot(), motor, event, CEILING, given)


def test_the_answer_has_the_keys_of_the_contract(book):
    answer = plain(asked(book))
    assert list(answer) == [
        "motor", "finish_temp_c", "ceiling_c", "chance_over_ceiling", "longest_rollout_mm", "basis", "flags",
    ]  # fmt: skip
    assert list(answer["finish_temp_c"]) == ["median", "low50", "high50", "low90", "high90"]
    assert answer["basis"] == {"track_runs": 6, "same_motor": 6, "same_event": 6}
    assert answer["flags"] == ["start_unknown"]
    points = [answer["finish_temp_c"][name] for name in ("low90", "low50", "median", "high50", "high90")]
    assert points == sorted(points) and 66 < points[2] < 72


def test_the_order_of_rows_in_the_logbook_does_not_matter_where_something_has_changed(book):
    """Runs are judged in order of time, however they came in."""
    late = [run("heron", f"2026-04-12T{hour:02d}:00", 84 + hour % 2) for hour in (15, 16)]
    book.save("more", late)
    with Logbook.in_memory() as other:
        kinds = ("motor", "build", "event", "track_run")
        other.save("all", [record for kind in kinds for record in reversed(list(book.records(kind)))])
        assert asked(other) == asked(book)
    assert "something_changed" in asked(book).flags
    assert asked(book).finish_temp_c.high90 > 85


def test_the_run_that_says_that_something_has_changed_is_named(book):
    late = [
        run("heron", "2026-04-12T15:00", 84, round_kind="qualifier", round="3"),
        run("heron", "2026-04-12T16:00", 85),
    ]
    book.save("more", [*late, run("heron", "2026-04-12T08:00", None, pinion=29)])  # one run has no reading
    heat = heat_of(book.snapshot(), None)
    answer = plan_answer(book.snapshot(), heat, first_plan(book.snapshot(), heat, "heron"), CEILING)
    said = "Something has changed: Heron's qualifier 3 came in well off its forecast."
    assert against_words(answer) == [said]
    other = replace(answer, flags=("new_event", "length_outside", "something_changed"))
    assert against_words(other) == ["No run of this event yet and the length lies beyond all runs so far.", said]


def test_readings_that_do_not_say_when_are_asked_about(book):
    untold = [run("heron", f"2026-04-12T{hour}:00", 69, finish_reading_after_s=None) for hour in range(15, 22)]
    book.save("more", untold)
    answer = asked(book)
    assert "delay_unknown" in answer.flags
    said = " ".join(forecast_words(answer, Units()))
    assert "write down the seconds after the finish" in said and "one minute after the finish" in said


def test_a_start_typed_far_from_what_the_clock_says_counts_little(book):
    """At 15 K over the clock a start explains 2 K of the finish away; it is not believed."""
    usual = asked(book).finish_temp_c.median
    with_start = [each.model_copy(update={"start_temp_c": 60.0}) for each in book.records("track_run")][-1]
    book.save("start", [with_start])
    heat = heat_of(book.snapshot(), None)
    assert heat.columns.start_c[-1] < 40
    assert asked(book).finish_temp_c.median == pytest.approx(usual, abs=0.4)


def test_what_is_given_goes_before_the_last_run(book):
    usual = asked(book)
    hotter = {"pinion": 32, "ambient_c": 30.0, "start_c": 50.0, "length_s": 420.0, "tyre_diameter_mm": 66}
    for name, value in hotter.items():
        assert asked(book, **{name: value}).finish_temp_c.median > usual.finish_temp_c.median, name


def test_a_motor_without_a_run_names_the_options_it_needs(book):
    with pytest.raises(Refusal, match="Whio's last track run does not tell --pinion and --spur and --minutes and"):
        asked(book, "Whio")
    answer = asked(book, "Whio", **PLAN, internal_ratio=2.4)
    assert "new_motor" in answer.flags and answer.basis.same_motor == 0


def test_without_any_run_the_priors_stand_and_say_so():
    with Logbook.in_memory() as logbook:
        logbook.save("motor", [Motor(id="heron", name="Heron"), Build(id="b", motor_id="heron")])
        answer = forecast_of(logbook.snapshot(), "Heron", None, CEILING, PLAN)
    assert answer.flags == ["priors_only", "new_motor", "new_event", "start_unknown"]
    assert answer.basis.track_runs == 0
    # figures.md: about 49 to 109 °C at 25 °C ambient and 5 min without data (median rise 45 K, by its priors).
    assert answer.finish_temp_c.low90 == pytest.approx(49, abs=2)
    assert answer.finish_temp_c.high90 == pytest.approx(109, abs=4)


def test_two_events_of_a_name_are_both_named(book):
    with pytest.raises(Refusal, match="Saltmouth is Saltmouth 2026-04-12 or Saltmouth 2026-05-03"):
        asked(book, event="Saltmouth")
    assert asked(book, event="Saltmouth 2026-04-12").basis.same_event == 6
    assert "new_event" in asked(book, event="Saltmouth 2026-05-03").flags


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("--motor Hern", "No motor is called Hern; did you mean Heron?"),
        ("--motor Heron --event Elsewhere", "No event is called Elsewhere;"),
        ("--motor Heron --minutes 0", "Run time 0 s is not possible"),
        ("--motor Heron --minutes nan", "Run time nan s is no number"),
        ("--motor Heron --ambient 90", "Ambient 90 °C is not possible, -30 to 70 °C would be."),
        ("--motor Heron --pinion 20.5", "Pinion 20.5 must be a whole number."),
        ("--motor Heron --ceiling 35 --ambient 40", "A temperature limit of 35 °C is not above the ambient of 40 °C"),
        ("--motor Heron --ceiling 500", "Temperature limit 500 is not possible"),
        ("--motor Heron --start 900", "Start temperature 900 °C is not possible"),
        ("--pinion 20", "--motor"),
    ],
)
def test_bad_words_get_one_sentence_and_status_2(path, capsys, words, sentence):
    assert main(["forecast", *words.split(), "--logbook", str(path)]) == 2
    printed = capsys.readouterr()
    assert sentence in printed.err and printed.out == "" and printed.err.count("\n") == 1


def test_json_is_one_object_and_the_page_says_the_same(path, capsys):
    assert main(["forecast", "--motor", "heron", "--json", "--logbook", str(path)]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert main(["forecast", "--motor", "heron", "--logbook", str(path)]) == 0
    assert f"about {answer['finish_temp_c']['median']:.0f} °C" in capsys.readouterr().out


def test_order_of_entry_changes_nothing(book):
    with Logbook.in_memory() as other:
        for kind in ("motor", "build", "event", "track_run"):
            for record in reversed(book.records(kind)):
                other.save("one", [record])
        assert asked(other) == asked(book)


def test_readings_warm_starts_and_missing_ambients_are_gathered(book):
    newton = 69 * math.exp(-540 / 480) + 25 * (1 - math.exp(-540 / 480))
    book.save(
        "more",
        [
            run("heron", "2026-04-12T15:00", 69, id="late"),
            Cooling(track_run_id="late", after_s=600, temp_c=round(newton, 1)),
            run("heron", "2026-04-12T15:15", 80, id="warm", ambient_c=None),
            run("heron", "2026-04-12T16:00", None, id="unread", finish_reading_after_s=None),
            run("heron", "2026-04-12T17:00", 200, id="out", excluded_why="thermometer fell"),
            run("whio", "2026-04-12T17:00", 165, id="odd"),
        ],
    )
    heat = heat_of(book.snapshot(), None)
    at = {row["id"]: nth for nth, row in enumerate(heat.runs)}
    assert "out" not in at
    assert heat.columns.ambient_c[at["warm"]] == 25  # of the run before
    assert 33 < heat.columns.start_c[at["warm"]] < 60  # 10 minutes after the finish it is still warm
    assert heat.finishes["unread"] is None and heat.rest[False].runs == 1
    fit = heat.fit_for(34)
    assert not fit.used[at["unread"]] and fit.rightly[at["odd"]] < 0.5  # °F in a °C field


def test_an_unknown_motor_is_told_the_names_there_are(book):
    with pytest.raises(Refusal, match="No motor is called Xyz; one of Heron and Whio would be right"):
        forecast_of(book.snapshot(), "Xyz", None, CEILING, PLAN)


def test_the_run_that_finished_last_is_read(book):
    now = datetime(2026, 5, 3, 14, 10)
    book.save("runs", [run("heron", "2026-05-03T14:00", None), run("heron", "2026-05-03T14:03", None, run_time_s=None)])
    assert run_to_read(book.snapshot(), "heron", now)["started_at"] == "2026-05-03T14:00"
