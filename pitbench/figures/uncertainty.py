"""Uncertainty of a figure worked out from others.

Source: JCGM 100:2008 (GUM), 5.1 (independent inputs) and 5.2 (correlated inputs).
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

LEAST_REPEATS_FOR_COVARIANCE = 10


def combined_uncertainty(
    sensitivities: ArrayLike, uncertainties: ArrayLike, correlations: ArrayLike | None = None
) -> float:
    """Combined standard uncertainty √(c·U·c), with U = u·r·u.

    `sensitivities` c [n], standard `uncertainties` u [n], `correlations` r [n × n] or None for independent inputs.
    Source: GUM equations 11a and 16. Valid for a model near linear over u.

    >>> combined_uncertainty([1.0, 10.0], [0.3, 0.04])
    0.5
    """
    parts = np.asarray(sensitivities, dtype=float) * np.asarray(uncertainties, dtype=float)
    if correlations is None:
        return float(np.sqrt(parts @ parts))
    return float(np.sqrt(max(0.0, float(parts @ np.asarray(correlations, dtype=float) @ parts))))


def speed_per_amp_uncertainty(
    kv: float, u_kv: float, current: float, u_current: float, correlation: float = 0.0
) -> float:
    """Relative standard uncertainty of KV / I0: √((u_kv/KV)² + (u_i/I0)² − 2·r·(u_kv/KV)·(u_i/I0)).

    Source: GUM 5.1.6 and 5.2.2. Valid for relative uncertainties well below 1; `correlation` from `pooled_correlation`.

    >>> speed_per_amp_uncertainty(4000.0, 12.0, 4.0, 0.016)
    0.005
    """
    return combined_uncertainty([1.0, -1.0], [u_kv / kv, u_current / current], [[1.0, correlation], [correlation, 1.0]])


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
    x, y = (_within(np.asarray(values, dtype=float), labels) for values in (kv, current))
    scale = float(np.sqrt((x @ x) * (y @ y)))
    return float(x @ y) / scale if scale > 0 else 0.0


def _within(values: np.ndarray, labels: np.ndarray) -> np.ndarray:
    """Departures from the mean of each group, taken twice so that rounding of a large mean falls out."""
    count = np.bincount(labels)
    rest = values - (np.bincount(labels, values) / count)[labels]
    return np.asarray(rest - (np.bincount(labels, rest) / count)[labels])
