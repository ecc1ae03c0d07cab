"""The race day whole: what is of it, and that it says what the other questions say."""

import pickle
from dataclasses import replace
from datetime import datetime

import pytest

from pitbench.demo import demo_logbook
from pitbench.desk.answers import plain
from pitbench.desk.changes.judged import judged
from pitbench.desk.comparing.ranking import rank
from pitbench.desk.forecasting.forecast import forecast_of
from pitbench.desk.forecasting.next_start import starts_after
from pitbench.desk.race_day import event_meant, race_day
from pitbench.records.models import Event, SetupEntry
from pitbench.records.refusal import Refusal
from pitbench.store.logbook import Logbook
from tests.unit.desk.race_days import RaceDays


@pytest.fixture(scope="module")
def demo():
    with Logbook.open(demo_logbook(), write=False) as logbook:
        yield logbook.snapshot()


@pytest.fixture(scope="module")
def day(demo):
    return race_day(demo, event_meant(demo, "Saltmouth"))


@pytest.fixture
def days():
    found = RaceDays("Whio", "Plover", "Siskin")
    for nth, lap in enumerate((13.7, 13.8, 13.9)):
        at = f"2026-04-12T1{nth}:00"
        found.race(("Whio", "Plover", "Siskin")[nth], at, lap, ambient_c=20.0, finish_reading_c=60.0 + nth)
    return found


def of(days, name="Saltmouth", **named):
    snapshot = days.logbook.snapshot()
    return race_day(snapshot, event_meant(snapshot, name), **named)


def test_a_bare_name_is_the_newest_event_and_a_date_names_one(demo):
    dates = [
        (demo.row("event", event_meant(demo, text)) or {})["date"][:10]
        for text in ("saltmouth", "Saltmouth 2026-04-25", "Oyster Dock")
    ]
    assert dates == ["2026-05-16", "2026-04-25", "2026-04-12"]
    with pytest.raises(Refusal, match="No event is called Nowhere"):
        event_meant(demo, "Nowhere")


def test_every_run_and_change_of_the_event_is_there_once_in_time(demo, day):
    (event,) = [row["id"] for row in demo.rows("event") if row["date"].startswith("2026-05-16")]
    for told, kind, when in ((day.runs, "track_run", "started_at"), (day.changes, "setup_entry", "written_at")):
        ids = {row["id"] for row in demo.rows(kind) if row.get("event_id") == event}
        assert {each.row["id"] for each in told} == ids and len(told) == len(ids) > 5
        times = [each.row[when] for each in told]
        assert times == sorted(times)


def test_load_logs_stand_with_the_run_they_were_written_in(demo, day):
    logs = {log["track_run_id"]: log["figures"] for log in demo.rows("load_log")}
    told = {run.row["id"]: run.logs[0].kv_rpm_per_v.mean for run in day.runs if run.logs}
    assert told == {key: figures["kv_rpm_per_v"] for key, figures in logs.items()} and len(told) == 2


def test_it_says_what_rank_forecast_and_changes_say(demo, day):
    assert [each.name for each in day.classes] == ["club 13.5T", "club 21.5T"]
    for each in day.classes:
        assert each.answer == rank(demo, each.name)
        limit = demo.team().ceiling_c
        asked = {"length_s": each.plan.length_s, "pinion": each.plan.pinion, "ambient_c": each.plan.ambient_c}
        asked["start_c"] = each.plan.start_c
        said = forecast_of(demo, each.answer.leader, None, limit, asked)
        assert plain(each.planned.here.finish) == pytest.approx(plain(said.finish_temp_c), rel=1e-9)
        assert each.planned.here.chance_over == pytest.approx(said.chance_over_ceiling, rel=1e-9)
    assert [change.judged for change in day.changes] == judged(demo, event_id=day.event["id"])


def test_the_finish_is_one_minute_after_the_run_and_lies_by_its_reading(day):
    by_time = {run.row["started_at"]: run for run in day.runs}
    main = by_time["2026-05-16T17:30"]
    assert main.row["finish_reading_after_s"] == 60.0  # read at one minute, so the reading is the finish
    assert abs(main.finish.value - main.row["finish_reading_c"]) < 2 * main.finish.half


def test_the_answer_crosses_to_another_process_whole(day):
    assert pickle.loads(pickle.dumps(day)) == day


