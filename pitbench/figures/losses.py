"""What a motor burns spinning free, and how that splits into a part that grows with speed and one that does not.

Used to carry a no-load current from the voltage it was measured at to the speed it is wanted at.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from pitbench.figures.arrays import Floats

SPEED_SQUARED_SHARE = 0.6
SPEED_SQUARED_SHARE_SD = 0.15
"""Share of the no-load loss at one cell that grows with speed squared. Ours, from one physical simulation."""
ONE_CELL_V = 3.7
"""The voltage the share is stated at, in V: nominal of one lithium polymer cell (common practice)."""
APART = 0.02
"""Speeds closer than this share of them do not part the losses. Ours."""


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


@dataclass(frozen=True)
class LossSplit:
    """drag: loss torque that does not depend on speed, N·m; by_speed: that grows with it, N·m per rad/s."""

    drag: float
    by_speed: float

    def share(self, rpm: float) -> float:
        """The part of the loss that grows with speed squared, at a speed; 0 where nothing is lost."""
        grown = self.by_speed * rpm * np.pi / 30
        return float(grown / (self.drag + grown)) if self.drag + grown > 0 else 0.0


def split(rpm: Floats, voltage: Floats, current: Floats, resistance: float) -> LossSplit | None:
    """Loss torque split from runs without load [n], n ≥ 2 of different speed: V·I0 − I0²·R = Tc·ω + ke·ω², both ≥ 0.

    Least squares of the loss torque on speed; where one part came out negative it is 0 and the other alone is fitted.
    None where all speeds are within 2 % of one another. Source: separation of losses, any drives textbook.

    >>> omega = np.array([1000.0, 2000.0])
    >>> split(omega * 30 / np.pi, np.array([4.0, 8.0]), (0.002 + 1e-6 * omega) * omega / np.array([4.0, 8.0]), 0.0)
    LossSplit(drag=0.002, by_speed=1e-06)
    """
    omega = rpm * np.pi / 30
    if omega.size < 2 or np.ptp(omega) <= APART * omega.mean():
        return None
    torque = (voltage * current - current**2 * resistance) / omega
    away = omega - omega.mean()
    slope = float(away @ torque / (away @ away))
    level = float(torque.mean() - slope * omega.mean())
    if slope < 0:
        return LossSplit(max(float(torque.mean()), 0.0), 0.0)
    if level < 0:
        return LossSplit(0.0, max(float(omega @ torque / (omega @ omega)), 0.0))
    return LossSplit(level, slope)
