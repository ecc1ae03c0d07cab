"""Runs that do not fit: they count less, and are flagged, but are never dropped.

Weight min(1, (2.5/|r|)⁴) on leverage-standardised residuals r, three passes, with every spread at its prior scale. The
first look is at the class, not at a fit that a bad run has already bent: of two runs of one motor that cannot both be
right, the one nearer to the class is believed. The form is ours; M-estimation: Huber & Ronchetti, Robust Statistics,
2nd ed., 2009 (recalled).
"""

from dataclasses import dataclass, replace

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.layout import Clampings, Layout, clampings

OUTLIER_AT = 2.5
PASSES, SETTLED = 3, 0.02
"""Passes at most, and the change of every weight from which on another one is not worth its time."""
DOES_NOT_FIT = 0.5
"""A run whose weight falls below this is flagged: its residual is beyond about 3 σ."""
RIDGE = 1e-9
MEDIAN_OFF, BELIEVED = 0.6745, 3.0
"""Median of |x| for a normal of sd 1; how many repeats the tester's usual repeatability counts like at first look."""
ODD_AMONG, HEAVY = 4, 4.0
"""Motors from which on one can be called odd, and degrees of freedom of the Student's t they are held against. Ours."""
LEAST_SPREAD = 1e-6
"""In place of the spread of a level that stands for none."""


@dataclass(frozen=True)
class Fitting:
    """weight [n]: how well each reading fits, 1 for most; clampings with these weights; the middle of σ² so found."""

    weight: Floats
    clampings: Clampings
    variance: float


def fitting(layout: Layout, noise: float, scales: Floats, slopes_sd: Floats, prior_freedom: float) -> Fitting:
    """Weigh the readings. The prior's σ, spread of each factor (of clampings last), and sd of the slopes [p]."""
    variance = noise**2
    beside_its_clamping = fit = np.ones(layout.value.size)
    if layout.clamping is not None:
        beside_its_clamping, fit = _first_looks(layout, noise, scales, slopes_sd)
    found = clampings(layout, layout.weight * fit)
    for _ in range(PASSES):
        solved = _solve(found, variance, scales, slopes_sd)
        variance = (prior_freedom * noise**2 + solved.left) / (prior_freedom + float(found.weight.sum()) - 1)
        residual, leverage = _residual(solved, layout, found, fit), _leverage(solved, layout, found)
        unused = np.clip(1 - layout.weight * fit * leverage, 0.05, 1.0)
        scale = np.sqrt(variance * unused * (unused / layout.weight + leverage))
        again = np.minimum(_weight(np.abs(residual) / scale), beside_its_clamping)
        if np.abs(again - fit).max() < SETTLED:
            break
        found, fit = clampings(layout, layout.weight * again), again
    return Fitting(fit, _with_odd_ones(found, solved), variance)


def _with_odd_ones(found: Clampings, solved: "_Solved") -> Clampings:
    """A motor (level of the first factor) far off the others gets room of its own, so that it does not spread them."""
    size = found.sizes[0]
    effect = solved.mean[solved.starts[0] : solved.starts[0] + size]
    seen = np.bincount(found.levels[0], found.weight, size) > 0
    if np.count_nonzero(seen) < ODD_AMONG:
        return found
    off = np.abs(effect - np.median(effect[seen]))
    scale = max(float(np.median(off[seen])) / MEDIAN_OFF, LEAST_SPREAD)
    for _ in range(PASSES):
        share = (HEAVY + 1) / (HEAVY + np.square(off[seen] / scale))
        scale = max(float(np.sqrt(np.mean(share * np.square(off[seen])))), LEAST_SPREAD)
    room = np.where(seen, np.maximum(1.0, off / (OUTLIER_AT * scale)), 1.0)
    return replace(found, stretch=(found.stretch[0] * room, *found.stretch[1:]))


def _weight(far: Floats) -> Floats:
    """How much a reading so many standard deviations off counts."""
    return np.square(np.square(OUTLIER_AT / np.maximum(far, OUTLIER_AT)))


