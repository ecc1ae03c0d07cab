"""Crossed random factors: sufficient statistics in one pass over the readings, and what follows from them.

Model: y = X·β + Σ_f u_f[level of factor f] + e, with u_f ~ N(0, θ_f²·σ²) and e ~ N(0, σ²/weight); X is a column of ones
and the covariates. A level may be stretched: its own spread is then that many times θ_f. Both the published estimates
(REML, ML, BLUP: this module) and the posterior (`estimate`) are read off the same sums. The factor with most levels is
diagonal and eliminated first; clampings, which lie within one level of every factor, before all (`clampings`). Source:
Bates, Mächler, Bolker & Walker, Fitting Linear Mixed-Effects Models Using lme4, J. Stat. Software 67 (2015), sections
3.1 to 3.4 (recalled).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pitbench.figures.arrays import Floats, Ints

ZOOMS, SHRINK = 60, 0.75
"""Steps of the search for the best θ, and how much smaller the box gets in each."""


@dataclass(frozen=True)
class Layout:
    """Readings: value and weight [n], covariates [n × p]; levels: for each factor its level in every reading [n].

    Levels count from 0; sizes: how many levels each factor has, also those without a reading. A weight of ½ counts as
    half a reading. stretch: for each factor what multiplies the spread of each of its levels, 0 for a level that stands
    for none; empty: 1 for all. clamping [n]: label of the clamping each reading was made in, within one level of every
    factor; None where that is not told.
    """

    value: Floats
    levels: tuple[Ints, ...]
    sizes: tuple[int, ...]
    weight: Floats
    covariates: Floats
    stretch: tuple[Floats, ...] = ()
    clamping: Ints | None = None

    def only(self, rows: Ints) -> "Layout":
        """Some of the readings."""
        levels = tuple(level[rows] for level in self.levels)
        return replace(
            self,
            value=self.value[rows],
            levels=levels,
            weight=self.weight[rows],
            covariates=self.covariates[rows],
            clamping=None if self.clamping is None else self.clamping[rows],
        )

    def with_clampings(self) -> "Layout":
        """The clampings as one more factor, the last."""
        if self.clamping is None:
            return self
        label = np.unique(self.clamping, return_inverse=True)[1]
        size = int(label.max(initial=-1)) + 1
        return replace(
            self,
            levels=(*self.levels, label),
            sizes=(*self.sizes, size),
            stretch=(*self.stretched, np.ones(size)),
            clamping=None,
        )

    @property
    def stretched(self) -> tuple[Floats, ...]:
        """What multiplies the spread of every level, by factor."""
        return self.stretch or tuple(np.ones(size) for size in self.sizes)

    @property
    def freedom(self) -> int:
        """Degrees of freedom of pure repeats: readings less distinct combinations of levels."""
        together = np.zeros(self.value.size, dtype=np.int64)
        for level, size in zip(self.levels, self.sizes, strict=True):
            together = together * size + level
        together.sort()
        return self.value.size - min(together.size, 1) - int(np.count_nonzero(np.diff(together)))


@dataclass(frozen=True)
class Sums:
    """Sufficient statistics. Factor `big` is apart: count [q] and cross [q × a]; rest [a × a] of all other columns.

    Columns a: levels of the other factors in order (owner [m]: the factor of each), then the fixed ones, which are the
    centre and p slopes, and last the values less `offset`. total: sum of the weights. stretch: of the levels of the big
    factor [q] and of the others [m]. Side by side, g figures of the same factors have a leading axis g in all of them
    but owner.
    """

    offset: Floats
    total: Floats
    big: int
    count: Floats
    cross: Floats
    rest: Floats
    owner: Ints
    factors: int
    stretch: tuple[Floats, Floats]

    @property
    def fixed(self) -> int:
        """Number of fixed columns, 1 + p."""
        return int(self.cross.shape[-1]) - self.owner.size - 1


def sums(layout: Layout, weight: Floats | None = None, offset: Floats | None = None) -> Sums:
    """One pass over the readings, with other weights or offset if given. At least one reading and one factor."""
    w = layout.weight if weight is None else weight
    if offset is None:
        offset = np.asarray(w @ layout.value / w.sum())
    dense = _dense(layout, offset)
    weighed = w * dense
    return _summed(layout, w, weighed, dense @ weighed.T, offset, np.asarray(w.sum()))


def _dense(layout: Layout, offset: Floats) -> Floats:
    """Ones, covariates and values less offset [columns × n]."""
    return np.array([np.ones(layout.value.size), *layout.covariates.T, layout.value - offset])


def _summed(layout: Layout, w: Floats, weighed: Floats, corner: Floats, offset: Floats, total: Floats) -> Sums:
    """Sums over rows of a layout: weights [n], weighed dense columns [columns × n] and their own products."""
    sizes = layout.sizes
    big = int(np.argmax(sizes))
    others = [f for f in range(len(sizes)) if f != big]
    mixed = [_by_level(level, size, weighed) for level, size in zip(layout.levels, sizes, strict=True)]
    rows = [np.concatenate([*(_table(layout, w, f, other) for other in others), mixed[f]], axis=1) for f in others]
    last = np.concatenate([*(mixed[f].T for f in others), corner], axis=1)
    stretch = layout.stretched
    return Sums(
        offset=offset,
        total=total,
        big=big,
        count=mixed[big][:, 0],
        cross=np.concatenate([*(_table(layout, w, big, other) for other in others), mixed[big]], axis=1),
        rest=np.concatenate([*rows, last]),
        owner=np.repeat(np.array(others, dtype=np.int64), [sizes[f] for f in others]),
        factors=len(sizes),
        stretch=(stretch[big], np.concatenate([np.zeros(0), *(stretch[f] for f in others)])),
    )


@dataclass(frozen=True)
class Clampings:
    """Readings summed up by clamping, so that the spread θ of clampings can be tried without going through them again.

    rows: a layout with one row a clamping, its weight that of all its readings; summed [columns × n]: weighed sums of
    ones, covariates and values less offset in each; corner: products of these columns over all readings.
    """

    rows: Layout
    summed: Floats
    corner: Floats
    offset: Floats

    def sums(self, theta: float) -> tuple[Sums, float]:
        """Sums with every clamping eliminated, its own spread being θ·σ, and the log determinant of what was.

        A clamping of weight w counts as w/(1 + θ²·w): its mean is no better than its own seat.
        """
        w = self.rows.weight
        kept = 1 / (1 + theta**2 * w)
        corner = self.corner - (theta**2 * kept * self.summed) @ self.summed.T
        found = _summed(self.rows, w * kept, kept * self.summed, corner, self.offset, np.asarray(w.sum()))
        return found, float(-np.log(kept).sum())


def clampings(layout: Layout, clamping: Ints, weight: Floats) -> Clampings:
    """One pass over the readings, with these labels of their clampings [n] and these weights [n]."""
    offset = np.asarray(weight @ layout.value / weight.sum())
    dense = _dense(layout, offset)
    weighed = weight * dense
    _, first, label = np.unique(clamping, return_index=True, return_inverse=True)
    summed = _by_level(label, first.size, weighed).T
    rows = replace(layout.only(first), weight=summed[0])
    return Clampings(rows, summed, dense @ weighed.T, offset)


def reweighed(found: Sums, layout: Layout, change: Floats) -> Sums:
    """The sums after the weight of some readings changed by so much [n]: only these are gone through again."""
    rows = np.flatnonzero(change)
    part = sums(layout.only(rows), change[rows], found.offset)
    total, count, cross, rest = (
        getattr(found, name) + getattr(part, name) for name in ("total", "count", "cross", "rest")
    )
    return replace(found, total=total, count=count, cross=cross, rest=rest)


def with_slopes(found: Sums, fixed: int) -> Sums:
    """The sums with further slopes that nothing depends on, up to so many fixed columns."""
    width, more = found.cross.shape[1], fixed - found.fixed
    if not more:
        return found
    kept = np.array([*range(width - 1), width - 1 + more])
    cross, rest = np.zeros((found.cross.shape[0], width + more)), np.zeros((width + more, width + more))
    cross[:, kept] = found.cross
    rest[np.ix_(kept, kept)] = found.rest
    return replace(found, cross=cross, rest=rest)


def side_by_side(found: Sequence[Sums]) -> Sums:
    """Figures of the same factors and as many covariates, to be worked out together."""
    first = found[0]
    offset, total, count, cross, rest = (
        np.array([getattr(each, name) for each in found]) for name in ("offset", "total", "count", "cross", "rest")
    )
    big, others = (np.array([each.stretch[i] for each in found]) for i in (0, 1))
    return Sums(offset, total, first.big, count, cross, rest, first.owner, first.factors, (big, others))


def _by_level(level: Ints, size: int, weighed: Floats) -> Floats:
    """Sums of columns [columns × n] by level [size × columns]."""
    return np.array([_counted(level, column, size) for column in weighed]).T


def _table(layout: Layout, w: Floats, f: int, other: int) -> Floats:
    """Weight of every pair of levels of two factors [levels × levels]."""
    size, width = layout.sizes[f], layout.sizes[other]
    return _counted(layout.levels[f] * width + layout.levels[other], w, size * width).reshape(size, width)


def _counted(level: Ints, weight: Floats, size: int) -> Floats:
    return np.bincount(level, weight, size).astype(np.float64, copy=False)


@dataclass(frozen=True)
class Reduced:
    """The systems of g figures side by side at k points θ [g × k × factors], every random level eliminated, times σ².

    half [g × k × m × m]: inverse of the Cholesky factor of the other levels, scaled by `scale` [g × k × m]; along
    [g × k × m × (fixed + 1)]; tail [g × k × (fixed + 1) × (fixed + 1)]: fixed columns and values; log_det [g × k] of
    what was eliminated; shrink [g × k × q]: variance of a level of the big factor given all else.
    """

    theta: Floats
    scale: Floats
    half: Floats
    along: Floats
    tail: Floats
    log_det: Floats
    shrink: Floats


def reduce(found: Sums, theta: Floats) -> Reduced:
    """Eliminate the big factor, then the levels of the others, at every point θ ≥ 0 [g × k × factors]."""
    own = (theta[:, :, found.big, None] * found.stretch[0][:, None, :]) ** 2
    grown = 1 + own * found.count[:, None, :]
    shrink = own / grown
    m = found.owner.size
    scale = theta[:, :, found.owner] * found.stretch[1][:, None, :]
    whole = np.array([_taken(cross, each) for cross, each in zip(found.cross, shrink, strict=True)])
    np.subtract(found.rest[:, None], whole, out=whole)
    whole[..., :m, :] *= scale[..., :, None]
    whole[..., :, :m] *= scale[..., None, :]
    lower = np.linalg.cholesky(whole[..., :m, :m] + np.eye(m))
    half = np.linalg.inv(lower)
    along = half @ whole[..., :m, m:]
    tail = whole[..., m:, m:] - along.swapaxes(2, 3) @ along
    log_det = np.log(grown).sum(axis=2) + 2 * np.log(np.diagonal(lower, axis1=2, axis2=3)).sum(axis=2)
    return Reduced(theta, scale, half, along, tail, log_det, shrink)


def _taken(cross: Floats, shrink: Floats) -> Floats:
    """What eliminating the big factor takes from the rest of one figure, at every point [k × a × a]."""
    q, a = cross.shape
    products = (cross[:, :, None] * cross[:, None, :]).reshape(q, a * a)
    return np.asarray(shrink @ products).reshape(-1, a, a)


@dataclass(frozen=True)
class Fit:
    """Plug-in estimates: standard deviations [factors] and σ, fixed effects [1 + p] with standard errors, criterion.

    criterion: −2 log (restricted) likelihood at its best. effects: BLUP of every level, by factor.
    """

    spread: Floats
    noise: float
    fixed: Floats
    standard_error: Floats
    criterion: float
    effects: tuple[Floats, ...]


def fit(layout: Layout, *, restricted: bool = True) -> Fit:
    """REML (or ML) estimates; a factor that explains nothing has spread 0.

    Needs more readings than fixed columns, independent columns, and some scatter: a perfect fit has no likelihood.
    """
    found = side_by_side([sums(layout)])
    theta = _best_theta(found, restricted)[None, None, :]
    criterion, variance = _criterion(found, theta[0], restricted)
    reduced, c = reduce(found, theta), found.fixed
    inner, right = reduced.tail[0, 0, :c, :c], reduced.tail[0, 0, :c, c]
    fixed = np.asarray(np.linalg.solve(inner, right), dtype=np.float64)
    only = np.zeros(1, dtype=np.int64)
    return Fit(
        spread=theta[0, 0] * np.sqrt(variance[0]),
        noise=float(np.sqrt(variance[0])),
        fixed=fixed + np.eye(c)[0] * found.offset,
        standard_error=np.sqrt(np.diag(np.linalg.inv(inner) * variance[0])),
        criterion=float(criterion[0]),
        effects=tuple(each[0, 0] for each in levels(found, reduced, only, only, fixed[None, None, :])),
    )


def _criterion(found: Sums, theta: Floats, restricted: bool) -> tuple[Floats, Floats]:
    """−2 log likelihood with σ² at its best, and that σ², at points θ [k × factors] of one figure."""
    reduced, c, total = reduce(found, theta[None]), found.fixed, float(found.total[0])
    tail = reduced.tail[0]
    inner, right = tail[:, :c, :c], tail[:, :c, c]
    explained = np.einsum("ki,ki->k", right, np.linalg.solve(inner, right[:, :, None])[:, :, 0])
    freedom = total - (c if restricted else 0)
    variance = np.maximum(tail[:, c, c] - explained, 1e-300) / freedom
    log_det = reduced.log_det[0] + (np.linalg.slogdet(inner)[1] if restricted else 0.0)
    return log_det + freedom * (1 + np.log(2 * np.pi * variance)), variance


def _best_theta(found: Sums, restricted: bool) -> Floats:
    """Lowest criterion over θ ≥ 0: evenly spread points, then ever smaller boxes about the best one."""
    factors = found.factors
    spread = spread_points(96, factors)
    points = 10.0 ** (4 * spread - 2)
    best, lowest = np.ones(factors), np.inf
    width = np.full(factors, np.log(10.0))
    for _ in range(ZOOMS):
        criterion = _criterion(found, points, restricted)[0]
        at = int(np.argmin(criterion))
        if criterion[at] < lowest:
            best, lowest = points[at], float(criterion[at])
        points = best * np.exp(width * (2 * spread - 1))
        points = np.concatenate([points, np.where(spread[:8] < 0.5, 0.0, best)])  # a factor may explain nothing
        width = width * SHRINK
    return best


def spread_points(count: int, dimensions: int) -> Floats:
    """Evenly spread points of the unit cube [count × dimensions]: additive recurrence, generalised golden ratio.

    Source: M. Roberts, The unreasonable effectiveness of quasirandom sequences (2018), recalled.

    >>> spread_points(2, 1).ravel().tolist()
    [0.118, 0.736]
    """
    ratio = 2.0
    for _ in range(40):
        ratio = (1 + ratio) ** (1 / (dimensions + 1))
    steps = ratio ** -np.arange(1.0, dimensions + 1)
    return (0.5 + np.arange(1, count + 1)[:, None] * steps) % 1.0


def levels(
    found: Sums, reduced: Reduced, figure: Ints, point: Ints, fixed: Floats, z: Floats | None = None
) -> tuple[Floats, ...]:
    """Levels of every factor given the fixed columns: means at points θ, or departures from them.

    figure, point [b]: which system, and which of its θ; fixed [b × r × (1 + p)], r of them at each. Departures if z
    [b × r × (m + q)] is given, normals; fixed is then a departure too, and both in units of σ. By factor [b × r ×
    levels].
    """
    m, c = found.owner.size, found.fixed
    along, cross, shrink = reduced.along[figure, point], found.cross[figure], reduced.shrink[figure, point][:, None, :]
    inner = fixed @ -along[:, :, :c].swapaxes(1, 2)
    inner += along[:, None, :, c] if z is None else z[:, :, :m]
    others = (inner @ reduced.half[figure, point]) * reduced.scale[figure, point][:, None, :]
    own = np.concatenate([others, fixed], axis=2) @ -cross[:, :, : m + c].swapaxes(1, 2)
    if z is None:
        own += cross[:, None, :, m + c]
    own *= shrink
    if z is not None:
        own += np.sqrt(shrink) * z[:, :, m:]
    return tuple(own if f == found.big else others[:, :, found.owner == f] for f in range(found.factors))