def test_rounds_to_come_follow_the_newest_record_not_a_clock(day):
    assert day.at == datetime(2026, 5, 16, 18, 10)  # an entry of the setup log, after the last run
    assert [(start.round, start.at) for start in day.to_come] == [("main A2", datetime(2026, 5, 17, 11, 20))]


def test_starts_of_a_day_that_is_over_are_not_to_come():
    event = {"date": "2026-05-16", "start_times": "qualifier 1 9:00, main 14:00"}
    assert starts_after(event, datetime(2026, 5, 16, 14, 0)) == []
    assert [each.round for each in starts_after(event, datetime(2026, 5, 16))] == ["qualifier 1", "main"]
    assert starts_after({"date": "2026-05-16"}, datetime(2026, 5, 15)) == []


def test_a_motor_that_just_ran_starts_warm_into_the_next_round(days):
    event = days.events["Saltmouth"]
    days.logbook.save("event", [event.with_(start_times="main 15:20, main A2 18:30")])
    days.race("Whio", "2026-04-12T15:00", 13.5, ambient_c=20.0, finish_reading_c=64.0, finish_reading_after_s=60.0)
    (soon,) = of(days).classes
    assert soon.answer.leader == "Siskin" and soon.plan.start_c is not None
    days.race("Siskin", "2026-04-12T15:05", 13.5, ambient_c=20.0, finish_reading_c=64.0, finish_reading_after_s=60.0)
    (warm,) = of(days).classes
    assert 30.0 < warm.plan.start_c < 60.0
    assert warm.planned.here.finish.median > soon.planned.here.finish.median


def test_a_run_left_out_is_told_and_has_no_finish(days):
    days.race("Whio", "2026-04-12T15:00", 13.6, ambient_c=20.0, finish_reading_c=95.0, excluded_why="thermometer off")
    left = of(days).runs[-1]
    assert left.row["excluded_why"] == "thermometer off"
    assert left.finish is None and left.pace is None


def test_what_of_a_run_waits_is_in_no_figure(days):
    days.race("Whio", "2026-04-12T15:00", 13.6, ambient_c=20.0, finish_reading_c=199.0, waits=("finish_reading_c",))
    found = of(days)
    assert found.runs[-1].finish is None and found.waiting == 1


def test_another_event_s_runs_and_those_of_a_motor_in_the_bin_are_not_told(days):
    days.race("Whio", "2026-05-02T10:00", 13.9, event="Oyster Dock")
    assert [run.motor for run in of(days).runs] == ["Whio", "Plover", "Siskin"]
    days.logbook.journal.bin("motor", [("motor", days.motors["Plover"].id)])
    assert [run.motor for run in of(days).runs] == ["Whio", "Siskin"]


def test_an_event_without_a_run_has_the_ranking_and_the_plan_all_the_same(days):
    days.logbook.save("event", [Event(name="Kelp Quay", date="2026-04-20")])
    found = of(days, "Kelp Quay")
    assert (found.runs, found.changes) == ([], [])
    (only,) = found.classes
    assert only.answer.leader is not None and only.plan is not None and only.last is None


def test_a_logbook_with_an_event_and_nothing_else(tmp_path):
    logbook = Logbook.in_memory()
    logbook.save("event", [Event(name="Kelp Quay", date="2026-04-20")])
    snapshot = logbook.snapshot()
    found = race_day(snapshot, event_meant(snapshot, "Kelp Quay"))
    assert (found.runs, found.changes, found.classes, found.benched) == ([], [], [], {})


def test_what_somebody_planned_takes_the_place_of_the_last_run(days):
    found = of(days)
    (only,) = found.classes
    leader = days.motors[only.answer.leader].id
    assert only.plan.pinion == 30
    (other,) = of(days, plans={leader: replace(only.plan, pinion=32.0)}).classes
    assert other.plan.pinion == 32 and other.planned.here.finish.median > only.planned.here.finish.median


def test_the_order_in_which_records_came_in_changes_nothing(days):
    days.logbook.save(
        "entry", [SetupEntry(written_at="2026-04-12T10:30", what="toe", event_id=days.events["Saltmouth"].id)]
    )
    snapshot = days.logbook.snapshot()
    turned = Logbook.in_memory()
    for kind in ("event", "class_sheet", "part", "motor", "build", "bench_run", "track_run", "setup_entry"):
        turned.save(kind, list(reversed(snapshot.records(kind))))
    other = turned.snapshot()
    assert race_day(other, event_meant(other, "Saltmouth")) == race_day(snapshot, event_meant(snapshot, "Saltmouth"))
