"""What a motor is laid out from: the ranking's figures, a log's where the bench has no resistance; what is missing."""

from datetime import datetime

import numpy as np
import pytest
from scipy.optimize import brentq

from pitbench.desk.comparing.ranking import rank
from pitbench.desk.lists.motor_model import (
    Model,
    NoModel,
    at_current,
    at_speeds,
    laid_out,
    models_of,
    speeds_of,
)
from pitbench.records.units import Units
from pitbench.words.motor_model import (
    beside_words,
    conditions_words,
    made_of_words,
    model_words,
    no_model_words,
)
from tests.unit.desk.bench_side import USUAL
from tests.unit.desk.test_load_in_ranking import bench_of, log

NOW = datetime(2026, 5, 17, 14, 2)
RAD_S = np.pi / 30


def models(bench):
    snapshot = bench.logbook.snapshot()
    return models_of(snapshot, bench.sheet.name, rank(snapshot, bench.sheet.name))


def test_a_motor_is_laid_out_from_the_figures_of_the_ranking():
    bench = bench_of()
    answer, found = rank(bench.logbook.snapshot()), models(bench)
    heron, ranked = found.motors["Heron"], next(each for each in answer.motors if each.motor == "Heron")
    assert [*found.motors] == [each.motor for each in answer.motors]
    assert heron.kv == ranked.figures["kv_rpm_per_v"].mean
    assert heron.resistance == pytest.approx(ranked.figures["resistance_mohm"].mean / 1000 + 0.020)
    assert heron.constant == pytest.approx(heron.kv * 3.7 / (3.7 - heron.current * (heron.resistance - 0.020)))
    assert found.at_work == answer.basis.current_a and not found.work_seen


def test_power_and_torque_are_those_the_circuit_and_the_loss_give():
    """Judge: speed at which supply, winding and a loss torque Tc + ke·ω balance a shaft torque, by scipy's brentq."""
    found = models(bench_of())
    model, voltage = found.motors["Heron"], 7.6
    omega_tested, kt = model.tested_rpm * RAD_S, 60 / (2 * np.pi * model.constant)
    lost = model.current * kt
    drag, by_speed = lost * (1 - model.share), lost * model.share / omega_tested
    for at in laid_out(model, voltage, found.at_work).line[20:90:10]:

        def balance(omega, at=at):
            current = (voltage - omega * kt) / model.resistance
            return current * kt - drag - by_speed * omega - at.torque

        omega = brentq(balance, 1.0, voltage / kt)
        assert at.rpm * RAD_S == pytest.approx(omega, rel=1e-6)
        assert at.power == pytest.approx(at.torque * omega, rel=1e-6)


def test_another_voltage_moves_the_line_and_the_working_speeds():
    found = models(bench_of())
    low, high = (laid_out(found.motors["Heron"], voltage, found.at_work) for voltage in (7.4, 8.4))
    assert high.free.rpm > low.free.rpm and high.strongest.power > low.strongest.power
    for laid in (low, high):
        slow, fast = laid.work
        assert slow.rpm < fast.rpm
        assert slow.current == pytest.approx(found.at_work[1], rel=0.02)
        assert fast.current == pytest.approx(found.at_work[0], rel=0.03)
    assert laid_out(found.motors["Heron"], 1.0, found.at_work).work is None
    speeds = speeds_of([low, high], 12)
    assert speeds == sorted(speeds, reverse=True) and 8 <= len(speeds) <= 14
    assert low.strongest.rpm >= speeds[-1] and high.free.rpm >= speeds[0]


