"""The ranking asked of a logbook: who is compared, which readings count, and the answer's keys."""

import json
from dataclasses import fields
from itertools import permutations

import pytest

from pitbench.desk.answers import RankAnswer, plain
from pitbench.desk.comparing.gather import gather
from pitbench.desk.comparing.ranking import newest_session, rank
from pitbench.desk.comparing.readings import comparison_of
from pitbench.figures import comparison
from pitbench.records.models import Build, Settings
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import FIGURES
from pitbench.store.logbook import Logbook
from tests.unit.desk.bench_side import USUAL, Bench, two_motors


def asked(bench, *args):
    return rank(bench.logbook.snapshot(), *args)


def motor_of(answer, name):
    return next(motor for motor in answer.motors if motor.motor == name)


def why(answer):
    return {each.motor: each.why for each in answer.not_ranked}


def without(*names):
    return {name: value for name, value in USUAL.items() if name not in names}


@pytest.mark.parametrize("limit", ["none", "heat", "rules", "gears", "unknown"])
def test_two_motors_two_runs_each_twelve_rpm_and_a_tenth_of_an_amp_settle_nothing(limit):
    answer = asked(two_motors(), None, limit)
    assert answer.verdict == "open" and answer.settle.why != "done"
    assert [motor.group for motor in answer.motors] == ["a", "a"]
    assert answer.lead_pct.low90 < 0 < answer.lead_pct.high90
    assert answer.bench.leader == "Heron"  # less current for nearly the same speed
    assert answer.as_of == "2026-04-11T18:58"
    assert (answer.basis.timing_deg, answer.basis.motor_temp_c, answer.test_voltage_v) == (pytest.approx(42), 25.0, 3.7)
    assert all(motor.flags == [] for motor in answer.motors)


def test_the_order_in_which_records_came_never_changes_a_number():
    bench = two_motors()
    runs = bench.logbook.records("bench_run")
    others = [r for kind in ("class_sheet", "motor", "build") for r in bench.logbook.records(kind)]
    answers = []
    for order in list(permutations(runs))[::7]:
        logbook = Logbook.in_memory()
        logbook.save("all", [*order, *reversed(others)])
        answers.append(rank(logbook.snapshot()))
    assert all(answer == answers[0] for answer in answers)
    assert answers[0] == asked(bench)


def test_ids_are_of_no_account():
    assert asked(two_motors()) == asked(two_motors())


def test_every_key_is_there_and_what_nobody_measured_is_null():
    printed = json.loads(json.dumps(plain(asked(two_motors())), allow_nan=False))
    assert set(printed) == {field.name.rstrip("_") for field in fields(RankAnswer)}
    assert set(printed["figures"]) == set(FIGURES)
    for motor in printed["motors"]:
        assert set(motor["figures"]) == set(FIGURES)
        assert motor["figures"]["track_pace_s"] == {"mean": None, "low90": None, "high90": None, "runs": 0}


def set_to(bench, **minutes):
    bench.logbook.save_settings("time", bench.logbook.settings().with_(**minutes))
    return asked(bench).next_test


def test_the_next_test_keeps_to_the_minutes_the_team_set():
    bench = Bench()
    for i, name in enumerate(("Heron", "Plover", "Heron", "Plover")):
        figures = without("resistance_mohm", "resistance_temp_c") | {"no_load_current_a": 4.0 + 0.02 * i}
        bench.run(name, f"2026-04-11T18:{40 + 5 * i}", **figures)
    test = asked(bench).next_test
    assert test.test == "winding" and set(test.motors) <= {"Heron", "Plover"}
    assert test.minutes == 7 * test.count * len(test.motors) and test.chance_expected > test.chance_now
    assert test.chance_now == max(motor.chance_best for motor in asked(bench).motors)
    quick = set_to(bench, clips_minutes=1.0, winding_minutes=0.5)
    assert quick.minutes == 1.5 * quick.count * len(quick.motors)
    assert set_to(bench, test_minutes=1.0) is None


