"""What a motor burns spinning free, and how that splits into a part that grows with speed and one that does not.

Used to carry a no-load current from the voltage it was measured at to the speed it is wanted at.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pitbench.figures.speed import RPM_PER_RAD_S

SPEED_SQUARED_SHARE = 0.6
SPEED_SQUARED_SHARE_SD = 0.15
"""Share of the no-load loss at one cell that grows with speed squared. Ours, from one physical simulation."""
ONE_CELL_V = 3.7
"""The voltage the share is stated at, in V: nominal of one lithium polymer cell (common practice)."""


def idle_power_w(voltage: float, no_load_current: float) -> float:
    """Electrical power in W spinning free: V·I0 (definition of power).

    >>> idle_power_w(3.7, 4.1)
    15.17
    """
    return voltage * no_load_current


def no_load_loss_torque_nm(voltage: float, no_load_current: float, resistance: float, rpm: float) -> float:
    """Torque in N·m of iron, bearing and air losses: (V − I0·R)·I0 / ω; R in ohm. Source: energy balance at no load
    (Fitzgerald, Kingsley & Umans, Electric Machinery, 6th ed., example 7.9 takes the same power). Valid for rpm > 0.

    >>> no_load_loss_torque_nm(50.0, 1.25, 1.03, 2100.0)
    0.27688697
    """
    return (voltage - no_load_current * resistance) * no_load_current * RPM_PER_RAD_S / rpm


@dataclass(frozen=True)
class LossSplit:
    """coulomb: Tc in N·m, the same at every speed; speed_squared: ke in N·m·s, its power grows with speed squared."""

    coulomb: float
    speed_squared: float


def split_losses(
    voltage: Sequence[float], no_load_current: Sequence[float], resistance: float, rpm: Sequence[float]
) -> LossSplit:
    """Split the no-load loss of runs at two or more speeds: V·I0 − I0²·R = Tc·ω + ke·ω², both parts ≥ 0.

    Three sequences of equal length, volts, amps and rpm; R in ohm. Least squares on the loss torque; where one part
    would turn negative it is 0 and the other fitted alone. ValueError for fewer than two speeds. Source: standard
    separation of Coulomb and eddy losses in drives textbooks.

    >>> split = split_losses([3.7, 7.4], [4.0, 6.4], 0.0, [14_800.0, 29_600.0])
    >>> split.speed_squared * 14_800 / RPM_PER_RAD_S / no_load_loss_torque_nm(3.7, 4.0, 0.0, 14_800.0)
    0.6
    """
    omega = np.asarray(rpm, dtype=float) / RPM_PER_RAD_S
    if len(set(omega.tolist())) < 2:
        raise ValueError("the losses of one motor split only with runs at two or more speeds")
    current = np.asarray(no_load_current, dtype=float)
    torque = (np.asarray(voltage, dtype=float) - current * resistance) * current / omega
    centred = omega - omega.mean()
    slope = float(centred @ torque / (centred @ centred))
    level = float(torque.mean() - slope * omega.mean())
    if slope < 0:
        return LossSplit(coulomb=float(torque.mean()), speed_squared=0.0)
    if level < 0:
        return LossSplit(coulomb=0.0, speed_squared=float(omega @ torque / (omega @ omega)))
    return LossSplit(coulomb=level, speed_squared=slope)


def share_at(voltage: Any, share_at_one_cell: Any) -> Any:
    """The speed-squared share of the no-load loss at another voltage: s·r / (1 − s + s·r), r = V / 3.7 V, since speed
    follows voltage at no load. Arrays broadcast.

    >>> share_at(7.4, 0.6)
    0.75
    """
    grown = share_at_one_cell * voltage / ONE_CELL_V
    return grown / (1 - share_at_one_cell + grown)


def no_load_current_at(current: Any, speed_ratio: Any, share: Any) -> Any:
    """No-load current carried to `speed_ratio` times the speed it was measured at: I0·(1 − s + s·ratio), since the loss
    torque is Tc + ke·ω and s its speed-dependent share at the measured speed. Arrays broadcast.

    >>> no_load_current_at(4.0, 2.0, 0.6)
    6.4
    """
    return current * (1 - share + share * speed_ratio)
