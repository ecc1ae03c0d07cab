"""Means and percentage points of draws, for many columns at once. Rounding for display happens elsewhere."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Interval:
    """Mean and the 5 and 95 % points."""

    mean: float
    low90: float
    high90: float


def points(draws: Floats, shares: Sequence[float]) -> Floats:
    """Points below which given shares of the draws [draws × columns] lie [shares × columns], linear between draws.

    One sort for all shares: several times faster than asking for quantiles.

    >>> points(np.array([[3.0], [1.0], [2.0]]), [0.5, 0.75]).ravel().tolist()
    [2.0, 2.5]
    """
    ordered = np.sort(draws.T, axis=1)
    at = np.array(shares) * (draws.shape[0] - 1)
    low = np.floor(at).astype(np.int64)
    high = np.minimum(low + 1, draws.shape[0] - 1)
    return np.asarray(ordered[:, low] + (at - low) * (ordered[:, high] - ordered[:, low])).T


def intervals(draws: Floats) -> list[Interval]:
    """Interval of every column of draws [draws × columns]."""
    low, high = points(draws, (0.05, 0.95))
    return [Interval(*each) for each in zip(draws.mean(axis=0).tolist(), low.tolist(), high.tolist(), strict=True)]
