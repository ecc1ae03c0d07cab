"""When a can was read whose reading says no time: as the class's readings that say one.

Times in s after the finish. Nothing else guesses a delay.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.rest_grid import EARLIEST_S
from pitbench.figures.spread import normal_below

DELAY_S, DELAY_SD_S = 65.0, 30.0
"""When a can is read where nobody ever says so. Ours; who writes nothing down took about a minute."""
BELIEVED = 2.0
"""So many stated delays count as much as what is believed without any: who states none may have his own habit. Ours."""
NEAR = 0.15
"""A delay not stated is off a stated one by this share, sd. Ours."""
_LINE = np.geomspace(EARLIEST_S, 900.0, 240)
_SHARES = (np.arange(9) + 0.5) / 9


@dataclass(frozen=True)
class Delays:
    """What an unknown delay may be: nine values in s of equal chance; stated: how many it was learned from."""

    after_s: Floats
    stated: int


def learn_delays(stated: Sequence[float] = ()) -> Delays:
    """What a delay nobody wrote down may be, from those that were (s, of the same class's readings at the finish).

    A mixture: 65 ± 30 s counts as two stated delays, every stated one as a lognormal around it. Under 30 s counts as
    30 s.
    """
    known = np.clip(np.asarray(stated, dtype=float), EARLIEST_S, _LINE[-1])
    believed = BELIEVED * normal_below((_LINE - DELAY_S) / DELAY_SD_S)
    below = believed + normal_below(np.log(_LINE / known[:, None]) / NEAR).sum(axis=0)
    return Delays(np.interp(_SHARES, below / (BELIEVED + known.size), _LINE), known.size)


USUAL = learn_delays()
