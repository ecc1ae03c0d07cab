"""Whether the newest session of a check motor is in line with those before it: an EWMA control chart.

Limits hold the session-to-session spread, not the repeatability alone, and the doubt about the centre, which is itself
the mean of few sessions. Source: NIST/SEMATECH e-Handbook 6.3.2.4 (EWMA), 6.3.2.2 (a single point: weight 1).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from pitbench.figures.arrays import Floats

WEIGHT, WIDTH = 0.2, 3.0


@dataclass(frozen=True)
class Chart:
    """centre; smoothed [n]: the moving average after every session; limit [n]: how far it may lie from the centre."""

    centre: float
    smoothed: Floats
    limit: Floats

    @property
    def off(self) -> bool:
        """Whether the newest point lies outside its limits."""
        return bool(abs(self.smoothed[-1] - self.centre) > self.limit[-1])


def chart(
    values: ArrayLike,
    variance: ArrayLike,
    *,
    centre: float | None = None,
    weight: float = WEIGHT,
    width: float = WIDTH,
) -> Chart:
    """EWMA z = w·x + (1 − w)·z of session means `values` [n], oldest first, each with its `variance` [n].

    It starts at `centre`; None: the mean of all sessions but the newest, and its doubt is in the limits (two sessions
    or more). The limits are the exact ones, width · the standard deviation of z − centre; after many sessions with a
    known centre that is width·s·√(w / (2 − w)).

    >>> chart([52.0, 47.0, 53.0], [1.0, 1.0, 1.0], centre=50.0, weight=0.3).smoothed
    array([50.6  , 49.52 , 50.564])
    """
    x = np.asarray(values, dtype=float)
    age = np.subtract.outer(np.arange(x.size), np.arange(x.size))
    of_value = np.where(age >= 0, weight * (1 - weight) ** np.abs(age), 0.0)
    of_start = (1 - weight) ** np.arange(1, x.size + 1)
    share = np.zeros(x.size)
    if centre is None:
        share[:-1] = 1 / (x.size - 1)
        centre = float(x[:-1].mean())
    departure = of_value + np.outer(of_start - 1, share)
    limit = width * np.sqrt(departure**2 @ np.asarray(variance, dtype=float))
    return Chart(centre, of_value @ x + of_start * centre, limit)
