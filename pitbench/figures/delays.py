"""When a can was read whose reading says no time: as a person's habit has it, which the readings that say one tell.

Times in s after the finish. Nothing else guesses a delay.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, sqrt

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.rest_grid import EARLIEST_S
from pitbench.figures.spread import normal_point

USUAL_S, HABIT_LOG_SD = 60.0, 0.3
"""When a can is usually read, the median of people, and how far their habits lie apart, sd of log. Ours."""
OWN_LOG_SD, OWN_COUNTS = 0.2, 2.0
"""How far a person's delays lie from his habit, sd of log, and as how many stated ones that counts. Ours."""
APART_LOG_SD = 0.3
"""How far the habit behind delays that are not stated is off that of stated ones, sd of log. Ours."""
_LATEST_S = 900.0
_Z = normal_point((np.arange(9) + 0.5) / 9)
_Z = _Z / np.sqrt(np.mean(_Z**2))


@dataclass(frozen=True)
class Delays:
    """What an unknown delay may be: nine values in s of equal chance; stated: how many it was learned from.

    habit [9]: where the habit then lies on its own doubt, in sd. It is one habit for all unknown delays of a class.
    """

    after_s: Floats
    habit: Floats
    stated: int


def learn_delays(stated: Sequence[float] = ()) -> Delays:
    """What a delay nobody wrote down may be, from those that were (s, of the same class's readings at the finish).

    Their logs are normal around a habit, itself normal (Gelman et al., Bayesian Data Analysis, 2.5 and 2.6); what they
    scatter is learned too. Under 30 s counts as 30 s.
    """
    known = np.log(np.clip(np.asarray(stated, dtype=float), EARLIEST_S, _LATEST_S))
    scattered = float(((known - known.mean()) ** 2).sum()) if known.size else 0.0
    own = (OWN_COUNTS * OWN_LOG_SD**2 + scattered) / (OWN_COUNTS + max(known.size - 1, 0))
    precision = HABIT_LOG_SD**-2 + known.size / own
    middle = (log(USUAL_S) * HABIT_LOG_SD**-2 + known.sum() / own) / precision
    habit = 1 / precision + APART_LOG_SD**2
    total = sqrt(habit + own)
    after = np.clip(np.exp(middle + total * _Z), EARLIEST_S, _LATEST_S)
    return Delays(after, _Z * sqrt(habit) / total, known.size)


USUAL = learn_delays()
"""Where no delay of the class is known."""
