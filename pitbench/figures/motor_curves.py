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


def curves(motor: MotorConstants, voltage: float, loss_share: float = 0.0) -> Curves:
    """Torque, power, efficiency and current against speed at a voltage > I0·R, constants being floats.

    motor.no_load_current: at this voltage; loss_share: of its loss that grows with speed squared, as `losses` has it,
    0 for a steady loss torque. Source: M. Drela (see `motor_model`).

    >>> curves(MotorConstants(2500.0, 3.0, 0.02), 7.4).rpm[[0, -1]].tolist()
    [0.0, 18350.0]
    """
    free = float(motor_model.speed_rpm(motor, voltage, motor.no_load_current))
    rpm = np.linspace(0, free, POINTS)
    current = motor_model.current_at_speed(motor, voltage, rpm)
    drag = losses.no_load_current_at(motor.no_load_current, rpm / free, loss_share)
    slowed = MotorConstants(motor.kv, drag, motor.resistance)
    power = motor_model.shaft_power_w(slowed, voltage, current)
    return Curves(
        rpm=rpm,
        current=current,
        torque=motor_model.torque_nm(slowed, current),
        power=np.where(np.arange(POINTS) < POINTS - 1, power, 0.0),
        efficiency=np.clip(np.append(power[:-1] / (voltage * current[:-1]), 0.0), 0.0, 1.0),
    )
