"""Runs that do not fit: they count less, and are flagged, but are never dropped.

Weight min(1, (2.5/|r|)⁴) on leverage-standardised residuals r, three passes, with every spread at its prior scale. The
form is ours; M-estimation: Huber & Ronchetti, Robust Statistics, 2nd ed., 2009 (recalled).
"""

import numpy as np
from numpy.typing import NDArray

from pitbench.figures.mixed import Layout, Sums, sums

Floats = NDArray[np.float64]
OUTLIER_AT = 2.5
PASSES = 3
DOES_NOT_FIT = 0.5
"""A run whose weight falls below this is flagged: its residual is beyond about 3 σ."""
RIDGE = 1e-9


def fitting_weights(
    layout: Layout, noise: float, scales: tuple[float, ...], slope_precision: Floats, prior_freedom: float
) -> Floats:
    """How well each reading fits [n], 1 for most. noise, scales, slope_precision: the prior's σ, spreads, slopes."""
    fit = np.ones(layout.value.size)
    variance = noise**2
    for _ in range(PASSES):
        weight = layout.weight * fit
        found = sums(layout, weight)
        covariance, mean = _solved(found, variance, scales, slope_precision)
        c = found.fixed
        right = np.concatenate([found.cross[:, -1], found.rest[:-1, -1]])
        left = max(0.0, float(found.rest[-1, -1] - right @ mean))
        variance = (prior_freedom * noise**2 + left) / (prior_freedom + found.total - 1)
        column = _columns(found)
        fixed = np.column_stack([np.ones(layout.value.size), layout.covariates])
        residual = layout.value - found.offset - fixed @ mean[-c:] - sum(mean[each] for each in column)
        leverage = layout.weight * _leverage(covariance, column, fixed)
        scale = np.sqrt(variance / layout.weight * np.clip(1 - leverage, 0.05, 1.0))
        fitting = np.minimum(1.0, (OUTLIER_AT / np.maximum(np.abs(residual) / scale, OUTLIER_AT)) ** 4)
        if np.array_equal(fitting, fit):
            break
        fit = fitting
    return fit


def _solved(found: Sums, variance: float, scales: tuple[float, ...], slope_precision: Floats) -> tuple[Floats, Floats]:
    """Covariance over σ² and mean of all columns: big levels, other levels, centre, slopes."""
    prior = np.concatenate(
        [
            np.full(found.count.size, variance / scales[found.big] ** 2),
            variance / np.array(scales)[found.owner] ** 2,
            [0.0],
            variance * slope_precision,
        ]
    )
    cross = found.cross[:, :-1]
    information = np.block([[np.diag(found.count), cross], [cross.T, found.rest[:-1, :-1]]])
    covariance = np.linalg.inv(information + np.diag(prior + RIDGE))
    return covariance, covariance @ np.concatenate([found.cross[:, -1], found.rest[:-1, -1]])


def _columns(found: Sums) -> list[NDArray[np.int64]]:
    """Where each reading's level of each factor stands among the columns."""
    layout = found.layout
    start = np.zeros(len(layout.sizes), dtype=np.int64)
    place = layout.sizes[found.big]
    for factor, size in enumerate(layout.sizes):
        if factor != found.big:
            start[factor] = place
            place += size
    return [start[factor] + level for factor, level in enumerate(layout.levels)]


def _leverage(covariance: Floats, column: list[NDArray[np.int64]], fixed: Floats) -> Floats:
    """x·C·x for every reading, its ones gathered instead of multiplied."""
    c = fixed.shape[1]
    found = np.einsum("ni,ij,nj->n", fixed, covariance[-c:, -c:], fixed)
    for each in column:
        found += 2 * np.einsum("ni,ni->n", covariance[each][:, -c:], fixed)
        for other in column:
            found += covariance[each, other]
    return np.asarray(found)
