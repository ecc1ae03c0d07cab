"""Runs that do not fit: they count less, and are flagged, but are never dropped.

Weight min(1, (2.5/|r|)⁴) on leverage-standardised residuals r, three passes, with every spread at its prior scale. The
form is ours; M-estimation: Huber & Ronchetti, Robust Statistics, 2nd ed., 2009 (recalled).
"""

from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.mixed import Layout, Sums, reweighed, sums

OUTLIER_AT = 2.5
PASSES, SETTLED = 3, 0.02
"""Passes at most, and the change of every weight from which on another one is not worth its time."""
DOES_NOT_FIT = 0.5
"""A run whose weight falls below this is flagged: its residual is beyond about 3 σ."""
RIDGE = 1e-9


@dataclass(frozen=True)
class Fitting:
    """weight [n]: how well each reading fits, 1 for most; the sums with these weights; the middle of σ² so found."""

    weight: Floats
    sums: Sums
    variance: float


def fitting(layout: Layout, noise: float, scales: Floats, slopes_sd: Floats, prior_freedom: float) -> Fitting:
    """Weigh the readings. The prior's σ, spread of each factor, and sd of the slopes [p]."""
    fit, variance = np.ones(layout.value.size), noise**2
    found = sums(layout)
    for _ in range(PASSES):
        solved = _solve(found, variance, scales, slopes_sd)
        variance = float((prior_freedom * noise**2 + solved.left) / (prior_freedom + found.total - 1))
        room = np.clip(1 - layout.weight * _leverage(solved, layout, found.big), 0.05, 1.0)
        scale = np.sqrt(variance / layout.weight * room)
        far = np.abs(_residual(solved, layout, found)) / scale
        again = np.square(np.square(OUTLIER_AT / np.maximum(far, OUTLIER_AT)))
        if np.abs(again - fit).max() < SETTLED:
            break
        found = reweighed(found, layout, layout.weight * (again - fit))
        fit = again
    return Fitting(fit, found, variance)


@dataclass(frozen=True)
class _Solved:
    """Least squares with every level shrunk: the big factor first, then the rest.

    own [q]: variance of a big level with the rest held; through [q × r]: how a big level follows the columns r of the
    rest; covariance [r × r] and mean [r] of the rest, mean [q] of the big factor, all variances over σ²; left: sum of
    squares not explained.
    """

    own: Floats
    through: Floats
    covariance: Floats
    mean: Floats
    big_mean: Floats
    left: float


def _solve(found: Sums, variance: float, scales: Floats, slopes_sd: Floats) -> _Solved:
    cross, right = found.cross[:, :-1], found.cross[:, -1]
    own = 1 / (found.count + variance / scales[found.big] ** 2 + RIDGE)
    through = own[:, None] * cross
    believed = np.concatenate([1 / scales[found.owner], [0.0], 1 / slopes_sd]) ** 2
    information = found.rest[:-1, :-1] - cross.T @ through
    information.flat[:: information.shape[0] + 1] += variance * believed + RIDGE
    covariance = np.asarray(np.linalg.inv(information), dtype=np.float64)
    mean = covariance @ (found.rest[:-1, -1] - through.T @ right)
    big_mean = own * right - through @ mean
    left = max(0.0, float(found.rest[-1, -1] - right @ big_mean - found.rest[:-1, -1] @ mean))
    return _Solved(own, through, covariance, mean, big_mean, left)


def _columns(layout: Layout, big: int) -> list[Ints]:
    """Where each reading's level of each factor but the big one stands among the rest."""
    columns, start = [], 0
    for factor, (level, size) in enumerate(zip(layout.levels, layout.sizes, strict=True)):
        if factor != big:
            columns.append(start + level)
            start += size
    return columns


def _residual(solved: _Solved, layout: Layout, found: Sums) -> Floats:
    """Reading less what is expected of it [n]."""
    rest = layout.value - found.offset - solved.big_mean[layout.levels[found.big]]
    for column in _columns(layout, found.big):
        rest -= solved.mean[column]
    centre, *slopes = solved.mean[-found.fixed :]
    rest -= centre
    for slope, covariate in zip(slopes, layout.covariates.T, strict=True):
        rest -= slope * covariate
    return np.asarray(rest)


def _leverage(solved: _Solved, layout: Layout, big: int) -> Floats:
    """x·C·x for every reading [n]: with x − through of its big level in place of x, only the rest is left to weigh.

    The ones of x are gathered instead of multiplied.
    """
    level, covariance = layout.levels[big], solved.covariance
    held = solved.through @ covariance
    of_level = solved.own + (held * solved.through).sum(axis=1)
    ones = _columns(layout, big)
    centre = covariance.shape[0] - 1 - layout.covariates.shape[1]
    found = (of_level - 2 * held[:, centre] + covariance[centre, centre])[level]
    for column in ones:
        found += 2 * covariance[centre][column] - 2 * held[level, column]
        for other in ones:
            found += covariance[column, other]
    for i, slope in enumerate(layout.covariates.T, centre + 1):
        weighed = 2 * (covariance[i, centre] - held[:, i])[level]
        for column in ones:
            weighed += 2 * covariance[i][column]
        for j, other in enumerate(layout.covariates.T, centre + 1):
            weighed += covariance[i, j] * other
        found += weighed * slope
    return np.asarray(found)