def test_losses_are_parted_where_two_voltages_were_run():
    bench = bench_of()
    kt, drag, by_speed, ohm = 60 / (2 * np.pi * 3965), 0.004, 2e-6, 0.0113
    for minute, voltage in ((40, 3.7), (50, 7.4), (55, 7.4)):
        current = brentq(lambda i, v=voltage: i * kt - drag - by_speed * (v - i * ohm) / kt, 0.0, 40.0)
        kv = 3965 * (voltage - current * ohm) / voltage
        figures = {"test_voltage_v": voltage, "no_load_current_a": round(current, 3), "kv_rpm_per_v": round(kv, 1)}
        bench.run("Plover", f"2026-04-11T11:{minute}", **(USUAL | figures))
    for run in bench.logbook.records("bench_run"):
        if run.motor_id == bench.motors["Plover"].id and run.taken_at.endswith(("11:10", "11:30")):
            bench.logbook.save("out", [run.model_copy(update={"excluded_why": "other bearings"})])
    found = models(bench)
    split = found.motors["Plover"].split
    assert split.voltages == (3.7, 7.4)
    assert split.drag == pytest.approx(drag, rel=0.02) and split.per_rpm == pytest.approx(by_speed * RAD_S, rel=0.02)
    assert "4.0" in " ".join(conditions_words([found.motors["Plover"]], found, Units()))
    assert found.motors["Heron"].split is None
    assert "a second voltage would tell" in " ".join(conditions_words([found.motors["Heron"]], found, Units()))


def test_a_motor_without_resistance_is_laid_out_from_its_log_and_says_so():
    bench = bench_of("Plover")
    missing = models(bench).motors["Plover"]
    assert isinstance(missing, NoModel) and missing.lacks == ("winding resistance",)
    said = " ".join(no_model_words(missing, "Plover", 7.6))
    assert "without its winding resistance" in said and "KV 39" in said and "no-load" in said
    log(bench, "Plover", "2026-04-12T11:00")
    found = models(bench)
    plover = found.motors["Plover"]
    assert (plover.constant, plover.resistance) == (3960.0, pytest.approx(0.032))
    kv, ohm = made_of_words(plover, found, Units(), NOW)
    assert kv == "KV 3960 under load" and ohm == "32.0 mΩ by log, 12 Apr 11:00"
    assert "as warm as they were" in " ".join(conditions_words([plover, found.motors["Heron"]], found, Units()))
    assert "not to be set against it" in beside_words(
        laid_out(plover, 7.6, found.at_work), found.motors["Heron"], None, None
    )
    assert {*found.by_log} == {"Plover"} and found.motors["Heron"].log is None
    assert found.work_seen and "as load logs saw" in model_words(laid_out(plover, 7.6, found.at_work), 7.6, found)[0]


def test_what_is_not_ranked_says_why():
    bench = bench_of()
    bench.motor("Whimbrel")
    found = models(bench)
    assert found.motors["Whimbrel"] == NoModel("Whimbrel", why="no_run")
    assert no_model_words(found.motors["Whimbrel"], "Whimbrel", 7.6) == [
        "Whimbrel cannot be laid out: no bench run yet."
    ]
    assert "not compared" in no_model_words(None, "Whimbrel", 7.6)[0]


def test_beside_another_at_the_same_current_and_the_same_speed():
    found = models(bench_of())
    heron = found.motors["Heron"]
    worse = Model("Dunlin", heron.kv, heron.constant, heron.resistance + 0.002, *vars_of(heron))
    laid, voltage = laid_out(heron, 7.6, found.at_work), 7.6
    at = [at_current(model, voltage, 60.0) for model in (heron, worse)]
    assert at[0].current == pytest.approx(60) and at[1].power < at[0].power
    turning = [at_speeds(model, voltage, [20000.0], None)[0] for model in (heron, worse)]
    said = beside_words(laid, worse, (at[0], at[1]), (turning[0], turning[1]))
    assert "W less at 60 A" in said and "W less at 20000 rpm" in said and "Rankings say" in said
    assert beside_words(laid, worse, (at[0], at[0]), None).startswith("Dunlin: as much at 60 A")
    assert at_current(heron, voltage, 1e6) is None and at_current(heron, voltage, 0.5) is None
    assert at_speeds(heron, voltage, [1e6], None) == []


def vars_of(model):
    return model.current, model.tested_rpm, model.share
