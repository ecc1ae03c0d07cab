"""The ranking with track runs: pace and finish temperature listed, and counted once the user gives them weight."""

import subprocess
import sys

import pytest

from pitbench.desk.comparing.ranked import evidence_of_class
from pitbench.desk.comparing.ranking import compare, rank
from pitbench.store.logbook import Logbook
from tests.unit.desk.race_days import RaceDays
from tests.unit.desk.test_pace import race_in_turn

LAPS = {"Heron": 14.0, "Plover": 14.1, "Siskin": 14.2}
NOTHING = (None, None, None, 0)


def three(rounds=3):
    days = RaceDays(*LAPS)
    race_in_turn(days, LAPS, rounds)
    return days


def hot(days, temps, at="2026-05-16T15"):
    """One more run of each motor, read a minute after a five-minute run at 22 °C."""
    for minute, (name, temp) in enumerate(temps.items()):
        days.race(
            name,
            f"{at}:{10 * minute:02d}",
            run_time_s=300.0,
            ambient_c=22.0,
            finish_reading_c=temp,
            finish_reading_after_s=60.0,
        )


def figure(answer, motor, name):
    found = next(each for each in answer.motors if each.motor == motor).figures[name]
    return found.mean, found.low90, found.high90, found.runs


def test_pace_is_listed_from_eight_runs_over_three_motors_on():
    days = three()
    answer = rank(days.logbook.snapshot())
    found = {name: figure(answer, name, "track_pace_s") for name in LAPS}
    assert {name: each[3] for name, each in found.items()} == dict.fromkeys(LAPS, 3)
    assert found["Heron"][0] < found["Plover"][0] < found["Siskin"][0]
    assert found["Plover"][0] == pytest.approx(14.1, abs=0.02)
    assert all(low < mean < high for mean, low, high, _ in found.values())
    basis = answer.figures["track_pace_s"]
    assert (basis.weight, basis.margin) == (0, 0.3) and 0 < basis.repeatability < 0.1


@pytest.mark.parametrize("runs", [{"Heron": 14.0, "Plover": 14.1}, {"Heron": 14.0, "Plover": 14.1, "Siskin": 14.2}])
def test_fewer_runs_or_motors_list_no_pace(runs):
    days = RaceDays(*LAPS)
    race_in_turn(days, runs, rounds=2 if len(runs) == 3 else 4)
    answer = rank(days.logbook.snapshot())
    assert all(figure(answer, name, "track_pace_s") == NOTHING for name in LAPS)
    assert answer.figures["track_pace_s"].repeatability is None


def test_track_runs_change_nothing_of_the_score_before_they_have_weight():
    days = three()
    bench = RaceDays(*LAPS)
    ours, alone = rank(days.logbook.snapshot()), rank(bench.logbook.snapshot())
    assert [(m.motor, m.score_pct, m.chance_best) for m in ours.motors] == [
        (m.motor, m.score_pct, m.chance_best) for m in alone.motors
    ]


def test_pace_counts_with_the_weight_it_is_given():
    compared = compare(three(rounds=6).logbook.snapshot())
    plain, weighed = compared.answer(), compared.answer({"track_pace_s": 1.0})
    gain = {m.motor: m.score_pct for m in weighed.motors}
    before = {m.motor: m.score_pct for m in plain.motors}
    # one margin, 0.3 % of a lap, is worth half a percent: Heron is 100·ln(14.1/14) = 0.71 % under the mean of the three
    paces = {m.motor: m.figures["track_pace_s"].mean for m in plain.motors}
    mean = sum(paces.values()) / 3
    for name in LAPS:
        assert gain[name] - before[name] == pytest.approx(-100 * (paces[name] / mean - 1) / 0.3 * 0.5, abs=0.02)
    assert gain["Heron"] - before["Heron"] == pytest.approx(0.71 / 0.3 * 0.5, rel=0.15)
    assert weighed.motors[0].motor == "Heron"


