"""When a can is read whose reading says no time: as the class's readings that say one.

Times in s after the finish. Nothing else guesses a delay.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.rest_grid import EARLIEST_S

DELAY_S, DELAY_SD_S = 65.0, 30.0
"""When a can is read where nobody ever says so. Ours; who writes nothing down took about a minute."""
BELIEVED = 0.5
"""So many stated delays count as much as what is believed without any: who says late once reads late. Ours."""
NEAR = 0.15
"""A delay not stated may be off a stated one by this share, sd. Ours."""
_NODES, _LONGEST_S = 9, 900.0


@dataclass(frozen=True)
class Delays:
    """What an unknown delay may be, s, with its chances, both [d]; stated: how many it was learned from."""

    after_s: Floats
    chance: Floats
    stated: int


@cache
def _line() -> tuple[Floats, Floats]:
    """Fine line of delays, even in log, and what is believed of them."""
    line = np.geomspace(EARLIEST_S, _LONGEST_S, 240)
    believed = np.exp(-(((line - DELAY_S) / DELAY_SD_S) ** 2) / 2) * line
    early = np.exp(-(((np.linspace(0, EARLIEST_S, 60) - DELAY_S) / DELAY_SD_S) ** 2) / 2)
    believed[0] += early.sum() * 0.5 / np.log(line[1] / line[0])
    return line, believed / believed.sum()


def learn_delays(stated: Sequence[float] = ()) -> Delays:
    """What a delay nobody wrote down may be, from those that were (s, of the same class's readings at the finish).

    A mixture: 65 ± 30 s counts as half a stated delay, every stated one as a lognormal around it; brought to nine values
    of equal chance. Under 30 s counts as 30 s.
    """
    line, believed = _line()
    known = np.clip(np.asarray(stated, dtype=float), EARLIEST_S, _LONGEST_S)
    near = np.exp(-((np.log(line / known[:, None]) / NEAR) ** 2) / 2)
    chance = BELIEVED * believed + (near / near.sum(axis=1, keepdims=True)).sum(axis=0)
    below = np.cumsum(chance) / chance.sum()
    at = np.interp((np.arange(_NODES) + 0.5) / _NODES, below, line)
    return Delays(at, np.full(_NODES, 1 / _NODES), known.size)


USUAL = learn_delays()
