"""Crossed random factors: estimates from the sufficient statistics of `layout`, and the systems behind every draw.

Model: y = X·β + Σ_f u_f[level of factor f] + e, with u_f ~ N(0, θ_f²·σ²) and e ~ N(0, σ²/weight); X is a column of ones
and the covariates. A level may be stretched: its own spread is then that many times θ_f. Both the published estimates
(REML, ML, BLUP: this module) and the posterior (`posterior`) are read off the same sums. The factor with most levels is
diagonal and eliminated first, after the clampings. Source: Bates, Mächler, Bolker & Walker, Fitting Linear
Mixed-Effects Models Using lme4, J. Stat. Software 67 (2015), sections 3.1 to 3.4 (recalled).
"""

from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.layout import Layout, Sums, sums

ZOOMS, SHRINK = 60, 0.75
"""Steps of the search for the best θ, and how much smaller the box gets in each."""


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
    log_det = (
        found.eliminated[:, None]
        + np.log(grown).sum(axis=2)
        + 2 * np.log(np.diagonal(lower, axis1=2, axis2=3)).sum(axis=2)
    )
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
    found = sums(layout)
    theta = _best_theta(found, restricted)[None, None, :]
    criterion, variance = _criterion(found, theta[0], restricted)
    reduced, c = reduce(found, theta), found.fixed
    inner, right = reduced.tail[0, 0, :c, :c], reduced.tail[0, 0, :c, c]
    fixed = np.asarray(np.linalg.solve(inner, right), dtype=np.float64)
    only = np.zeros(1, dtype=np.int64)
    return Fit(
        spread=theta[0, 0] * np.sqrt(variance[0]),
        noise=float(np.sqrt(variance[0])),
        fixed=fixed + np.eye(c)[0] * found.offset[0],
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
