"""What a motor burns spinning free, and how that splits into a part that grows with speed and one that does not.

Used to carry a no-load current from the voltage it was measured at to the speed it is wanted at.
"""

from typing import Any

SPEED_SQUARED_SHARE = 0.6
SPEED_SQUARED_SHARE_SD = 0.15
"""Share of the no-load loss at one cell that grows with speed squared. Ours, from one physical simulation."""
ONE_CELL_V = 3.7
"""The voltage the share is stated at, in V: nominal of one lithium polymer cell (common practice)."""


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
