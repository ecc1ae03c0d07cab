"""Where motors stand between rounds and what a plan comes in at. Oracles: Newton's law of cooling in closed form, the
definition of rollout, and that the table says what the forecast of each of its lines says."""

import math
from dataclasses import replace
from datetime import datetime

import pytest

from pitbench.desk.forecasting.forecast import forecast, planned
from pitbench.desk.forecasting.heat import heat_of
from pitbench.desk.forecasting.next_start import next_start, starts_of
from pitbench.desk.forecasting.temperature import cooling_curve, heating_curve, standings, warm_start
from pitbench.desk.forecasting.temperature_plan import first_plan, plan_answer, stepped_plan
from pitbench.figures.clock import ready_after
from pitbench.records.models import Build, ClassSheet, Cooling, Event, Gear, Motor, TrackRun
from pitbench.records.units import Units
from pitbench.store.logbook import Logbook
from pitbench.words.temperature import longest_sets_words

NOW, START = datetime(2026, 5, 17, 13, 30), datetime(2026, 5, 17, 14, 30)
AIR, TAU = 24.0, 480.0


def cooled(from_c, seconds):
    return AIR + (from_c - AIR) * math.exp(-seconds / TAU)


def run(key, motor, at, hot, **more):
    row = {
        "id": key, "motor_id": motor, "build_id": f"{motor}-b", "started_at": at, "event_id": "e1", "pinion": 30,
        "spur": 72, "internal_ratio": 2.4, "tyre_diameter_mm": 62.5, "timing_mark_deg": 35, "run_time_s": 300,
        "ambient_c": AIR, "finish_reading_c": hot, "finish_reading_after_s": 60, "round_kind": "qualifier",
        "round": "2",
    }  # fmt: skip
    return TrackRun(**{name: value for name, value in {**row, **more}.items() if value is not None})


@pytest.fixture
def book():
    with Logbook.in_memory() as logbook:
        sheet = ClassSheet(id="c1", name="Club", max_rollout_mm=35.5)
        motors = [Motor(id=name.lower(), name=name, class_id="c1") for name in ("Heron", "Whio", "Plover", "Siskin")]
        builds = [Build(id=f"{motor.id}-b", motor_id=motor.id) for motor in motors]
        event = Event(id="e1", name="Saltmouth", date="2026-05-16", start_times="Qualifier 2: 13.00; main A 14:30")
        earlier = [run(f"h{nth}", "heron", f"2026-05-16T1{nth}:00", 68 + nth % 3) for nth in range(6)]
        cooling = [
            Cooling(track_run_id=f"h{nth}", after_s=600, temp_c=round(cooled(68 + nth % 3, 540), 1)) for nth in range(6)
        ]
        today = [
            run("h9", "heron", "2026-05-17T13:15", 70),
            run("w1", "whio", "2026-05-17T13:20", None, finish_reading_after_s=None),
            run("p1", "plover", "2026-05-17T13:28", 70),  # still on the track
        ]
        logbook.save("all", [sheet, *motors, *builds, event, *earlier, *cooling, *today])
        yield logbook


def stand(book, now=NOW):
    snapshot = book.snapshot()
    heat = heat_of(snapshot, "c1")
    return heat, {each.motor: each for each in standings(snapshot, heat, "c1", now, START)}


def test_a_motor_run_today_cools_by_newtons_law(book):
    _, found = stand(book)
    heron = found["Heron"]
    assert (heron.round, heron.ended, heron.guessed) == ("qualifier 2", datetime(2026, 5, 17, 13, 20), False)
    assert heron.finish_c == pytest.approx(70, abs=0.7)
    finish = heat_of(book.snapshot(), "c1").finishes["h9"]
    assert heron.finish_pm_k == pytest.approx(1.645 * finish.doubt_k, rel=1e-3)  # nine tenths of a normal
    assert heron.now.median == pytest.approx(cooled(70, 540), abs=1.5)  # ten minutes after the finish
    assert heron.at_start.median == pytest.approx(AIR, abs=1.0)
    exact = 60 + TAU * math.log(46 / 3)  # until 3 K above the air
    assert exact < (heron.cool_at - heron.ended).total_seconds() < 1.6 * exact  # nine times in ten, so later than half
    assert (heron.cool_at - heron.ended).total_seconds() == pytest.approx(ready_after(finish), abs=1e-3)


