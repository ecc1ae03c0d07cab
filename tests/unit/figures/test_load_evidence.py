"""Load logs in a comparison: draws moved as exact conditioning of normals has it, and no further than they are sure."""

from dataclasses import replace

import numpy as np
import pytest

from pitbench.figures.comparison import draw
from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.load_evidence import KV_LOG_PCT, KV_SHIFT_PCT, WINDING_DOUBT_C, Benched, LogReadings, informed
from pitbench.figures.normals import antithetic
from pitbench.figures.ranking import rank
from tests.unit.figures.made import compared

COPPER = 0.00393
DRAWS = 4000


def logs_of(*rows):
    """Rows of (motor, car, kv, its se, R in mΩ, its se), winding at 20 °C."""
    motor, car, kv, kv_se, ohm, ohm_se = np.array(rows, dtype=float).T
    n = motor.size
    return LogReadings(motor.astype(int), car.astype(int), kv, kv_se, ohm, ohm_se, np.full(n, 0.3), np.full(n, 20.0))


def bench_of(means, sds, current=0.0):
    """Draws of two or more motors: KV 4000 ± 0.2 %, R as given."""
    size = len(means)
    resistance = np.array(means) + np.array(sds) * antithetic(DRAWS, size, 1)
    kv = 4000 * np.exp(0.002 * antithetic(DRAWS, size, 2))
    return Benched(kv, np.full((DRAWS, size), current), resistance, 3.7, (20.0, 8.0))


def test_resistances_agree_with_exact_conditioning_of_normals():
    """Judge: C. Bishop, Pattern Recognition and Machine Learning, 2.116 and 2.117, in precisions. Unknowns: R of two
    motors and the offset of one car; Kv fits to the point and so tells R nothing but by its correlation."""
    means, sds = [12.0, 12.0, 12.0], [0.1, 1.5, 1.5]
    logs = replace(logs_of((0, 0, 4000, 10, 33.0, 0.3), (1, 0, 4000, 10, 34.5, 0.3)), correlation=np.zeros(2))
    _, found = informed(bench_of(means, sds), logs)
    reading = np.array([[1, 0, 1], [0, 1, 1]])
    noise = np.diag(0.3**2 + (12 * COPPER * WINDING_DOUBT_C) ** 2 * np.ones(2))
    prior = np.diag([0.1**2, 1.5**2, 8.0**2])
    covariance = np.linalg.inv(np.linalg.inv(prior) + reading.T @ np.linalg.inv(noise) @ reading)
    before = np.array([12.0, 12.0, 20.0])
    mean = covariance @ (reading.T @ np.linalg.inv(noise) @ [33.0, 34.5] + np.linalg.inv(prior) @ before)
    assert found[:, :2].mean(axis=0) == pytest.approx(mean[:2], abs=0.05)
    assert found[:, :2].std(axis=0) == pytest.approx(np.sqrt(np.diag(covariance))[:2], rel=0.05)
    assert np.array_equal(found[:, 2], bench_of(means, sds).resistance[:, 2]), "a motor without a log stays"


def test_kv_agrees_with_exact_conditioning_of_normals():
    bench = bench_of([12.0], [0.1])
    wide = replace(bench, kv=4000 * np.exp(0.02 * antithetic(DRAWS, 1, 2)))
    found, _ = informed(wide, logs_of((0, 0, 4000 * np.exp(0.03), 0.001, 32.0, 0.3)))
    doubt = KV_SHIFT_PCT**2 + KV_LOG_PCT**2
    share = 2.0**2 / (2.0**2 + doubt)
    percent = 100 * np.log(found / 4000)
    assert percent.mean() == pytest.approx(3.0 * share, abs=0.1)
    assert percent.std() == pytest.approx((2.0**2 * (1 - share)) ** 0.5, rel=0.03)


def test_a_log_of_another_kind_of_motor_does_not_drag_its_motor_along():
    bench = bench_of([12.0, 12.0], [0.3, 0.3])
    _, found = informed(bench, logs_of((0, 0, 4000, 10, 320.0, 0.3)))
    assert found[:, 0].mean() == pytest.approx(12.0, abs=0.3)


READ = {KV: [3950, 3952, 3940, 3938], CURRENT: [4.0, 4.02, 4.1, 4.09]}
MOTORS = [0, 0, 1, 1]


def ranked(logs, resistance=None):
    asked = compared(READ | ({RESISTANCE: resistance} if resistance else {}), MOTORS, gearing="free")
    return draw(replace(asked, logs=logs))


def test_resistance_seen_in_a_log_alone_is_narrower_than_one_never_measured():
    of_first = [12.0, 12.1]
    asked = compared({RESISTANCE: of_first, **{name: READ[name][:2] for name in READ}}, [0, 0], gearing="free")
    second = replace(asked, n_motors=2)
    one_car = logs_of(*[(0, 0, 3990, 5, 32.0, 0.1)] * 3, *[(1, 0, 3990, 5, 32.4, 0.1)] * 3)
    without, with_logs = draw(second), draw(replace(second, logs=one_car))
    assert with_logs.values[RESISTANCE][:, 1].std() < 0.97 * without.values[RESISTANCE][:, 1].std()
    assert with_logs.runs(RESISTANCE, 1) == 0, "no reading of the bench"


def test_the_motor_with_less_resistance_in_the_same_car_is_likelier_to_be_best():
    logs = logs_of(*[(0, 0, 3990, 5, 34.0, 0.1)] * 2, *[(1, 0, 3980, 5, 30.0, 0.1)] * 2)
    chance = [{each.motor: each.chance_best for each in rank(ranked(given)).motors}[1] for given in (None, logs)]
    assert chance[1] > chance[0] + 0.02


def test_no_log_changes_nothing():
    none = logs_of((0, 0, 1, 1, 1, 1))
    empty = LogReadings(*(column[:0] for column in vars(none).values()))
    for name, values in ranked(None).values.items():
        assert np.array_equal(values, ranked(empty).values[name])
