"""Which track runs have a pace, and what the class's runs come to."""

from math import log

import pytest

from pitbench.desk.comparing.pace import pace_of, reading_of
from pitbench.records.models import Build, ClassSheet
from tests.unit.desk.race_days import RaceDays


def of(days, **more):
    return pace_of(days.logbook.snapshot(), days.sheet.id, **more)


def race_in_turn(days, laps, rounds=8, date="2026-05-16", event="Saltmouth"):
    """Every motor once a round, ten minutes apart, the order turned round each time so that no drift favours one."""
    for nth in range(rounds):
        order = list(laps.items()) if nth % 2 else list(laps.items())[::-1]
        for place, (name, lap) in enumerate(order):
            days.race(name, f"{date}T{9 + nth:02d}:{10 * place:02d}", lap, event)


@pytest.mark.parametrize(
    ("fields", "lap"),
    [
        ({"lap_times_s": (14.0, 14.2, 20.0, 14.4)}, 14.1),
        ({"laps": 20.0, "run_time_s": 300.0}, 15.0),
        ({"best_lap_s": 14.0}, 14.0),
        ({"laps": 0.0, "run_time_s": 300.0}, None),
        ({}, None),
        ({"best_lap_s": 14.0, "incident": "spin"}, None),
        ({"best_lap_s": 14.0, "excluded_why": "cut the chicane"}, None),
    ],
)
def test_what_a_run_tells_of_its_pace(fields, lap):
    found = reading_of(fields)
    assert (found.lap_s if found else None) == (pytest.approx(lap) if lap else None)


def test_without_a_run_there_is_no_pace():
    days = RaceDays("Heron")
    found = of(days)
    assert found.pace is None and found.against_its_day("nobody") is None
    assert found.of_build(days.builds["Heron"].id) is None


def test_two_motors_a_tenth_apart():
    days = RaceDays("Heron", "Plover")
    race_in_turn(days, {"Heron": 14.0, "Plover": 14.1})
    found = of(days)
    heron, plover = (found.of_build(days.builds[name].id).percent for name in ("Heron", "Plover"))
    # 100·ln(14.1 / 14) = 0.712 % apart, each half of it from their mean
    assert plover.mean - heron.mean == pytest.approx(100 * log(14.1 / 14), abs=0.05)
    assert heron.low90 < -0.356 < heron.high90 < 0 < plover.low90


def test_a_run_lies_under_its_day_by_what_it_was_faster():
    days = RaceDays("Heron", "Plover")
    race_in_turn(days, {"Heron": 14.0, "Plover": 14.1})
    quick = days.race("Heron", "2026-05-16T13:25", 13.86)
    found = of(days).against_its_day(quick.id)
    # the mean motor laps in √(14·14.1) = 14.05 s; this run is 0.19 s under it, less what it drags its own day along
    assert found.seconds.mean == pytest.approx(-0.19, abs=0.03)
    assert found.seconds.low90 < -0.19 < found.seconds.high90


def test_the_only_run_of_a_day_lies_nowhere_and_days_are_never_mixed():
    days = RaceDays("Heron", "Plover")
    race_in_turn(days, {"Heron": 14.0, "Plover": 14.1}, rounds=4)
    before = of(days).of_build(days.builds["Heron"].id)
    alone = days.race("Heron", "2026-05-17T10:00", 11.0)
    other = days.race("Plover", "2026-05-16T10:05", 19.0, event="Oyster Dock")
    found = of(days)
    assert found.against_its_day(alone.id) is None and found.against_its_day(other.id) is None
    assert found.of_build(days.builds["Heron"].id).percent.mean == pytest.approx(before.percent.mean, abs=0.02)


def test_runs_of_another_class_do_not_count_and_a_run_can_be_left_out():
    days = RaceDays("Heron", "Plover")
    race_in_turn(days, {"Heron": 14.0, "Plover": 14.1}, rounds=2)
    other = ClassSheet(name="open")
    days.logbook.save("class", [other])
    days.motor("Ruff", class_id=other.id)
    ruff = days.race("Ruff", "2026-05-16T10:05", 12.0)
    quick = days.race("Heron", "2026-05-16T10:25", 13.0)
    assert ruff.id not in of(days).runs and quick.id in of(days).runs
    assert list(of(days, leave_out=[quick.id]).runs) == [
        run["id"]
        for run in sorted(days.logbook.rows("track_run"), key=lambda r: r["started_at"])
        if run["id"] not in (ruff.id, quick.id)
    ]


def test_a_motor_put_together_anew_is_another_one():
    days = RaceDays("Heron", "Plover")
    race_in_turn(days, {"Heron": 14.0, "Plover": 14.1})
    rebuilt = Build(motor_id=days.motors["Heron"].id, since="2026-05-17", rotor_id="R9")
    days.logbook.save("rotor", [rebuilt])
    found = of(days)
    assert found.of_build(rebuilt.id) is None and found.of_build(days.builds["Heron"].id) is not None
