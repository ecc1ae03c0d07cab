"""The lines of a motor over its speed, against published values and the identities of the model; losses split."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, nnls

from pitbench.figures import losses, motor_model
from pitbench.figures.motor_curves import at_voltage, curves
from pitbench.figures.motor_model import MotorConstants
from tests.reference.motor_figures import FITZGERALD_7_9, THREE_CONSTANT_MOTORS

MOTORS = st.builds(MotorConstants, st.floats(500, 9000), st.floats(0.2, 8), st.floats(0.005, 0.08))


@pytest.mark.parametrize("published", THREE_CONSTANT_MOTORS)
def test_ends_and_peaks_are_the_published_ones(published):
    """M. Drela, First-Order DC Electric Motor Model, MIT (2007); a line of 101 points meets a peak within 0.1 %."""
    known = published["given"]
    line = curves(MotorConstants(known["kv"], known["no_load_current"], known["resistance"]), known["voltage"])
    assert line.rpm[-1] == pytest.approx(published["no_load_rpm"])
    assert line.current[0] == pytest.approx(published["stall_current"])
    assert line.torque[0] == pytest.approx(published["stall_torque"])
    assert line.power.max() == pytest.approx(published["most_power"], rel=1e-3)
    assert line.efficiency.max() == pytest.approx(published["best_efficiency"], rel=2e-3)


@given(MOTORS, st.floats(3.5, 12), st.floats(0, 1))
def test_power_is_torque_times_speed_and_ends_are_idle(motor, voltage, share):
    line = curves(motor, voltage, share)
    assert line.power == pytest.approx(line.torque * line.rpm * np.pi / 30, abs=1e-6)
    assert line.power[0] == pytest.approx(0, abs=1e-9) and line.power[-1] == 0
    assert line.current[-1] == pytest.approx(motor.no_load_current, rel=1e-6)
    assert np.all((line.efficiency >= 0) & (line.efficiency <= 1))


def test_losses_that_grow_with_speed_leave_more_at_low_speed():
    motor = MotorConstants(2500.0, 3.0, 0.02)
    steady, grown = curves(motor, 7.4), curves(motor, 7.4, 0.6)
    assert np.all(grown.power[1:-1] > steady.power[1:-1])


def test_the_working_range_as_speeds():
    motor = MotorConstants(2500.0, 3.0, 0.02)
    low, high = curves(motor, 7.4).between((20.0, 100.0))
    for found, current in ((low, 100.0), (high, 20.0)):
        assert found == pytest.approx(motor_model.speed_rpm(motor, 7.4, current), abs=18350 / 100)
    assert curves(motor, 7.4).between((900.0, 1000.0)) is None


@given(st.floats(0, 0.02), st.floats(0, 1e-5), st.lists(st.floats(0, 0.2), min_size=3, max_size=6))
def test_losses_split_as_non_negative_least_squares_has_it(drag, by_speed, off):
    """Judge: scipy.optimize.nnls of the loss torque on (1, ω)."""
    omega = np.linspace(800, 2400, len(off))
    power = (drag + by_speed * omega) * omega * (1 + np.array(off)) + 0.01
    voltage = omega / 250
    found = losses.split(omega * 30 / np.pi, voltage, power / voltage, 0.0)
    expected, _ = nnls(np.column_stack([np.ones(omega.size), omega]), power / omega)
    assert (found.drag, found.by_speed) == pytest.approx(tuple(expected), rel=1e-6, abs=1e-12)


def test_loss_of_a_published_motor():
    """Fitzgerald, example 7.9: 61 W lost at 2100 rpm without load (recomputed 60.891 W)."""
    known = FITZGERALD_7_9["no_load"]
    voltage, current = (np.array([known[name], known[name] / 2]) for name in ("voltage", "current"))
    rpm = np.array([known["rpm"], known["rpm"] / 2])
    found = losses.split(rpm, voltage, current, FITZGERALD_7_9["resistance"])
    omega = known["rpm"] * np.pi / 30
    assert found.drag * omega + found.by_speed * omega**2 == pytest.approx(FITZGERALD_7_9["loss_w"], abs=0.01)


def test_one_speed_does_not_part_losses():
    assert losses.split(np.array([9000.0, 9050.0]), np.full(2, 3.7), np.full(2, 3.0), 0.01) is None


@given(MOTORS, st.floats(3.0, 8.5), st.floats(0, 1), st.floats(3.5, 12))
def test_current_without_load_at_another_voltage_is_where_loss_and_supply_meet(motor, tested_v, share, voltage):
    """Judge: scipy.optimize.brentq of the balance of power, V·i − i²·R against the loss torque times speed."""
    tested_rpm = motor.kv * (tested_v - motor.no_load_current * motor.resistance)
    constants, there = at_voltage(motor, tested_rpm, share, voltage)

    def left(rpm):
        drag = motor.no_load_current * (1 - share + share * rpm / tested_rpm) * 60 / (2 * np.pi * motor.kv)
        current = (voltage - rpm / motor.kv) / motor.resistance
        return (voltage * current - current**2 * motor.resistance) - drag * rpm * np.pi / 30

    free = brentq(left, 0.2 * motor.kv * voltage, motor.kv * voltage)
    assert constants.no_load_current == pytest.approx((voltage - free / motor.kv) / motor.resistance, rel=1e-4)
    grown = share * free / tested_rpm
    assert there == pytest.approx(grown / (1 - share + grown), rel=1e-4)


@given(MOTORS, st.floats(3.5, 12), st.floats(0, 1))
def test_speeds_asked_for_lie_on_the_line(motor, voltage, share):
    line = curves(motor, voltage, share)
    found = curves(motor, voltage, share, np.append(line.rpm[::10], line.rpm[-1] + 100))
    for name in ("rpm", "current", "torque", "power", "efficiency"):
        assert getattr(found, name) == pytest.approx(getattr(line, name)[::10])
