"""Runs that do not fit: they count less, and are flagged, but are never dropped.

Weight min(1, (2.5/|r|)⁴) on leverage-standardised residuals r, three passes, with every spread at its prior scale. The
form is ours; M-estimation: Huber & Ronchetti, Robust Statistics, 2nd ed., 2009 (recalled).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pitbench.figures.mixed import Layout, Sums, sums

Floats = NDArray[np.float64]
OUTLIER_AT = 2.5
PASSES = 3
DOES_NOT_FIT = 0.5
"""A run whose weight falls below this is flagged: its residual is beyond about 3 σ."""
RIDGE = 1e-9


@dataclass(frozen=True)
class Fitting:
    """weight [n]: how well each reading fits, 1 for most; the sums with these weights; the middle of σ² so found."""

    weight: Floats
    sums: Sums
    variance: float


def fitting(
    layout: Layout, noise: float, scales: tuple[float, ...], slope_precision: Floats, prior_freedom: float
) -> Fitting:
    """Weigh the readings. noise, scales, slope_precision: the prior's σ, spreads, and 1/sd² of the slopes."""
    fit, variance = np.ones(layout.value.size), noise**2
    found = sums(layout)
    for _ in range(PASSES):
        solved = _solve(found, variance, scales, slope_precision)
        variance = (prior_freedom * noise**2 + solved.left) / (prior_freedom + found.total - 1)
        room = np.clip(1 - layout.weight * _leverage(solved, layout, found.big), 0.05, 1.0)
        scale = np.sqrt(variance / layout.weight * room)
        again = np.minimum(1.0, (OUTLIER_AT / np.maximum(np.abs(_residual(solved, found)) / scale, OUTLIER_AT)) ** 4)
        if np.array_equal(again, fit):
            break
        fit = again
        found = sums(layout, layout.weight * fit)
    return Fitting(fit, found, variance)


@dataclass(frozen=True)
class _Solved:
    """Least squares with every level shrunk: the big factor first, then the rest.

    own [q]: variance of a big level with the rest held; through [q × r]: how a big level follows the columns r of the
    rest; covariance [r × r] and mean [r] of the rest, mean [q] of the big factor, all variances over σ²; left: sum of
    squares not explained. start: where the levels of each factor begin among the rest.
    """

    own: Floats
    through: Floats
    covariance: Floats
    mean: Floats
    big_mean: Floats
    left: float
    start: dict[int, int]


def _solve(found: Sums, variance: float, scales: tuple[float, ...], slope_precision: Floats) -> _Solved:
    cross, right = found.cross[:, :-1], found.cross[:, -1]
    own = 1 / (found.count + variance / scales[found.big] ** 2 + RIDGE)
    through = own[:, None] * cross
    prior = np.concatenate([variance / np.array(scales)[found.owner] ** 2, [0.0], variance * slope_precision])
    information = found.rest[:-1, :-1] - cross.T @ through + np.diag(prior + RIDGE)
    covariance = np.asarray(np.linalg.inv(information), dtype=np.float64)
    mean = covariance @ (found.rest[:-1, -1] - through.T @ right)
    big_mean = own * right - through @ mean
    left = max(0.0, float(found.rest[-1, -1] - right @ big_mean - found.rest[:-1, -1] @ mean))
    start = {int(f): int(np.argmax(found.owner == f)) for f in np.unique(found.owner)}
    return _Solved(own, through, covariance, mean, big_mean, left, start)


def _fixed(layout: Layout) -> Floats:
    return np.column_stack([np.ones(layout.value.size), layout.covariates])


def _residual(solved: _Solved, found: Sums) -> Floats:
    """Reading less what is expected of it [n]."""
    layout = found.layout
    rest = layout.value - found.offset - solved.big_mean[layout.levels[found.big]]
    for factor, start in solved.start.items():
        rest -= solved.mean[start + layout.levels[factor]]
    return np.asarray(rest - _fixed(layout) @ solved.mean[-found.fixed :])


def _leverage(solved: _Solved, layout: Layout, big: int) -> Floats:
    """x·C·x for every reading [n]: with x − through of its big level in place of x, only the rest is left to weigh.

    The ones of x are gathered instead of multiplied.
    """
    level, fixed = layout.levels[big], _fixed(layout)
    c, covariance = fixed.shape[1], solved.covariance
    held = solved.through @ covariance
    of_level = solved.own + np.einsum("qr,qr->q", held, solved.through)
    weighed = fixed @ covariance[-c:, -c:] - 2 * held[level, -c:]
    columns = [start + layout.levels[factor] for factor, start in solved.start.items()]
    for column in columns:
        weighed = weighed + 2 * covariance[column, -c:]
    found = of_level[level] + np.einsum("nc,nc->n", weighed, fixed)
    for column in columns:
        found -= 2 * held[level, column]
        for other in columns:
            found += covariance[column, other]
    return np.asarray(found)
