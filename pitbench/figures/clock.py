"""The cool-down clock: how warm a can is some time after the finish, and when it is cool.

Temperatures in °C, times in s after the finish; the caller knows the time of day.
"""

from collections.abc import Sequence

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.cooling import Finish
from pitbench.figures.spread import NORMAL_POINTS, Spread, normal_below, reached, spreads

COOL_WITHIN_K = 3.0
"""A can this near ambient counts as cool. IEC 60034-1, 4.2.2, asks 2 K of a machine of duty type S2; a hand-held
thermometer reads no better than 3 K."""
READY = 0.9
"""A can is said to be cool when it is so by this chance. Ours: too early one time in ten at most."""
LONGEST_S = 6 * 3600.0
_STEPS = 16


def can_at(finish: Finish, after_s: Sequence[float] | Floats) -> list[Spread]:
    """Temperature of the can in °C at times [n] after the finish, one Spread a time; before 30 s as at 30 s."""
    few = finish.few
    share = few.curves.left(np.asarray(after_s, dtype=float)[:, None])
    mean = few.ambient_c + few.rise_k * share
    sd = np.hypot(few.sd_k * share, few.air_sd_k * (1 - np.minimum(share, 1.0)))

    def below(temp: Floats) -> Floats:
        return np.asarray(normal_below((temp[..., None] - mean) / sd) @ few.weight)

    own = mean + NORMAL_POINTS[:, None, None] * sd
    return spreads(below, own.min(axis=2), own.max(axis=2), _STEPS)


def expected_at(finish: Finish, after_s: float) -> float:
    """Expected temperature of the can in °C so many seconds after the finish; before 30 s as at 30 s."""
    return finish.ambient_c + float(finish.weight @ (finish.rise_k * finish.curves.left(after_s)))


def ready_after(finish: Finish, within_k: float = COOL_WITHIN_K) -> float:
    """Seconds after the finish from which on the can is back within so many K of ambient by nine chances in ten, at
    most six hours; 0 where it never was above. This is what is said of a can."""
    few = finish.few

    def cool(after: Floats) -> Floats:
        share = few.curves.left(after[..., None])
        return np.asarray(normal_below((within_k / share - few.rise_k) / few.sd_k) @ few.weight)

    ready = np.array([READY])
    return float(reached(cool, ready, 0 * ready, 0 * ready + LONGEST_S, _STEPS)[0])
