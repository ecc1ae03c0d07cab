"""Crossed random factors: sufficient statistics in one pass over the readings, and what follows from them.

Model: y = X·β + Σ_f u_f[level of factor f] + e, with u_f ~ N(0, θ_f²·σ²) and e ~ N(0, σ²/weight); X is a column of ones
and the covariates. Both the published estimates (REML, ML, BLUP: this module) and the posterior (`estimate`) are read
off the same sums. The factor with most levels is diagonal and eliminated first. Source: Bates, Mächler, Bolker &
Walker, Fitting Linear Mixed-Effects Models Using lme4, J. Stat. Software 67 (2015), sections 3.1 to 3.4 (recalled).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
ZOOMS, SHRINK = 60, 0.75
"""Steps of the search for the best θ, and how much smaller the box gets in each."""


@dataclass(frozen=True)
class Layout:
    """Readings: value and weight [n], covariates [n × p]; levels: for each factor its level in every reading [n].

    Levels count from 0; sizes: how many levels each factor has, also those without a reading. A weight of ½ counts as
    half a reading.
    """

    value: Floats
    levels: tuple[Ints, ...]
    sizes: tuple[int, ...]
    weight: Floats
    covariates: Floats

    @property
    def freedom(self) -> int:
        """Degrees of freedom of pure repeats: readings less distinct combinations of levels."""
        together = np.zeros(self.value.size, dtype=np.int64)
        for level, size in zip(self.levels, self.sizes, strict=True):
            together = together * size + level
        return self.value.size - np.unique(together).size


@dataclass(frozen=True)
class Sums:
    """Sufficient statistics. Factor `big` is apart: count [q] and cross [q × a]; rest [a × a] of all other columns.

    Columns a: levels of the other factors in order (owner [m]: the factor of each), then the fixed ones, which are the
    centre and p slopes, and last the values less `offset`. total: sum of the weights.
    """

    layout: Layout
    offset: float
    total: float
    big: int
    count: Floats
    cross: Floats
    rest: Floats
    owner: Ints

    @property
    def fixed(self) -> int:
        """Number of fixed columns, 1 + p."""
        return 1 + int(self.layout.covariates.shape[1])


def sums(layout: Layout, weight: Floats | None = None) -> Sums:
    """One pass over the readings, with other weights if given. At least one reading and one factor."""
    w = layout.weight if weight is None else weight
    total = float(w.sum())
    offset = float(w @ layout.value / total)
    big = int(np.argmax(layout.sizes))
    others = [f for f in range(len(layout.sizes)) if f != big]
    dense = np.column_stack([np.ones(w.size), layout.covariates, layout.value - offset])
    level, size = layout.levels[big], layout.sizes[big]
    tables = [_table(level, size, layout.levels[f], layout.sizes[f], w) for f in others]
    return Sums(
        layout=layout,
        offset=offset,
        total=total,
        big=big,
        count=_counted(level, w, size),
        cross=np.concatenate([*tables, _by_level(level, size, w, dense)], axis=1),
        rest=_rest(layout, others, w, dense),
        owner=np.repeat(np.array(others, dtype=np.int64), [layout.sizes[f] for f in others]),
    )


def _rest(layout: Layout, others: list[int], w: Floats, dense: Floats) -> Floats:
    mixed = {f: _by_level(layout.levels[f], layout.sizes[f], w, dense) for f in others}
    rows = [
        [*(_table(layout.levels[f], layout.sizes[f], layout.levels[g], layout.sizes[g], w) for g in others), mixed[f]]
        for f in others
    ]
    return np.block([*rows, [*(mixed[f].T for f in others), dense.T @ (w[:, None] * dense)]])


def _by_level(level: Ints, size: int, w: Floats, dense: Floats) -> Floats:
    """Weighted sums of dense columns per level [size × columns]."""
    return np.stack([_counted(level, w * column, size) for column in dense.T], axis=1)


def _table(level: Ints, size: int, other: Ints, other_size: int, w: Floats) -> Floats:
    """Weight of every pair of levels [size × other_size]."""
    return _counted(level * other_size + other, w, size * other_size).reshape(size, other_size)


def _counted(level: Ints, weight: Floats, size: int) -> Floats:
    return np.bincount(level, weight, size).astype(np.float64)


@dataclass(frozen=True)
class Reduced:
    """The system at k points θ [k × factors], every random level eliminated, in units of 1/σ².

    half [k × m × m]: inverse of the Cholesky factor of the other levels, scaled by `scale` [k × m]; along
    [k × m × (fixed + 1)]; tail [k × (fixed + 1) × (fixed + 1)]: fixed columns and values; log_det [k] of what was
    eliminated; shrink [k × q]: variance of a level of the big factor given all else.
    """

    theta: Floats
    scale: Floats
    half: Floats
    along: Floats
    tail: Floats
    log_det: Floats
    shrink: Floats


def reduce(found: Sums, theta: Floats) -> Reduced:
    """Eliminate the big factor, then the levels of the others, at every point θ ≥ 0 [k × factors]."""
    own = theta[:, found.big, None] ** 2
    grown = 1 + own * found.count
    shrink = own / grown
    m = found.owner.size
    scale = theta[:, found.owner]
    whole = found.rest - (found.cross.T * shrink[:, None, :]) @ found.cross
    whole[:, :m] *= scale[:, :, None]
    whole[:, :, :m] *= scale[:, None, :]
    lower = np.linalg.cholesky(whole[:, :m, :m] + np.eye(m))
    half = np.linalg.inv(lower)
    along = half @ whole[:, :m, m:]
    tail = whole[:, m:, m:] - along.transpose(0, 2, 1) @ along
    log_det = np.log(grown).sum(axis=1) + 2 * np.log(np.diagonal(lower, axis1=1, axis2=2)).sum(axis=1)
    return Reduced(theta, scale, half, along, tail, log_det, shrink)


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
    found = sums(layout)
    theta = _best_theta(found, restricted)[None, :]
    criterion, variance = _criterion(found, theta, restricted)
    reduced, c = reduce(found, theta), found.fixed
    fixed = np.asarray(np.linalg.solve(reduced.tail[0, :c, :c], reduced.tail[0, :c, c]), dtype=np.float64)
    covariance = np.linalg.inv(reduced.tail[0, :c, :c]) * variance[0]
    return Fit(
        spread=theta[0] * np.sqrt(variance[0]),
        noise=float(np.sqrt(variance[0])),
        fixed=fixed + np.eye(c)[0] * found.offset,
        standard_error=np.sqrt(np.diag(covariance)),
        criterion=float(criterion[0]),
        effects=tuple(each[0, 0] for each in levels(found, reduced, np.zeros(1, dtype=np.int64), fixed[None, None, :])),
    )


def _criterion(found: Sums, theta: Floats, restricted: bool) -> tuple[Floats, Floats]:
    """−2 log likelihood with σ² at its best, and that σ², at points θ [k × factors]."""
    reduced, c = reduce(found, theta), found.fixed
    inner, right = reduced.tail[:, :c, :c], reduced.tail[:, :c, c]
    explained = np.einsum("ki,ki->k", right, np.linalg.solve(inner, right[:, :, None])[:, :, 0])
    freedom = found.total - (c if restricted else 0)
    variance = np.maximum(reduced.tail[:, c, c] - explained, 1e-300) / freedom
    log_det = reduced.log_det + (np.linalg.slogdet(inner)[1] if restricted else 0.0)
    return log_det + freedom * (1 + np.log(2 * np.pi * variance)), variance


def _best_theta(found: Sums, restricted: bool) -> Floats:
    """Lowest criterion over θ ≥ 0: evenly spread points, then ever smaller boxes about the best one."""
    factors = len(found.layout.sizes)
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
    found: Sums, reduced: Reduced, point: Ints, fixed: Floats, z: Floats | None = None, *, readings: float = 1.0
) -> tuple[Floats, ...]:
    """Levels of every factor given the fixed columns: means at each point θ, and departures from them if z is given.

    point [b]: which θ; fixed [b × r × (1 + p)], r of them at each; z [b × r × (m + q)]: normals times σ. With
    `readings` 0 the departures alone. By factor [b × r × levels].
    """
    m, c = found.owner.size, found.fixed
    along = reduced.along[point]
    inner = readings * along[:, None, :, c] - fixed @ along[:, :, :c].transpose(0, 2, 1)
    if z is not None:
        inner = inner + z[:, :, :m]
    others = (inner @ reduced.half[point]) * reduced.scale[point][:, None, :]
    own = readings * found.cross[:, m + c] - np.concatenate([others, fixed], axis=2) @ found.cross[:, : m + c].T
    shrink = reduced.shrink[point][:, None, :]
    own *= shrink
    if z is not None:
        own += np.sqrt(shrink) * z[:, :, m:]
    factors = range(len(found.layout.sizes))
    return tuple(own if f == found.big else others[:, :, found.owner == f] for f in factors)