def test_runs_are_planned_in_the_newest_session_whatever_its_name():
    """The motors of the older session are clamped first; sessions are numbered by name, not by time."""
    bench = Bench()
    for at, session, names in (("2026-04-12", "A", ("Heron", "Plover")), ("2026-04-11", "B", ("Heron", "Siskin"))):
        for i, name in enumerate(names * 2):
            bench.run(name, f"{at}T18:{40 + 5 * i}", session=session, **USUAL)
    snapshot = bench.logbook.snapshot()
    gathered = gather(snapshot)
    drawn = comparison.draw(comparison_of(gathered, 3.8, 20.0))
    found = {gathered.motors[m]["name"] for m in drawn.asked.of("kv_rpm_per_v").motor[_in_newest(gathered, drawn)]}
    assert found == {"Heron", "Plover"}


def _in_newest(gathered, drawn):
    return drawn.asked.of("kv_rpm_per_v").session == newest_session(gathered, drawn)


def test_one_motor_or_none_gives_nulls():
    empty = asked(Bench())
    assert (empty.motors, empty.verdict, empty.leader, empty.lead_pct, empty.as_of) == ([], None, None, None, None)
    assert (empty.settle.runs, empty.settle.why, empty.bench.leader, empty.next_test) == (None,) * 4
    bench = Bench()
    bench.run("Heron", "2026-04-11", **USUAL)
    one = asked(bench)
    assert [motor.motor for motor in one.motors] == ["Heron"]
    assert (one.verdict, one.leader, one.lead_pct, one.settle.why) == (None, None, None, None)
    json.dumps([plain(empty), plain(one)], allow_nan=False)
    assert set(plain(empty)["figures"]) == set(FIGURES)


def test_a_logbook_without_anything():
    answer = rank(Logbook.in_memory().snapshot())
    assert answer.class_ is None and answer.motors == [] and answer.not_ranked == []


def test_the_class_is_that_of_the_newest_run_else_the_one_asked_for():
    bench = two_motors()
    assert asked(bench).class_ == "club 13.5T"
    bench.motor("Curlew", class_id=None)
    bench.run("Curlew", "2026-05-01", **USUAL)
    assert asked(bench).class_ is None
    assert [motor.motor for motor in asked(bench).motors] == ["Curlew"]
    assert asked(bench, "CLUB 13.5t").class_ == "club 13.5T"


def test_an_unknown_class_or_limit_is_refused_with_what_would_be_right():
    with pytest.raises(Refusal, match=r"no class clubb 13\.5T in this logbook; club 13\.5T would be right"):
        asked(two_motors(), "clubb 13.5T")
    with pytest.raises(Refusal, match="warm is no gearing limit; none, heat, rules, gears or unknown would be right"):
        asked(two_motors(), None, "warm")


@pytest.mark.parametrize(
    ("sheet", "limit"),
    [
        ({}, "unknown"),
        ({"max_rollout_mm": 45.0}, "rules"),
        ({"min_fdr": 4.5}, "rules"),
        ({"max_rollout_mm": 45.0, "gearing_limit": "heat"}, "heat"),
    ],
)
def test_what_caps_gearing_comes_from_the_class_sheet(sheet, limit):
    bench = Bench(**sheet)
    bench.run("Heron", "2026-04-11", **USUAL)
    assert asked(bench).gearing_limit == limit
    assert asked(bench, None, "gears").gearing_limit == "gears"


def test_who_is_not_ranked_and_why():
    bench = two_motors()
    bench.motor("Siskin")
    bench.motor("Curlew", in_use=False)
    bench.run("Whio", "2026-04-11T19:00", **(USUAL | {"test_voltage_v": 7.4}))
    for name in ("Knot", "Teal"):
        bench.run(name, "2026-04-11T19:10", **USUAL)
    parts = {f"{kind}_id": f"new {kind}" for kind in ("stator", "rotor", "end_bell")}
    rebuilt = Build(motor_id=bench.motors["Knot"].id, since="2026-05-01", **parts)
    taken = Build(
        motor_id=bench.motors["Siskin"].id,
        since="2026-05-02",
        stator_id="Siskin stator",
        rotor_id="Teal rotor",
        end_bell_id="Siskin end_bell",
    )
    bench.logbook.save("builds", [rebuilt, taken])
    answer = asked(bench)
    assert why(answer) == {"Siskin": "no_run", "Whio": "other_voltage", "Knot": "new_build", "Teal": "part_missing"}
    assert {motor.motor for motor in answer.motors} == {"Heron", "Plover"}


