"""Motors side by side: how far two of them lie apart in one figure, and the chance that the better one truly is better.

Works on the joint draws of one comparison, so that what both motors share (moods of sessions, slopes, the working
point) takes no part in what lies between them.
"""

from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.intervals import Interval, intervals


@dataclass(frozen=True)
class Apart:
    """difference: the first less the second; likelier: which of them is likelier the better, 0 or 1, and its chance."""

    difference: Interval
    likelier: int | None
    chance: float | None


def apart(first: Floats, second: Floats, better: int) -> Apart:
    """Of draws [draws] of both; better: +1 higher, −1 lower, 0 neither, for which there is no chance.

    Where both are drawn alike, as two unevennesses of nothing, neither is better: it counts half for each.

    >>> found = apart(np.array([3.0, 4.0, 5.0, 1.0]), np.array([1.0, 1.0, 2.0, 1.0]), -1)
    >>> found.difference.mean, found.likelier, found.chance
    (2.0, 1, 0.875)
    """
    between = first - second
    (difference,) = intervals(between[:, None])
    if not better:
        return Apart(difference, None, None)
    ahead = float(np.mean(better * between > 0) + np.mean(between == 0) / 2)
    return Apart(difference, 0 if ahead >= 0.5 else 1, max(ahead, 1 - ahead))