def _first_looks(layout: Layout, noise: float, scales: Floats, slopes_sd: Floats) -> tuple[Floats, Floats]:
    """Weights [n] by how far each reading lies from the middle of its clamping, and of its motor as well.

    The motor is the level of the first factor. To neither middle do readings far from
    the whole class contribute much. Two readings of one clamping that cannot both be right are both doubted where the
    class does not say which; a fit would find each of them possible.
    """
    rising = np.argsort(layout.value)
    median = layout.value[rising[rising.size // 2]]
    class_sd = np.sqrt(noise**2 / layout.weight + np.square(scales).sum())
    counts = _weight(np.abs(layout.value - median) / class_sd)
    beside = float(np.square(np.delete(scales, (0, *layout.of_first))).sum())
    clamping, motor = (
        _first_look(layout, level, _middles(layout.value, counts, level, rising), noise, more, slopes_sd)
        for level, more in ((layout.seats, 0.0), (layout.levels[0], beside))
    )
    return clamping, np.minimum(clamping, motor)


def _first_look(
    layout: Layout, level: Ints, middles: tuple[Floats, Floats], noise: float, beside: float, slopes_sd: Floats
) -> Floats:
    """Weights [n] by the distance to the middle of the same level [n]; beside: variance of what differs within one."""
    value, (low, high) = layout.value, middles
    size = low.size
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


def _middles(value: Floats, counts: Floats, level: Ints, rising: Ints) -> tuple[Floats, Floats]:
    """The two readings that the weighted median of every level lies between [levels]; 0 without a reading.

    rising [n]: the readings in order of their values; short labels are sorted several times faster than long ones.
    """
    short = level[rising].astype(np.int16 if level.max(initial=0) < 2**15 else np.int64)
    order = rising[np.argsort(short, kind="stable")]
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
    """Least squares with every level shrunk, the clampings first. Columns r: levels of all factors, then fixed ones.

    own [c]: variance of a clamping with the rest held; kept [c]: what eliminating it leaves of its ones; covariance
    [r × r] and mean [r], all variances over σ²; starts: first column of each factor; left: squares not explained.
    """

    own: Floats
    kept: Floats
    covariance: Floats
    mean: Floats
    starts: tuple[int, ...]
    left: float


def _solve(found: Clampings, variance: float, scales: Floats, slopes_sd: Floats) -> _Solved:
    theta = float(scales[-1]) / np.sqrt(variance) if len(scales) > len(found.sizes) else 0.0
    sums = found.sums(np.array([theta]))
    q, levels = sums.count.shape[1], sum(found.sizes)
    information = np.zeros((levels + sums.fixed, levels + sums.fixed))
    information[np.arange(q), np.arange(q)] = sums.count[0]
    information[:q, q:] = sums.cross[0, :, :-1]
    information[q:, :q] = information[:q, q:].T
    information[q:, q:] = sums.rest[0, :-1, :-1]
    spread = np.concatenate([scales[sums.big] * sums.stretch[0][0], scales[sums.owner] * sums.stretch[1][0]])
    believed = np.concatenate([1 / np.maximum(spread, LEAST_SPREAD), [0.0], 1 / slopes_sd]) ** 2
    information.flat[:: information.shape[0] + 1] += variance * believed + RIDGE
    right = np.concatenate([sums.cross[0, :, -1], sums.rest[0, :-1, -1]])
    covariance = np.asarray(np.linalg.inv(information), dtype=np.float64)
    mean = covariance @ right
    starts = np.zeros(len(found.sizes), dtype=np.int64)
    for factor in range(len(found.sizes)):
        before = [f for f in range(factor) if f != sums.big]
        starts[factor] = 0 if factor == sums.big else q + sum(found.sizes[f] for f in before)
    kept = 1 / (1 + theta**2 * found.weight)
    left = max(0.0, float(sums.rest[0, -1, -1] - right @ mean))
    return _Solved(theta**2 * kept, kept, covariance, mean, tuple(starts.tolist()), left)


def _columns(solved: _Solved, found: Clampings) -> list[Ints]:
    """Which columns have a one in each clamping: its level of every factor, and the centre."""
    centre = solved.mean.size - found.summed.shape[0] + 1
    return [
        *(start + level for start, level in zip(solved.starts, found.levels, strict=True)),
        np.full(found.weight.size, centre),
    ]


def _residual(solved: _Solved, layout: Layout, found: Clampings, fit: Floats) -> Floats:
    """Reading less what is expected of it, also for its clamping [n]."""
    expected = np.sum([solved.mean[column] for column in _columns(solved, found)], axis=0)
    rest = layout.value - found.offset - expected[layout.seats]
    rest -= layout.covariates @ solved.mean[solved.mean.size - layout.covariates.shape[1] :]
    together = np.bincount(layout.seats, layout.weight * fit * rest, found.weight.size)
    return np.asarray(rest - (solved.own * together)[layout.seats])


def _leverage(solved: _Solved, layout: Layout, found: Clampings) -> Floats:
    """x·C·x for every reading [n], its clamping's column among x: with x less what eliminating that takes.

    The ones of x are gathered instead of multiplied.
    """
    covariance, seats = solved.covariance, layout.seats
    ones = _columns(solved, found)
    slopes = range(solved.mean.size - layout.covariates.shape[1], solved.mean.size)
    of_clamping = np.zeros(found.weight.size)
    for column in ones:
        for other in ones:
            of_clamping += covariance[column, other]
    lever = (solved.own + solved.kept**2 * of_clamping)[seats]
    apart = [
        covariate - (solved.own * summed)[seats]
        for covariate, summed in zip(layout.covariates.T, found.summed[1:-1], strict=True)
    ]
    for i, one in zip(slopes, apart, strict=True):
        weighed = 2 * (solved.kept * np.sum([covariance[i][column] for column in ones], axis=0))[seats]
        for j, other_slope in zip(slopes, apart, strict=True):
            weighed += covariance[i, j] * other_slope
        lever += weighed * one
    return np.asarray(lever)