def test_runs_on_parts_that_were_only_tried_do_not_count():
    bench = two_motors()
    trial = Build(motor_id=bench.motors["Heron"].id, rotor_id="Plover rotor", fitted=False, since="2026-04-12")
    bench.logbook.save("trial", [trial])
    bench.run("Heron", "2026-04-12T10:00", build_id=trial.id, **(USUAL | {"kv_rpm_per_v": 4400.0}))
    heron = motor_of(asked(bench), "Heron")
    assert heron.figures["kv_rpm_per_v"].runs == 2 and heron.figures["kv_rpm_per_v"].high90 < 4000


def test_excluded_and_deleted_runs_do_not_count():
    bench = two_motors()
    before = asked(bench)
    bench.run("Heron", "2026-04-11T19:30", excluded_why="loose lead", **(USUAL | {"kv_rpm_per_v": 3700.0}))
    gone = bench.run("Heron", "2026-04-11T19:40", **(USUAL | {"kv_rpm_per_v": 3700.0}))
    bench.logbook.journal.bin("away", [("bench_run", gone.id)])
    after = asked(bench)
    assert [motor.figures for motor in after.motors] == [motor.figures for motor in before.motors]
    assert after.as_of == before.as_of


def test_speed_comes_from_kv_else_rpm_else_erpm():
    bench = Bench()
    rest = without("kv_rpm_per_v")
    bench.run("Heron", "2026-04-11T18:00", kv_rpm_per_v=3900.0, rpm=99_000.0, **rest)
    bench.run("Knot", "2026-04-11T18:05", rpm=3900.0 * 3.7, **rest)
    bench.motor("Teal", poles=4)
    bench.run("Teal", "2026-04-11T18:10", erpm=3900.0 * 3.7 * 2, **rest)
    bench.run("Whio", "2026-04-11T18:15", rpm=14_000.0, **without("kv_rpm_per_v", "test_voltage_v"))
    answer = asked(bench)
    means = {motor.motor: motor.figures["kv_rpm_per_v"].mean for motor in answer.motors}
    assert means["Heron"] == pytest.approx(means["Knot"], rel=1e-3) == pytest.approx(means["Teal"], rel=1e-3)
    assert means["Heron"] == pytest.approx(3900, rel=0.005)
    assert means["Whio"] is None


def test_a_tester_that_assumed_other_poles_is_put_right():
    bench = two_motors()
    bench.motor("Teal", poles=4)
    bench.run("Teal", "2026-04-11T18:50", **(USUAL | {"kv_rpm_per_v": 7840.0, "poles_assumed": 2}))
    teal = motor_of(asked(bench), "Teal").figures["kv_rpm_per_v"]
    assert teal.mean == pytest.approx(3920, rel=0.005)


def test_a_blank_voltage_is_the_tester_s_most_used_and_flagged():
    bench = two_motors()
    bench.run("Whio", "2026-04-11T19:00", **without("test_voltage_v"))
    answer = asked(bench)
    assert "voltage_assumed" in motor_of(answer, "Whio").flags
    assert "voltage_assumed" not in motor_of(answer, "Heron").flags


def test_voltages_within_a_tenth_are_one():
    bench = two_motors()
    bench.run("Whio", "2026-04-11T19:00", **(USUAL | {"test_voltage_v": 3.8}))
    bench.run("Knot", "2026-04-11T19:05", **(USUAL | {"test_voltage_v": 3.81}))
    answer = asked(bench)
    assert why(answer) == {"Knot": "other_voltage"}
    assert answer.test_voltage_v == 3.7


def test_nobody_wrote_the_voltage_down():
    bench = Bench()
    for name in ("Heron", "Plover"):
        bench.run(name, "2026-04-11", **without("test_voltage_v"))
    answer = asked(bench)
    assert answer.test_voltage_v is None and len(answer.motors) == 2 and answer.verdict == "open"


