"""Runs that do not fit: they count less, and are flagged, but are never dropped.

Weight min(1, (2.5/|r|)⁴) on leverage-standardised residuals r, three passes, with every spread at its prior scale. The
first look is at the class, not at a fit that a bad run has already bent: of two runs of one motor that cannot both be
right, the one nearer to the class is believed. The form is ours; M-estimation: Huber & Ronchetti, Robust Statistics,
2nd ed., 2009 (recalled).
"""

from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.mixed import Clampings, Layout, Sums, clampings, reweighed, sums

OUTLIER_AT = 2.5
PASSES, SETTLED = 3, 0.02
"""Passes at most, and the change of every weight from which on another one is not worth its time."""
DOES_NOT_FIT = 0.5
"""A run whose weight falls below this is flagged: its residual is beyond about 3 σ."""
RIDGE = 1e-9
LEAST_SPREAD = 1e-6
"""In place of the spread of a level that stands for none."""


@dataclass(frozen=True)
class Fitting:
    """weight [n]: how well each reading fits, 1 for most; the sums with these weights, those of clampings still apart;
    the middle of σ² so found."""

    weight: Floats
    summed_up: Sums | Clampings
    variance: float


def fitting(layout: Layout, noise: float, scales: Floats, slopes_sd: Floats, prior_freedom: float) -> Fitting:
    """Weigh the readings. The prior's σ, spread of each factor (of clampings last), and sd of the slopes [p]."""
    asked, variance = layout.with_clampings(), noise**2
    fit = _first_look(asked, noise, scales, slopes_sd)
    found = sums(asked, layout.weight * fit)
    for _ in range(PASSES):
        solved = _solve(found, variance, scales, slopes_sd)
        variance = float((prior_freedom * noise**2 + solved.left) / (prior_freedom + found.total - 1))
        leverage = _leverage(solved, asked, found.big)
        unused = np.clip(1 - layout.weight * fit * leverage, 0.05, 1.0)
        scale = np.sqrt(variance * unused * (unused / layout.weight + leverage))
        again = _weight(np.abs(_residual(solved, asked, found)) / scale)
        if np.abs(again - fit).max() < SETTLED:
            break
        found = reweighed(found, asked, layout.weight * (again - fit))
        fit = again
    if layout.clamping is None:
        return Fitting(fit, found, variance)
    return Fitting(fit, clampings(layout, layout.clamping, layout.weight * fit), variance)


def _weight(far: Floats) -> Floats:
    """How much a reading so many standard deviations off counts."""
    return np.square(np.square(OUTLIER_AT / np.maximum(far, OUTLIER_AT)))


def _first_look(layout: Layout, noise: float, scales: Floats, slopes_sd: Floats) -> Floats:
    """Weights [n] by how far each reading lies from the middle of its own level of the first factor, to which readings
    far from the whole class contribute little."""
    own, value = layout.levels[0], layout.value
    one = noise**2 / layout.weight
    class_sd = np.sqrt(one + np.square(scales).sum())
    counts = _weight(np.abs(value - np.median(value)) / class_sd)
    spread = layout.covariates - _mean_by(own, layout.covariates, layout.sizes[0])
    sd = np.sqrt(2 * (one + np.square(scales[1:]).sum()) + np.square(spread * slopes_sd).sum(axis=1))
    return _weight(np.abs(value - _middles(value, counts, own)[own]) / sd)


def _mean_by(level: Ints, columns: Floats, size: int) -> Floats:
    """Mean of columns [n × p] over the readings of the same level [n × p]."""
    count = np.maximum(np.bincount(level, minlength=size), 1)
    means = [np.bincount(level, column, size) / count for column in columns.T]
    return np.array(means).reshape(-1, size).T[level]


def _middles(value: Floats, counts: Floats, level: Ints) -> Floats:
    """Weighted median of every level, half way where it lies between two readings [levels]; 0 without a reading."""
    order = np.lexsort((value, level))
    sorted_level, sorted_value = level[order], value[order]
    starts = np.flatnonzero(np.diff(sorted_level, prepend=-1))
    each = (
        counts[order] / np.maximum.reduceat(counts[order], starts)[np.cumsum(np.diff(sorted_level, prepend=-1) > 0) - 1]
    )
    reached, whole = np.cumsum(each), np.add.reduceat(each, starts)
    before = reached[starts] - each[starts]
    found = np.zeros(int(level.max(initial=-1)) + 1)
    ends = [np.searchsorted(reached, before + share * whole) for share in (0.5 - 1e-6, 0.5 + 1e-6)]
    found[sorted_level[starts]] = (sorted_value[ends[0]] + sorted_value[ends[1]]) / 2
    return found


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
    big, others = (np.maximum(each, LEAST_SPREAD) for each in found.stretch)
    own = 1 / (found.count + variance / (scales[found.big] * big) ** 2 + RIDGE)
    through = own[:, None] * cross
    believed = np.concatenate([1 / (scales[found.owner] * others), [0.0], 1 / slopes_sd]) ** 2
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