def test_a_fan_blew_where_most_readings_say_so(book):
    """As many with as without, or none that tells: still air."""
    told = {"h0": (True,), "h1": (True, True, False), "h2": (True, False), "h3": (False, True, True, False), "h4": ()}
    readings = [
        Cooling(track_run_id=run, after_s=700 + 60 * nth, temp_c=35, fan=fan)
        for run, fans in told.items()
        for nth, fan in enumerate(fans)
    ]
    book.save("readings", readings)
    fans = heat_of(book.snapshot(), "c1").fans
    assert [fans[run] for run in told] == [True, True, False, False, False]


def test_a_finish_nobody_read_is_guessed_and_said_to_be(book):
    _, found = stand(book)
    whio = found["Whio"]
    assert whio.guessed and 55 < whio.finish_c < 85
    later = stand(book, datetime(2026, 5, 17, 13, 35))[1]["Whio"]  # ten minutes after its finish, as Heron now
    assert later.now.high90 - later.now.low90 > found["Heron"].now.high90 - found["Heron"].now.low90


def test_what_is_not_over_or_not_run_today_stands_at_ambient(book):
    _, found = stand(book)
    assert list(found) == ["Plover", "Whio", "Heron", "Siskin"]  # the one run last on top
    assert found["Siskin"].run is None and found["Plover"].run is None
    assert warm_start(found["Siskin"]) is None and found["Siskin"].cool_at is None


def test_a_hot_can_is_marked_until_it_is_not(book):
    assert stand(book, datetime(2026, 5, 17, 13, 22))[1]["Heron"].hot
    assert not stand(book, datetime(2026, 5, 17, 14, 20))[1]["Heron"].hot
    assert stand(book, datetime(2026, 5, 17, 14, 20))[1]["Heron"].cool_at is None


def test_the_table_says_what_each_forecast_says(book):
    book.save("gears", [Gear(kind="pinion", teeth=teeth, module=0.5) for teeth in (28, 30, 31, 32)])
    book.save("gears", [Gear(kind="spur", teeth=72, module=0.5), Gear(kind="pinion", teeth=29, module=0.8)])
    snapshot = book.snapshot()
    heat = heat_of(snapshot, "c1")
    plan = planned(snapshot, "heron", heat, {})
    answer = plan_answer(snapshot, heat, plan, 80.0)
    assert [line.pinion for line in answer.lines] == [28, 30, 31, 32]  # the 29 does not mesh
    for line in answer.lines:
        alone = forecast(heat, "Heron", planned(snapshot, "heron", heat, {"pinion": line.pinion}), 80.0)
        assert line.finish.median == pytest.approx(alone.finish_temp_c.median, abs=1e-6)
        assert line.rollout_mm == pytest.approx(math.pi * 62.5 * line.pinion / 72 / 2.4)
        assert bool(line.illegal) == (line.rollout_mm > 35.5)
    assert answer.here.pinion == 30 and answer.longer.pinion == 31
    assert all(each.rollout_mm <= answer.longest_mm for each in answer.sets)
    legal = [each for each in answer.sets if each.legal]
    assert longest_sets_words(replace(answer, sets=tuple(legal[:1])), Units()).endswith("/72 is your longest.")
    assert longest_sets_words(replace(answer, sets=tuple(legal[:2])), Units()).endswith("/72 are your longest.")
    legal = [each.legal for each in answer.sets]
    assert legal == sorted(legal, reverse=True) and True in legal