def test_resistance_is_brought_to_20_degrees_and_counts_on_the_motor_s_first_build_only():
    bench = Bench()
    for name, at in (("Heron", 20.0), ("Plover", 30.0)):
        bench.motor(name, resistance_mohm=11.5 * (1 + 0.00393 * (at - 20)), resistance_temp_c=at)
        bench.run(name, "2026-04-11", **without("resistance_mohm", "resistance_temp_c"))
    answer = asked(bench)
    heron, plover = (motor_of(answer, name).figures["resistance_mohm"] for name in ("Heron", "Plover"))
    assert (heron.runs, plover.runs) == (1, 1)
    assert heron.mean == pytest.approx(11.5, rel=0.01) and plover.mean == pytest.approx(heron.mean, rel=1e-3)
    parts = {f"{kind}_id": f"Heron {kind}" for kind in ("stator", "rotor")}
    rebuilt = Build(motor_id=bench.motors["Heron"].id, since="2026-05-01", end_bell_id="E9", **parts)
    bench.logbook.save("rebuilt", [rebuilt])
    bench.run("Heron", "2026-05-02", build_id=rebuilt.id, **without("resistance_mohm", "resistance_temp_c"))
    heron = motor_of(asked(bench), "Heron")
    assert heron.figures["resistance_mohm"].mean is None and heron.figures["resistance_mohm"].runs == 0
    assert "no_resistance" in heron.flags


def test_flags():
    bench = two_motors()
    bench.motor("Dunlin", check_motor=True)
    sensors = ("timing_deg", "timing_a_deg", "timing_b_deg", "timing_c_deg")
    bench.run("Dunlin", "2026-04-11T19:00", **without(*sensors, "resistance_mohm", "resistance_temp_c"))
    answer = asked(bench)
    assert motor_of(answer, "Dunlin").flags == ["no_resistance", "one_run", "no_timing", "check_motor"]
    assert answer.basis.timing_deg is None  # one motor without timing: nobody is equalised


@pytest.mark.parametrize("runs", [1, 2, 4])
def test_a_kv_with_a_digit_too_many_is_flagged_and_breaks_nothing(runs):
    bench = two_motors()
    for i in range(runs):
        kv = 39200.0 if i == 0 else 3920.0
        bench.run("Whio", f"2026-04-11T19:0{i}", **(USUAL | {"kv_rpm_per_v": kv}))
    answer = asked(bench)
    json.dumps(plain(answer), allow_nan=False)
    flagged = "run_does_not_fit" in motor_of(answer, "Whio").flags
    assert flagged == (runs > 1)  # a lone run has no other of its motor to fit to
    if runs > 2:
        assert motor_of(answer, "Whio").figures["kv_rpm_per_v"].mean == pytest.approx(3915, rel=0.01)


def test_without_a_thermometer_anywhere_nobody_is_corrected():
    bench = Bench()
    for i, name in enumerate(("Heron", "Plover") * 2):
        bench.run(name, f"2026-04-11T18:0{i}", **without("motor_temp_c"))
    assert asked(bench).basis.motor_temp_c is None


def test_unevenness_is_compared_within_one_tester():
    bench = two_motors()
    bench.run("Whio", "2026-04-11T19:00", **(USUAL | {"tester": "other box", "pole_imbalance_pct": 9.0}))
    whio = motor_of(asked(bench), "Whio")
    assert whio.figures["pole_imbalance_pct"].runs == 0 and whio.figures["kv_rpm_per_v"].runs == 1


def test_weights_and_margins_are_the_team_s():
    bench = two_motors()
    settings = Settings(id="settings", weights={"no_load_current_a": 3.0}, margins={"load_power_w": 1.0})
    bench.logbook.save_settings("weights", settings)
    answer = asked(bench)
    assert answer.leader == "Heron"
    assert answer.figures["no_load_current_a"].weight == 3.0
    assert answer.figures["load_power_w"].margin == 1.0
    assert answer.figures["load_power_w"].weight == 1.0


def test_leads_and_cell_voltage_are_settings():
    bench = two_motors()
    bench.logbook.save_settings("leads", Settings(id="settings", leads_mohm=10.0, volts_per_cell=3.6))
    basis = asked(bench).basis
    assert (basis.leads_mohm, basis.voltage_v) == (pytest.approx(10), pytest.approx(7.2))