def test_finish_temperatures_at_the_newest_event_s_conditions():
    days = three()
    hot(days, {"Heron": 68.0, "Plover": 72.0})
    answer = rank(days.logbook.snapshot())
    heron, plover, siskin = (figure(answer, name, "finish_temp_c") for name in LAPS)
    assert siskin == NOTHING and (heron[3], plover[3]) == (1, 1)
    assert 66 < heron[0] < plover[0] < 74 and heron[1] < heron[0] < heron[2]
    # π·62.5·30/(72·1.9), of every run alike; twenty laps of the others beside five minutes
    assert answer.basis.rollout_mm == pytest.approx(43.06, abs=0.01)
    assert (answer.basis.minutes, answer.basis.ambient_c) == (pytest.approx(14.1 * 20 / 60, abs=0.4), 22.0)
    assert answer.figures["finish_temp_c"].weight == 0


def test_a_cooler_motor_gains_by_weight():
    days = three()
    for at in ("2026-05-16T15", "2026-05-16T16", "2026-05-16T17"):
        hot(days, {"Heron": 76.0, "Plover": 70.0, "Siskin": 64.0}, at)
    compared = compare(days.logbook.snapshot())
    before, after = (
        {m.motor: m.score_pct for m in compared.answer({"finish_temp_c": weight}).motors} for weight in (0.0, 1.0)
    )
    assert after["Heron"] - before["Heron"] < 0 < after["Siskin"] - before["Siskin"]


def test_the_order_in_which_track_runs_came_and_their_ids_are_of_no_account():
    answers = []
    for turned in (False, True):
        days = three()
        hot(days, {"Heron": 68.0, "Plover": 72.0})
        records = [
            r
            for kind in ("class_sheet", "motor", "build", "bench_run", "event", "track_run")
            for r in days.logbook.records(kind)
        ]
        logbook = Logbook.in_memory()
        logbook.save("all", records[::-1] if turned else records)
        answers.append(rank(logbook.snapshot()))
    assert answers[0] == answers[1]


def test_a_track_run_can_be_left_out_of_one_question():
    days = three()
    quick = days.race("Siskin", "2026-05-16T14:00", 13.0)
    with_it, without = (rank_pace(days, ids) for ids in ((), [quick.id]))
    assert with_it["Siskin"] < without["Siskin"] and without == pytest.approx(rank_pace(three(), ()))


def rank_pace(days, leave_out):
    answer = compare(days.logbook.snapshot(), leave_out=leave_out).answer()
    return {motor.motor: motor.figures["track_pace_s"].mean for motor in answer.motors}


def test_power_that_nobody_can_tell_stands_on_no_runs():
    days = RaceDays("Heron", "Plover")
    for row in days.logbook.records("bench_run"):
        days.logbook.save("no resistance", [row.with_(resistance_mohm=None, resistance_temp_c=None)])
    answer = rank(days.logbook.snapshot())
    assert all(figure(answer, name, "load_power_w") == NOTHING for name in ("Heron", "Plover"))


def test_a_logbook_without_track_runs_loads_nothing_for_them():
    code = (
        "import sys; from tests.unit.desk.race_days import RaceDays; from pitbench.desk.comparing.ranking import rank;"
        "rank(RaceDays('Heron', 'Plover').logbook.snapshot());"
        "print([m for m in sys.modules if m.startswith('pitbench') and ('heat' in m or 'pace' in m)])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_class_in_the_bin_names_nothing_on_the_track_either():
    days = three()
    sheet = days.logbook.rows("class_sheet")[0]
    before = rank(days.logbook.snapshot())
    days.logbook.journal.bin("class", [("class_sheet", sheet["id"])])
    snapshot = days.logbook.snapshot()
    answer = rank(snapshot)
    assert answer.class_ is None
    assert {name: figure(answer, name, "track_pace_s") for name in LAPS} == {
        name: figure(before, name, "track_pace_s") for name in LAPS
    }
    for class_id in (sheet["id"], None):
        assert evidence_of_class(snapshot, class_id).pace.pace.counts == (3, 3, 3)
    assert evidence_of_class(snapshot, "nobody's").pace.pace.counts == (3, 3, 3)
