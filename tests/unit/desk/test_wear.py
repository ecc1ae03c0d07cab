"""Is a motor getting slower: from a logbook of bench evenings and races to flags and sentences."""

from datetime import datetime

import numpy as np
import pytest

from pitbench.desk.comparing.gather import gather
from pitbench.desk.comparing.ranked import ranked
from pitbench.desk.comparing.ranking import compare
from pitbench.desk.comparing.wearing import track_hours
from pitbench.desk.comparing.worn import Between, FigureWear, MotorWear
from pitbench.desk.lists.motor_page import ShortOf, motor_answer
from pitbench.desk.lists.motors import motor_lines
from pitbench.records.models import Build, SetupEntry
from pitbench.words.motors import motor_block, page_words, trend_words
from pitbench.words.wear import drift_words, slower_words
from tests.unit.desk.bench_side import USUAL
from tests.unit.desk.race_days import RaceDays
from tests.unit.desk.seasons import season

NOW = datetime(2026, 5, 2, 12, 0)
STEP, CLIMB = [1.0] * 4 + [1.05] * 4, [1 + 0.008 * i for i in range(8)]
CURRENT, KV, SPREAD = "no_load_current_a", "kv_rpm_per_v", "sensor_spread_deg"


def flagged(days):
    return {motor.motor for motor in compare(days.logbook.snapshot()).answer().motors if "drift" in motor.flags}


def told(days, name="Heron"):
    return compare(days.logbook.snapshot()).wear.get(name)


def page_of(days, name="Heron"):
    snapshot = days.logbook.snapshot()
    found = compare(snapshot)
    return motor_answer(snapshot, days.motors[name].id, found.answer(), NOW, wear=found.wear.get(name))


def test_steady_motors_are_seldom_flagged_through_the_moods():
    """About 5 of 100 are (tests/benchmarks/wear.py); those that the tests below change are steady otherwise."""
    flags = [flagged(season(seed=seed)) for seed in range(5, 11)]
    assert sum(map(len, flags)) <= 2 and flags[0] == set()


def test_current_that_steps_up_is_drag_and_dated():
    days = season({CURRENT: STEP})
    assert flagged(days) == {"Heron"}
    page = page_of(days)
    current = page.wear.figures[CURRENT]
    assert current.drifts and current.since.startswith("2026-04-03") and 0.15 < current.change.mean < 0.25
    words = page_words(page, NOW)[-1]
    assert words.startswith("Slower than it was, power at load -")
    assert words.endswith("Current up, KV level: drag. Look at the bearings, and whether something rubs.")
    power, kv, amps = page.trends
    assert trend_words(amps, page.wear.minutes, NOW).startswith("up: +0.2") and "since 3 Apr" in trend_words(
        amps, 0, NOW
    )
    assert trend_words(kv, page.wear.minutes, NOW).startswith("level: ") and power.label == "power"
    assert "over 84 track minutes" in trend_words(power, page.wear.minutes, NOW)


def test_the_line_of_power_ends_where_the_words_say():
    found = told(season({CURRENT: STEP}))
    minutes, low, line, high = found.line.along[-1]
    assert minutes == pytest.approx(found.minutes) and found.line.along[0][:3:2] == (0.0, 0.0)
    assert line == pytest.approx(found.figures["load_power_w"].change.mean) and low < line < high
    assert [at for at, _, _ in found.line.sessions] == pytest.approx([12.0 * nth for nth in range(8)])
    assert found.line.worked == ()


def test_what_work_did_is_no_wear_in_the_line():
    worked = season({CURRENT: STEP})
    worked.logbook.save("work", [_work(worked, "2026-04-03T09:00")])
    stepped, level = told(season({CURRENT: STEP})).line, told(worked).line
    assert level.worked == pytest.approx((48.0,))
    last, first = (np.mean([each[1] for each in part]) for part in (level.sessions[4:], level.sessions[:4]))
    assert abs(last - first) < 0.5 * abs(stepped.sessions[-1][1] - stepped.sessions[0][1])


def test_kv_and_current_that_climb_are_flux():
    days = season({KV: [1 + 0.0015 * i for i in range(8)], CURRENT: CLIMB})
    assert "its magnets have lost flux" in drift_words(told(days))
    assert told(days).figures[KV].since is None


