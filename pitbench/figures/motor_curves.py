"""What a motor gives over its whole range of speed at one voltage: the lines of the motor model page.

Everything comes from `motor_model`; this is the only place that lays it along a line, and where losses grow with speed
along with it.
"""

from dataclasses import dataclass

import numpy as np

from pitbench.figures import losses, motor_model
from pitbench.figures.arrays import Floats
from pitbench.figures.motor_model import MotorConstants

POINTS = 101


@dataclass(frozen=True)
class Curves:
    """From standstill to spinning free, [POINTS]: rpm, current in A, shaft torque in N·m, shaft power in W, efficiency
    0 to 1 (0 where the shaft gives nothing)."""

    rpm: Floats
    current: Floats
    torque: Floats
    power: Floats
    efficiency: Floats

    def between(self, currents: tuple[float, float]) -> tuple[float, float] | None:
        """Lowest and highest rpm at which the motor draws a current within a range in A; None where it never does."""
        within = (self.current >= currents[0]) & (self.current <= currents[1])
        return (float(self.rpm[within].min()), float(self.rpm[within].max())) if within.any() else None


def curves(motor: MotorConstants, voltage: float, loss_share: float = 0.0, rpm: Floats | None = None) -> Curves:
    """Torque, power, efficiency and current against speed at a voltage > I0·R, constants being floats.

    motor.no_load_current: at this voltage; loss_share: of its loss that grows with speed squared, as `losses` has it,
    0 for a steady loss torque; rpm: speeds wanted [any], those beyond spinning free are left out. Source: M. Drela (see
    `motor_model`).

    >>> curves(MotorConstants(2500.0, 3.0, 0.02), 7.4).rpm[[0, -1]].tolist()
    [0.0, 18350.0]
    """
    free = float(motor_model.speed_rpm(motor, voltage, motor.no_load_current))
    rpm = np.linspace(0, free, POINTS) if rpm is None else rpm[rpm <= free]
    current = motor_model.current_at_speed(motor, voltage, rpm)
    drag = losses.no_load_current_at(motor.no_load_current, rpm / free, loss_share)
    slowed = MotorConstants(motor.kv, drag, motor.resistance)
    power = np.where(rpm < free, motor_model.shaft_power_w(slowed, voltage, current), 0.0)
    taken = np.where(rpm < free, voltage * current, 1.0)
    return Curves(
        rpm=rpm,
        current=current,
        torque=motor_model.torque_nm(slowed, current),
        power=power,
        efficiency=np.clip(power / taken, 0.0, 1.0),
    )


def at_voltage(motor: MotorConstants, tested_rpm: float, share: float, voltage: float) -> tuple[MotorConstants, float]:
    """The constants with the no-load current carried to another voltage, and the share of its loss there that grows
    with speed squared.

    motor.no_load_current: as it was tested, at tested_rpm and with that share there. Without load the current is a
    straight line of speed (`losses`) and speed one of current, ω = Kv·(V − i·R): where they meet.

    >>> at_voltage(MotorConstants(2500.0, 3.0, 0.0), 9250.0, 0.6, 7.4)[0].no_load_current
    4.8
    """
    steady, per_rpm = motor.no_load_current * (1 - share), motor.no_load_current * share / tested_rpm
    free = motor.kv * (voltage - motor.resistance * steady) / (1 + motor.kv * motor.resistance * per_rpm)
    idle = steady + per_rpm * free
    return MotorConstants(motor.kv, idle, motor.resistance), per_rpm * free / idle
