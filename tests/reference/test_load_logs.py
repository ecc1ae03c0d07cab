"""Kv and R under load from open measurements: thirteen small motors on a propeller stand, and a robot car."""

import csv
from pathlib import Path

import numpy as np
import pytest

from pitbench.figures.load_log import Samples, analyse

REAL = Path(__file__).parent / "real"

# StrawsonDesign/motor_propeller_testing (MIT): Kv as the makers state it, motors a to m. Nobody knows why m is so far
# off. Least squares by others over these rows: 0.956 of it on the mean, sd 0.05, m 0.60; R 81 to 590 mΩ with leads.
STATED = dict(zip("abcdefghijklm", (26, 25, 24.5, 23, 24, 23.5, 20, 24, 23, 24, 24, 28, 24), strict=True))
STATED_KV = {motor: 100 * kv for motor, kv in STATED.items()}
SHARE_OF_STATED, SHARE_SD, SHARE_OF_M = 0.956, 0.05, 0.60
LEAST_OHM, MOST_OHM = 0.081, 0.590

# AhmadAmine998/FrictionMaps, DS5 (MIT): read by others, duty × voltage with the motor's current gives Kv about 3700 and
# 27 to 32 mΩ; no truth is known.
CAR_KV, CAR_OHM = 3700, (0.027, 0.032)


def columns(name):
    with (REAL / name).open() as file:
        rows = list(csv.DictReader(file))
    return {key: np.array([row[key] for row in rows]) for key in rows[0]}


def on_the_stand(table, motor, least=None):
    at = table["motor"] == motor
    time = table["time_s"][at].astype(float)
    runs = np.cumsum(np.append(True, np.diff(time) < 0))
    throttle = (table["signal_us"][at].astype(float) - 1050) / 950
    if least is not None:
        throttle = np.where(throttle >= least, 1.0, throttle)
    unknown = np.full(time.size, np.nan)
    voltage, current, rpm = (table[name][at].astype(float) for name in ("voltage_v", "current_a", "rpm"))
    return Samples(time + 100 * runs, voltage, current, False, rpm, throttle, unknown, unknown, unknown)


@pytest.fixture(scope="module")
def stand():
    return columns("thirteen_motors.csv")


@pytest.fixture(scope="module")
def car():
    table = {name: values.astype(float) for name, values in columns("robot_car.csv").items()}
    unknown = np.full(table["time_s"].size, np.nan)

    def samples(**other):
        given = {
            "time_s": table["time_s"],
            "voltage_v": table["voltage_v"],
            "current_a": table["motor_current_a"],
            "current_is_of_motor": True,
            "rpm": table["erpm"] / 2,
            "throttle": unknown,
            "duty": table["duty"],
            "motor_temp_c": unknown,
            "esc_temp_c": unknown,
        }
        battery = {"current_a": table["current_a"], "current_is_of_motor": False}
        return Samples(**given | (battery if other.pop("battery", False) else {}) | other)

    return samples, unknown


def test_thirteen_motors(stand, published):
    found = {motor: analyse(on_the_stand(stand, motor)) for motor in STATED_KV}
    assert all(each.separated and each.pulls == 16 for each in found.values())
    share = {motor: found[motor].kv.mean / kv for motor, kv in STATED_KV.items()}
    but_m = [share[motor] for motor in share if motor != "m"]
    published("Kv, share of the stated, mean without m", np.mean(but_m), SHARE_OF_STATED, 0.01)
    published("its sd", np.std(but_m), SHARE_SD, 0.01)
    published("m", share["m"], SHARE_OF_M, 0.01)
    ohms = [each.resistance.mean for each in found.values()]
    published("least and most R, ohm", (min(ohms), max(ohms)), (LEAST_OHM, MOST_OHM), 0.01)


def test_nearly_full_throttle_is_not_full(stand):
    let_in = [analyse(on_the_stand(stand, motor, least=0.89)) for motor in STATED_KV]
    assert sum(each.why in ("no_resistance", "not_separated") for each in let_in) >= 4


def test_robot_car(car, published):
    samples, _ = car
    found = analyse(samples())
    assert found.basis == "duty"
    assert found.at_full is None
    published("Kv", found.kv.mean, CAR_KV, 2 * found.kv.se)
    middle, reach = sum(CAR_OHM) / 2, (CAR_OHM[1] - CAR_OHM[0]) / 2
    published("R", found.resistance.mean, middle, reach + 2 * found.resistance.se)
    assert found.resistance.se < 0.006


def test_battery_amps_of_the_car_are_refused(car):
    samples, unknown = car
    assert analyse(samples(battery=True)).why == "battery_current"
    assert analyse(samples(duty=unknown)).why == "no_full_throttle"
