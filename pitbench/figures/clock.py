"""The cool-down clock: how warm a can is some time after the finish, and when it is cool.

Temperatures in °C, times in s after the finish; the caller knows the time of day.
"""

from collections.abc import Sequence

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.cooling import EARLIEST_S, FINISH_S, Finish
from pitbench.figures.heating import left
from pitbench.figures.spread import NORMAL_POINTS, POINTS, Spread, normal_below, reached, spreads

COOL_WITHIN_K = 3.0
"""A can this near ambient counts as cool. IEC 60034-1, 4.2.2, asks 2 K of a machine of duty type S2; a hand-held
thermometer reads no better than 3 K."""
LONGEST_S = 6 * 3600.0
_STEPS = 16


def can_at(finish: Finish, after_s: Sequence[float] | Floats) -> list[Spread]:
    """Temperature of the can in °C at times [n] after the finish, one Spread a time; before 30 s as at 30 s."""
    share = left(np.maximum(after_s, EARLIEST_S)[:, None] - FINISH_S, finish.tau_s)

    def below(temp: Floats) -> Floats:
        z = ((temp - finish.ambient_c)[..., None] - finish.rise_k * share) / (finish.sd_k * share)
        return np.asarray(normal_below(z) @ finish.weight)

    own = finish.ambient_c + (finish.rise_k + NORMAL_POINTS[:, None, None] * finish.sd_k) * share
    return spreads(below, own.min(axis=2), own.max(axis=2), _STEPS)


def expected_at(finish: Finish, after_s: float) -> float:
    """Expected temperature of the can in °C so many seconds after the finish; before 30 s as at 30 s."""
    share = left(max(after_s, EARLIEST_S) - FINISH_S, finish.tau_s)
    return finish.ambient_c + float(finish.weight @ (finish.rise_k * share))


def cool_after(finish: Finish, within_k: float = COOL_WITHIN_K) -> Spread:
    """Seconds after the finish when the can is back within so many K of ambient, at most six hours; 0 where it never
    was above."""

    def cool(after: Floats) -> Floats:
        share = left(after[..., None] - FINISH_S, finish.tau_s)
        return np.asarray(normal_below((within_k / share - finish.rise_k) / finish.sd_k) @ finish.weight)

    shares = np.array(POINTS)
    return Spread(*reached(cool, shares, 0 * shares, 0 * shares + LONGEST_S, _STEPS).tolist())
