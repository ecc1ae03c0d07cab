"""Uncertainty of a figure worked out from others.

Source: JCGM 100:2008 (GUM), 5.1 (independent inputs) and 5.2 (correlated inputs).
"""

from collections.abc import Sequence
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike

from pitbench.figures.arrays import Floats, Ints

LEAST_REPEATS_FOR_COVARIANCE = 10


def speed_per_amp_uncertainty(
    kv: float, u_kv: float, current: float, u_current: float, correlation: float = 0.0
) -> float:
    """Relative standard uncertainty of KV / I0: √((u_kv/KV)² + (u_i/I0)² − 2·r·(u_kv/KV)·(u_i/I0)).

    Source: GUM 5.1.6 and 5.2.2. Valid for relative uncertainties well below 1; `correlation` from `pooled_correlation`.

    >>> speed_per_amp_uncertainty(4000.0, 12.0, 4.0, 0.016)
    0.005
    """
    a, b = u_kv / kv, u_current / current
    return sqrt(max(0.0, a**2 + b**2 - 2 * correlation * a * b))


def pooled_correlation(kv: ArrayLike, current: ArrayLike, group: Sequence[int]) -> float:
    """Correlation of KV and current over repeats within groups (one motor, one sitting).

    Arrays [n] and group labels [n]. Used when at least 10 pooled repeats (n − groups) exist, else 0.

    >>> pooled_correlation([1.0, 2.0], [2.0, 1.0], [0, 0])
    0.0
    """
    labels = np.unique(np.asarray(group), return_inverse=True)[1]
    groups = int(labels.max()) + 1 if labels.size else 0
    if labels.size - groups < LEAST_REPEATS_FOR_COVARIANCE:
        return 0.0
    x, y = (from_group_means(values, labels) for values in (kv, current))
    scale = float(np.sqrt((x @ x) * (y @ y)))
    return float(x @ y) / scale if scale > 0 else 0.0


def from_group_means(values: ArrayLike, labels: Ints) -> Floats:
    """Departures of values [n] from the mean of their group, labels [n] from 0 on; taken twice so that rounding of a
    large mean falls out."""
    count = np.bincount(labels)
    rest = np.asarray(values, dtype=float) - (np.bincount(labels, values) / count)[labels]
    return np.asarray(rest - (np.bincount(labels, rest) / count)[labels])
