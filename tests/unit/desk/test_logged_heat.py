"""Load logs of track runs in the heat forecast: which part of a log, which log, which runs it tells the finish of."""

from datetime import datetime

import pytest

from pitbench.desk.forecasting.heat import heat_of
from pitbench.desk.forecasting.logged import logged_cans
from pitbench.desk.forecasting.temperature import standings
from pitbench.records.models import LoadLog
from tests.unit.desk.race_days import RaceDays

NOW = datetime(2026, 4, 12, 11, 0)


def log_of(days, run, driven=(60.0, 360.0), seconds=420.0, hot=80.0, **fields):
    """A log in which the car stands first, warms its motor from 25 °C while it is driven, and stands again."""
    time = [2.0 * nth for nth in range(int(seconds / 2))]
    share = [min(max((at - driven[0]) / (driven[1] - driven[0]), 0.0), 1.0) for at in time]
    trace = {
        "time_s": time,
        "rpm": [20000.0 if driven[0] <= at <= driven[1] else 0.0 for at in time],
        "motor_temp_c": [25 + (hot - 25) * (1 - (1 - each) ** 2) for each in share],
    }
    given = {"motor_id": run.motor_id, "track_run_id": run.id, "logged_at": run.started_at, "file": "log.csv"}
    log = LoadLog(digest=run.id, figures={"rows": seconds}, trace=fields.pop("trace", trace), **given)
    days.logbook.save("log", [log.model_copy(update=fields)])
    return log


@pytest.fixture
def days():
    return RaceDays("Heron", "Plover")


def curves(days):
    snapshot = days.logbook.snapshot()
    return logged_cans(snapshot, snapshot.rows("track_run"), {run["id"]: 22.0 for run in snapshot.rows("track_run")})


def test_only_what_was_driven_counts(days):
    run = days.race("Heron", "2026-04-12T10:00", 15.0, ambient_c=22.0)
    log_of(days, run)
    found = curves(days)[run.id]
    assert found.after_s[0] == 0 and found.after_s[-1] == pytest.approx(300, abs=4) and len(found.after_s) == 13
    assert found.temp_c[0] == pytest.approx(25, abs=1) and found.temp_c[-1] == pytest.approx(80, abs=1)


@pytest.mark.parametrize(
    "fields",
    [
        {"trace": {"time_s": [0.0, 1.0], "rpm": [0.0, 0.0], "motor_temp_c": [25.0, 25.0]}},
        {"trace": {"time_s": [0.0, 1.0], "rpm": [9000.0, 9000.0]}},
        {"trace": {}},
        {"excluded_why": "of another car"},
        {"driven": (60.0, 120.0)},
    ],
)
def test_a_log_never_driven_without_temperature_left_out_or_of_another_length_tells_nothing(days, fields):
    run = days.race("Heron", "2026-04-12T10:00", 15.0, ambient_c=22.0)
    log_of(days, run, **fields)
    assert curves(days) == {}


def test_a_finish_nobody_read_is_told_by_the_log_and_said_to_be_about(days):
    read = days.race(
        "Plover", "2026-04-12T09:30", 15.0, ambient_c=22.0, finish_reading_c=70.0, finish_reading_after_s=60.0
    )
    run = days.race("Heron", "2026-04-12T10:00", 15.0, ambient_c=22.0)
    before = heat_of(days.logbook.snapshot(), days.sheet.id)
    assert before.finishes[run.id] is None
    log_of(days, run)
    log_of(days, read, hot=120.0)
    heat = heat_of(days.logbook.snapshot(), days.sheet.id)
    assert {*heat.by_log} == {run.id} and len(heat.columns.curves) == 2
    assert heat.finishes[read.id].temp_c == pytest.approx(before.finishes[read.id].temp_c), "what was read stands"
    assert heat.finishes[run.id].temp_c == pytest.approx(22 + 58 * 0.87, abs=1)
    at = {each.motor: each for each in standings(days.logbook.snapshot(), heat, days.sheet.id, NOW, NOW)}
    assert at["Heron"].guessed and at["Heron"].told and not at["Plover"].guessed


def test_a_log_that_saw_no_warming_leaves_the_finish_to_the_forecast(days):
    run = days.race("Heron", "2026-04-12T10:00", 15.0, ambient_c=22.0)
    log_of(days, run, hot=25.0)
    assert heat_of(days.logbook.snapshot(), days.sheet.id).finishes[run.id] is None
