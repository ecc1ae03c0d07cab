"""Track runs and minutes since the last work on a motor. Oracle: added up by hand."""

import pytest

from pitbench.desk.lists.since_work import since_work
from pitbench.records.models import Settings
from tests.unit.desk.track_side import Season


@pytest.fixture
def season():
    """Bearings oiled in April and in May, a rotor before both; 5, 7, 5 minutes and one run nobody timed."""
    season = Season()
    season.change("2026-04-12T09:00", "rotor", motor="Heron", now="R2")
    season.change("2026-04-12T09:30", "Bearings", motor="Heron", now="oiled")
    season.run("2026-04-12T10:00", season.april, run_time_s=300)
    season.change("2026-05-17T09:00", "bearings", motor="Heron", now="new")
    season.change("2026-05-17T09:10", "rear spring", motor="Heron", now="2.4", car_id=season.car.id)
    season.run("2026-05-17T10:00", season.today, run_time_s=420, incident="crash", excluded_why="not mine")
    season.run("2026-05-17T11:00", season.today, lap_times_s=(150.0, 150.0))
    season.run("2026-05-17T12:00", season.today)
    season.run("2026-05-17T12:00", season.today, "Plover", run_time_s=300)
    return season


def found(season, motor="Heron"):
    lines = since_work(season.snapshot, season.motors[motor])
    return [(each.what, each.runs, each.minutes, each.untimed, each.due) for each in lines]


def test_each_kind_of_work_counts_from_its_last_time(season):
    assert found(season) == [("bearings", 3, 12.0, 1, False), ("rotor", 4, 17.0, 1, False)]
    assert found(season, "Plover") == []


@pytest.mark.parametrize(("limit", "due"), [(0, [False, False]), (12, [True, True]), (15, [False, True])])
def test_the_own_limit_marks_it(season, limit, due):
    season.book.save_settings("limit", Settings(id="settings", work_minutes=limit))
    assert [each[-1] for each in found(season)] == due