def test_motors_names_what_drifts_and_marks_it():
    snapshot = season({CURRENT: STEP}).logbook.snapshot()
    found = ranked(snapshot, "club 13.5T")
    lines = {line.name: line for line in motor_lines(snapshot, {"club 13.5T": found})}
    assert lines["Heron"].doubtful and not lines["Plover"].doubtful
    block = dict(motor_block(lines["Heron"], None, NOW))
    assert block["Drift"].startswith("current up: +0.2") and "Drift" not in dict(
        motor_block(lines["Plover"], None, NOW)
    )


def test_work_on_the_motor_and_a_new_rotor_are_no_drift():
    worked, rebuilt = season({CURRENT: STEP}), season({CURRENT: STEP})
    worked.logbook.save("work", [_work(worked, "2026-04-03T09:00")])
    assert flagged(worked) == set()
    motor_id, old = rebuilt.motors["Heron"].id, rebuilt.builds["Heron"]
    build = Build(motor_id=motor_id, since="2026-04-01T12:00", stator_id=old.stator_id, rotor_id="new", end_bell_id=old.end_bell_id)  # fmt: skip  # noqa: E501
    later = [row | {"build_id": build.id} for row in rebuilt.logbook.rows("bench_run") if row["motor_id"] == motor_id and row["taken_at"] > "2026-04-01"]  # fmt: skip  # noqa: E501
    rebuilt.logbook.save("rotor", [build, *map(_bench_run, later)])
    assert flagged(rebuilt) == set()


def _work(days, at):
    return SetupEntry(written_at=at, motor_id=days.motors["Heron"].id, what="bearings", now="cleaned")


def _bench_run(row):
    from pitbench.records.models import BenchRun

    return BenchRun(**row)


def test_no_track_no_word_and_too_few_sessions_are_too_early():
    assert told(season({CURRENT: STEP}, raced=False)) is None
    early = page_of(season(evenings=3))
    assert early.wear is None and early.short_of == ShortOf(1, raced=True)
    assert page_of(season(raced=False)).short_of == ShortOf(0, raced=False)


def test_track_minutes_count_until_the_bench_and_only_of_the_build():
    days = RaceDays("Heron")
    days.race("Heron", "2026-04-12T10:00", run_time_s=360)
    days.race("Heron", "2026-04-12", run_time_s=720, excluded_why="dead transponder")
    days.race("Heron", "2026-04-13T10:00", 18.0)  # twenty laps
    days.race("Heron", "2026-04-13T12:00")  # nobody knows: as long as the middle one
    for at in ("2026-04-12T09:00", "2026-04-12T20:00", "2026-04-13T08:00", "2026-04-14T08:00"):
        days.run("Heron", at, **USUAL)
    snapshot = days.logbook.snapshot()
    assert np.multiply(60, track_hours(snapshot, gather(snapshot))) == pytest.approx([0, 0, 0, 6, 18, 30])


def wear(**figures):
    made = {name: FigureWear((0.0,), Between(*change), drifts, None) for name, (drifts, *change) in figures.items()}
    return MotorWear(8, 92.0, Between(-0.4, -0.8, 0.0), 0.4, 0.5, made)


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        ({KV: (False, 0.0, -3.0, 3.0), CURRENT: (False, 0.1, 0.01, 0.2)}, ""),
        ({KV: (True, 9.0, 5.0, 13.0), CURRENT: (False, 0.0, -0.1, 0.1)}, "KV up at equal timing and warmth; the bench"),
        (
            {KV: (False, -9.0, -13.0, -5.0), CURRENT: (True, 0.3, 0.2, 0.4)},
            "Current up at equal timing and warmth; the",
        ),
        ({SPREAD: (True, -0.6, -0.9, -0.3)}, "Sensor spread -0.6°: the sensor board has moved."),
        ({"pole_imbalance_pct": (True, 0.8, 0.4, 1.2)}, "Pole imbalance +0.8 points: "),
    ],
)
def test_words_only_where_the_data_carry_them(figures, words):
    found = drift_words(wear(**figures))
    assert found.startswith(words) and bool(found) == bool(words)


def test_the_sentence_has_its_chance():
    assert slower_words(wear()) == (
        "Perhaps getting slower: 40 in 100 that the next 60 track minutes cost it 0.5 % of power at load."
    )
    assert slower_words(wear(load_power_w=(False, -0.9, -1.6, -0.2))) == (
        "Slower than it was, power at load -0.9 %, -1.6 to -0.2, over 92 track minutes: "
        "40 in 100 that the next 60 track minutes cost it another 0.5 %."
    )
