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
MEDIAN_OFF, BELIEVED = 0.6745, 3.0
"""Median of |x| for a normal of sd 1; how many repeats the tester's usual repeatability counts like at first look."""
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
    beside_its_clamping = fit = np.ones(layout.value.size)
    if layout.clamping is not None:
        beside_its_clamping, fit = _first_looks(asked, noise, scales, slopes_sd)
    found = sums(asked, layout.weight * fit)
    for _ in range(PASSES):
        solved = _solve(found, variance, scales, slopes_sd)
        variance = float((prior_freedom * noise**2 + solved.left) / (prior_freedom + found.total - 1))
        leverage = _leverage(solved, asked, found.big)
        unused = np.clip(1 - layout.weight * fit * leverage, 0.05, 1.0)
        scale = np.sqrt(variance * unused * (unused / layout.weight + leverage))
        far = np.abs(_residual(solved, asked, found)) / scale
        again = np.minimum(_weight(far), beside_its_clamping)
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


def _first_looks(layout: Layout, noise: float, scales: Floats, slopes_sd: Floats) -> tuple[Floats, Floats]:
    """Weights [n] by how far each reading lies from the middle of its clamping, and of its motor as well.

    The motor is the level of the first factor, the clamping that of the last. To neither middle do readings far from
    the whole class contribute much. Two readings of one clamping that cannot both be right are both doubted where the
    class does not say which; a fit would find each of them possible.
    """
    class_sd = np.sqrt(noise**2 / layout.weight + np.square(scales).sum())
    counts = _weight(np.abs(layout.value - np.median(layout.value)) / class_sd)
    clamping = _first_look(layout, len(scales) - 1, counts, noise, 0.0, slopes_sd)
    motor = _first_look(layout, 0, counts, noise, float(np.square(scales[1:]).sum()), slopes_sd)
    return clamping, np.minimum(clamping, motor)


def _first_look(layout: Layout, factor: int, counts: Floats, noise: float, beside: float, slopes_sd: Floats) -> Floats:
    """Weights [n] by the distance to the middle of a factor's level; beside: variance of what differs within one."""
    value, level, size = layout.value, layout.levels[factor], layout.sizes[factor]
    low, high = _middles(value, counts, level)
    own = np.bincount(level, minlength=size)[level]
    halved = np.where((own == 2) & (low < high)[level], 0.5, 1.0)  # half way between two, of which neither is believed
    off = np.abs(value - (low + high)[level] / 2)
    repeated = noise if beside else _repeated((off * np.sqrt(0.5) / halved)[own > 1], noise)
    by_slopes = np.square((layout.covariates - _mean_by(level, layout.covariates, size)) * slopes_sd).sum(axis=1)
    return _weight(off / np.sqrt(2 * halved**2 * (repeated**2 / layout.weight + beside) + by_slopes))


def _repeated(off: Floats, noise: float) -> float:
    """Repeatability from distances to the middle of a clamping [n], the larger half left out, and what is believed."""
    if not off.size:
        return noise
    typical = float(np.sort(off)[(off.size - 1) // 2]) / MEDIAN_OFF
    freedom = off.size / 2
    return float(np.sqrt((BELIEVED * noise**2 + freedom * typical**2) / (BELIEVED + freedom)))


def _mean_by(level: Ints, columns: Floats, size: int) -> Floats:
    """Mean of columns [n × p] over the readings of the same level [n × p]."""
    count = np.maximum(np.bincount(level, minlength=size), 1)
    means = [np.bincount(level, column, size) / count for column in columns.T]
    return np.array(means).reshape(-1, size).T[level]


def _middles(value: Floats, counts: Floats, level: Ints) -> tuple[Floats, Floats]:
    """The two readings that the weighted median of every level lies between [levels]; 0 without a reading."""
    order = np.lexsort((value, level))
    sorted_level, sorted_value = level[order], value[order]
    starts = np.flatnonzero(np.diff(sorted_level, prepend=-1))
    each = (
        counts[order] / np.maximum.reduceat(counts[order], starts)[np.cumsum(np.diff(sorted_level, prepend=-1) > 0) - 1]
    )
    reached, whole = np.cumsum(each), np.add.reduceat(each, starts)
    before = reached[starts] - each[starts]
    low, high = np.zeros((2, int(level.max(initial=-1)) + 1))
    for found, share in ((low, 0.5 - 1e-6), (high, 0.5 + 1e-6)):
        found[sorted_level[starts]] = sorted_value[np.searchsorted(reached, before + share * whole)]
    return low, high


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