def test_a_hurried_run_takes_no_plan_away(book):
    """Gears alone: air and length are those of the newest run that tells them."""
    before = first_plan(book.snapshot(), heat_of(book.snapshot(), "c1"), "heron")
    hurried = TrackRun.of(
        {**book.row("track_run", "h9"), "id": "h10", "started_at": "2026-05-17T16:00", "pinion": 31.0}
    )
    book.save("hurried", [hurried.with_(ambient_c=None, run_time_s=None, laps=None)])
    snapshot = book.snapshot()
    heat = heat_of(snapshot, "c1")
    assert heat.runs[-1]["id"] == "h10" and "ambient_c" not in heat.runs[-1] and "run_time_s" not in heat.runs[-1]
    after = first_plan(snapshot, heat, "heron")
    assert before is not None and after == replace(before, pinion=31.0)


def test_without_own_gears_one_tooth_after_the_other(book):
    snapshot = book.snapshot()
    heat = heat_of(snapshot, "c1")
    plan = planned(snapshot, "heron", heat, {})
    answer = plan_answer(snapshot, heat, plan, 80.0)
    assert [line.pinion for line in answer.lines] == [28, 29, 30, 31, 32, 33, 34] and not answer.owns_gears
    assert [line.pinion for line in plan_answer(snapshot, heat, plan, 80.0, 4).lines] == [29, 30, 31, 32]


def test_steps_stop_at_what_is_possible(book):
    snapshot = book.snapshot()
    plan = planned(snapshot, "heron", heat_of(snapshot, "c1"), {"pinion": 1, "length_s": 30.0})
    assert stepped_plan(plan, "pinion", -1) == plan
    assert stepped_plan(plan, "length_s", 1).length_s == 60
    assert stepped_plan(plan, "length_s", -1) == plan
    assert stepped_plan(plan, "tyre_diameter_mm", -1).tyre_diameter_mm == 62.4


def test_curves_rise_with_length_and_fall_at_rest(book):
    snapshot = book.snapshot()
    heat = heat_of(snapshot, "c1")
    warm = heating_curve(heat, planned(snapshot, "heron", heat, {}))
    assert list(warm.median) == sorted(warm.median) and warm.seconds[-1] == 300
    assert all(low < middle < high for low, middle, high in zip(warm.low90, warm.median, warm.high90, strict=True))
    rest = cooling_curve(heat.finishes["h9"], 1800)
    for seconds, median in zip(rest.seconds, rest.median, strict=True):
        assert median == pytest.approx(cooled(70, seconds - 60), abs=2.0)


def test_start_times_are_read_as_people_write_them(book):
    event = book.rows("event")[0]
    assert [(s.round, f"{s.at:%H:%M}") for s in starts_of(event, NOW)] == [
        ("Qualifier 2", "13:00"),
        ("main A", "14:30"),
    ]
    assert next_start(event, NOW).at == START
    assert not next_start(event, datetime(2026, 5, 17, 15, 2)).told
    assert f"{next_start(event, datetime(2026, 5, 17, 15, 2)).at:%H:%M}" == "16:05"
    assert starts_of({"start_times": "25:99 soon"}, NOW) == [] and starts_of(None, NOW) == []


def test_a_delay_not_stated_is_told_and_taken_as_the_class_states_its_own(book):
    """Six readings at a minute, then one that says no time: about a minute too, and doubtful by more than they are."""
    book.save("again", [run("h8", "heron", "2026-05-17T11:15", 70, finish_reading_after_s=None)])
    heat = heat_of(book.snapshot(), "c1")
    untold = [run["id"] for run, told in zip(heat.runs, heat.columns.delay_told, strict=True) if not told]
    assert untold == ["h8"] and heat.delays.stated == 8
    told, untold = heat.finishes["h9"], heat.finishes["h8"]
    assert untold.temp_c == pytest.approx(told.temp_c, abs=1.0) and untold.doubt_k > told.doubt_k
    late = [run(f"l{nth}", "whio", f"2026-05-15T1{nth}:00", 60, finish_reading_after_s=200) for nth in range(9)]
    book.save("late", late)
    assert heat_of(book.snapshot(), "c1").finishes["h8"].temp_c > untold.temp_c + 3
