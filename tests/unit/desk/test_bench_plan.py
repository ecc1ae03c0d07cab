"""The bench plan: order, repeats, words."""

from dataclasses import replace
from math import hypot
from statistics import fmean

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.answers import NextTest, Settle
from pitbench.desk.bench.bench_plan import BenchPlan, bench_plan
from pitbench.desk.comparing.ranking import rank
from pitbench.figures.repeats import runs_to_tell
from pitbench.words.bench import plan_words
from tests.unit.desk.bench_side import Bench
from tests.unit.desk.evenings import bench_with_check_motor, evening


def plan(bench, minutes=90.0, **changes) -> BenchPlan:
    bench.logbook.save_settings("time", bench.logbook.settings().with_(test_minutes=minutes))
    snapshot = bench.logbook.snapshot()
    return bench_plan(snapshot, replace(rank(snapshot), **({"next_test": None} | changes)))


def places(order, name):
    return [at for at, other in enumerate(order) if other == name]


def test_check_motor_first_between_and_last_and_motors_there_and_back():
    bench = bench_with_check_motor()
    evening(bench, "2026-05-10")
    found = plan(bench)
    assert found.order == ["Dunlin", "Heron", "Plover", "Dunlin", "Plover", "Heron", "Dunlin"]
    assert (found.repeats, found.minutes, found.check_motor) == (2, 7 * 2.0 + 3 * 5.0, "Dunlin")
    assert plan_words(found)[0] == "Two runs of each of two motors: seven in all, about 29 min."
    assert plan_words(found)[1].startswith("A KV difference of 0.25 % takes ")
    assert "Dunlin, the check motor, first, between and last, shows" in plan_words(found)[2]
    assert plan_words(found)[3] == "Motors take turns: a tester that drifts then moves all alike."
    assert not any("resistance" in line for line in plan_words(found))


@settings(max_examples=25)
@given(st.integers(2, 7), st.integers(10, 400), st.integers(1, 12))
def test_a_tester_that_drifts_evenly_moves_all_motors_alike(motors, minutes, runs):
    """Also the leaders' further runs: mean place in the order is the same for all motors of a round."""
    bench = bench_with_check_motor()
    for i in range(motors):
        bench.motor(f"M{i}")
        for at in (0, 30):
            bench.run(f"M{i}", f"2026-05-10T1{i}:{at:02d}", kv_rpm_per_v=3900.0 + i, no_load_current_a=4.0)
    found = plan(bench, minutes, settle=Settle(runs, "runs"))
    everyone = {name: places(found.order, name)[: found.repeats] for name in found.rounds[0]}
    assert len({fmean(each) for each in everyone.values()}) == 1
    leaders = {name: places(found.order, name)[found.repeats :] for name in found.rounds[-1]}
    assert len({(len(each), fmean(each or [0])) for each in leaders.values()}) == 1
    assert found.order[0] == found.order[-1] == "Dunlin"
    assert all(one != other for one, other in zip(found.order, found.order[1:], strict=False)), "none twice in a row"
    assert found.repeats >= 2 and found.repeats % 2 == 0
    if len(found.rounds) > 2:
        assert found.minutes <= minutes


def test_the_leaders_run_further_where_runs_settle_it():
    bench = bench_with_check_motor()
    evening(bench, "2026-05-10")
    bench.motor("Siskin")
    bench.run("Siskin", "2026-05-10T18:40", kv_rpm_per_v=3700.0, no_load_current_a=4.4)
    asked = rank(bench.logbook.snapshot())
    leaders = sorted(motor.motor for motor in asked.motors if motor.motor != "Dunlin")[:2]
    found = plan(bench, settle=Settle(3, "runs"), motors=sorted(asked.motors, key=lambda m: m.motor not in leaders))
    assert found.rounds[:2] == [["Heron", "Plover", "Siskin"], ["Siskin", "Plover", "Heron"]]
    assert found.rounds[2:] == [["Heron", "Plover"], ["Plover", "Heron"]]
    assert (
        plan_words(found)[0]
        == "Two runs of each of three motors, then 2 runs more of Heron and Plover: 15 in all, about 50 min."
    )
    assert "winding resistance of Siskin" in " ".join(plan_words(found))


def test_a_first_evening_takes_as_many_rounds_as_tell_a_margin_or_time_allows():
    bench = Bench()
    for name in ("Heron", "Plover"):
        bench.motor(name)
    found = plan(bench)
    assert found.check_motor is None and found.repeats == 12 and found.minutes == 24 * 2.0 + 2 * 5.0
    assert found.enough == runs_to_tell(0.25 / hypot(0.2, 0.25)) == 16  # reading and clamping, as usually believed
    assert "as testers usually repeat themselves" in plan_words(found)[1]
    assert plan_words(found)[2].startswith("No check motor")
    short = plan(bench, 15.0)
    assert short.repeats == 2 and plan_words(short)[0].endswith("about 18 min, more than your 15.")


def test_what_tells_most_for_its_minutes_is_said_first():
    bench = bench_with_check_motor()
    evening(bench, "2026-05-10")
    test = NextTest("winding", ["Heron", "Plover"], 2, 28.0, 0.74, 0.85)
    said = "Next: winding of Heron and Plover twice, clips off and on, 28 min: 74 → 85 in 100."
    assert plan_words(plan(bench, next_test=test))[0] == said
    assert plan_words(plan(bench, next_test=test, verdict="clear"))[0].startswith("Two runs")
    beyond = "Beyond your 20 min: two runs of each of two motors, seven in all, about 29 min."
    assert plan_words(plan(bench, 20.0, next_test=test))[1] == beyond  # two plans for one evening would compete


def test_runs_take_as_long_as_the_ranking_counts_for_a_new_session_of_them():
    """That two motors read n times each take 2 · (clips + n · run) is held in figures/test_next_test."""
    bench = Bench()
    for name in ("Heron", "Plover"):
        bench.motor(name)
    bench.logbook.save_settings("time", bench.logbook.settings().with_(run_minutes=3.0, clips_minutes=0.5))
    found = plan(bench, 60.0)
    assert found.repeats == 8 and found.minutes == 2 * (0.5 + 8 * 3.0)


def test_nothing_to_plan():
    found = plan(bench_with_check_motor())
    assert (found.rounds, found.order, found.minutes, plan_words(found)) == (
        [],
        [],
        0.0,
        ["No motor in use to plan for."],
    )


@pytest.mark.parametrize("in_use", [True, False])
def test_motors_not_in_use_stay_in_the_box(in_use):
    bench = bench_with_check_motor()
    bench.motor("Heron")
    bench.motor("Plover", in_use=in_use)
    assert ("Plover" in plan(bench).order) == in_use
