"""What the motors of one comparison truly have, given noisy runs in several bench sessions: draws from the posterior.

The one engine behind every compared figure, for any number of crossed factors (motor and session; later stator, rotor,
end bell). Model: `mixed`. Priors: σ² scaled inverse χ² with 3 degrees of freedom at the tester's repeatability, spreads
τ half-normal, slopes normal, centre flat. Quadrature: evenly spread points over log(τ/σ), a coarse pass that cuts the
box to where the weight lies, then a fine one; σ on a line of nodes at every point, where it costs next to nothing.
Then systematic resampling of the nodes and stratified normals (`normals`): deterministic. Source: Gelman et al.,
Bayesian Data Analysis, 3rd ed., chapters 5, 14 and 15 (recalled); the quadrature is ours.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pitbench.figures.misfit import fitting
from pitbench.figures.mixed import Layout, Reduced, Sums, levels, reduce, spread_points
from pitbench.figures.normals import SEED, antithetic, stratified

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PRIOR_FREEDOM = 3.0
DRAWS = 2000
"""Enough, with stratified normals, that a chance moves by less than 0.005 from one set of normals to another."""
PER_NODE = 4
"""Pairs of draws made at one node."""
RIDGE = 1e-9
COARSE, FINE = (64, 5), (96, 11)
"""Points over the spreads for two factors, and nodes of σ."""
SMALLEST, LARGEST = 0.02, 4.0
"""Spreads looked at, in units of their prior scale."""
LOW_SIGMA, HIGH_SIGMA = -3.0, 4.2
"""Ends of the line of log σ², in standard deviations about its middle; the upper tail is the longer one."""


@dataclass(frozen=True)
class Prior:
    """noise σ and scale of every factor's spread, on the scale of the readings; slopes: (mean, sd) for each covariate.

    centre: where everything lies when there is not one reading.
    """

    noise: float
    scales: tuple[float, ...]
    centre: float
    slopes: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Estimate:
    """centre [draws], effects [draws × levels] by factor; row i and row i + draws/2 are an antithetic pair.

    noise: σ of one reading; spreads: τ of every factor; freedom: degrees of freedom of pure repeats; slopes [p] with
    standard deviations slopes_sd [p]; weight [n]: how far each reading fits (1: well).
    """

    centre: Floats
    effects: tuple[Floats, ...]
    noise: float
    spreads: tuple[float, ...]
    freedom: int
    slopes: Floats
    slopes_sd: Floats
    weight: Floats

    def levels(self, factor: int = 0) -> Floats:
        """Draws of centre + effect for every level of a factor, others at their average [draws × levels]."""
        return np.add(self.centre[:, None], self.effects[factor], order="F")


def estimate(layout: Layout, prior: Prior, *, n_draws: int = DRAWS, seed: int = 0) -> Estimate:
    """Draws of every level's effect at covariates zero; see the module. `n_draws`: a multiple of eight.

    A level without a reading is N(0, scale²).
    """
    means, sds = (np.array([slope[i] for slope in prior.slopes]) for i in (0, 1))
    if not layout.value.size:
        effects = tuple(
            scale * antithetic(n_draws, size, _lone_seed(seed, f))
            for f, (scale, size) in enumerate(zip(prior.scales, layout.sizes, strict=True))
        )
        centre = np.full(n_draws, prior.centre)
        return Estimate(centre, effects, prior.noise, prior.scales, 0, means, sds, np.ones(0))
    value = layout.value - layout.covariates @ means
    believed = Layout(value, layout.levels, layout.sizes, layout.weight, layout.covariates)
    fit = fitting(believed, prior.noise, prior.scales, sds**-2.0, PRIOR_FREEDOM)
    nodes = _posterior(fit.sums, prior, sds, fit.variance)
    centre, effects = _draw(fit.sums, nodes, n_draws, seed)
    slopes, slopes_sd = _slopes(nodes)
    spread = np.sqrt(np.einsum("kj,kj,kf->f", nodes.weight, nodes.variance, nodes.reduced.theta**2))
    return Estimate(
        centre=centre + fit.sums.offset,
        effects=tuple(_with_lone(layout, prior, f, each, seed) for f, each in enumerate(effects)),
        noise=float(np.exp(0.5 * (nodes.weight * np.log(nodes.variance)).sum())),
        spreads=tuple(spread.tolist()),
        freedom=layout.freedom,
        slopes=means + slopes,
        slopes_sd=slopes_sd,
        weight=fit.weight,
    )


def _with_lone(layout: Layout, prior: Prior, factor: int, drawn: Floats, seed: int) -> Floats:
    """Levels without a reading are as wide as believed, whatever the measured ones turned out to be."""
    lone = np.bincount(layout.levels[factor], minlength=layout.sizes[factor]) == 0
    if lone.any():
        drawn[:, lone] = prior.scales[factor] * antithetic(drawn.shape[0], int(lone.sum()), _lone_seed(seed, factor))
    return drawn


def _lone_seed(seed: int, factor: int) -> int:
    return 1000 * (factor + 1) + seed


@dataclass(frozen=True)
class _Fixed:
    """The fixed columns at k points θ in units of 1/σ²; the slopes turned, so that for any σ² they are independent.

    Given σ², turned slope i is normal about pull/(value + σ²) with variance σ²/(value + σ²), and the slopes are
    basis · turned; centre is normal about (rise − tilt · slopes)/weight with variance σ²/weight. pull, value [k × p];
    basis [k × p × p]; weight, rise [k]; tilt [k × p]; left [k]: sum of squares before the slopes.
    """

    value: Floats
    pull: Floats
    basis: Floats
    weight: Floats
    rise: Floats
    tilt: Floats
    left: Floats

    def left_over(self, variance: Floats) -> tuple[Floats, Floats]:
        """Sum of squares left and log determinant of the fixed columns, less a constant, given σ² [k × j]."""
        held = self.value[:, None, :] + variance[:, :, None]
        left = self.left[:, None] - (self.pull[:, None, :] ** 2 / held).sum(axis=2)
        return np.maximum(left, 0.0), np.log(self.weight)[:, None] + np.log(held).sum(axis=2)


def _fixed(reduced: Reduced, slopes_sd: Floats) -> _Fixed:
    tail = reduced.tail
    weight, tilt, rise = tail[:, 0, 0] + RIDGE, tail[:, 0, 1:-1], tail[:, 0, -1]
    inner = tail[:, 1:-1, 1:-1] - tilt[:, :, None] * (tilt / weight[:, None])[:, None, :]
    inner *= np.outer(slopes_sd, slopes_sd)
    value, turn = np.linalg.eigh(inner)
    right = slopes_sd * (tail[:, 1:-1, -1] - tilt * (rise / weight)[:, None])
    pull = np.einsum("kji,kj->ki", turn, right)
    return _Fixed(
        value=np.maximum(value, 0.0),
        pull=pull,
        basis=slopes_sd[:, None] * turn,
        weight=weight,
        rise=rise,
        tilt=tilt,
        left=tail[:, -1, -1] - rise**2 / weight,
    )


@dataclass(frozen=True)
class _Nodes:
    """Posterior on points k (spreads) by nodes j (σ): weight and σ² [k × j]."""

    reduced: Reduced
    fixed: _Fixed
    weight: Floats
    variance: Floats


def _posterior(found: Sums, prior: Prior, slopes_sd: Floats, variance: float) -> _Nodes:
    """A coarse pass over the whole box, then a fine one over the part that matters; σ² lies near `variance`."""
    scales = np.array(prior.scales)
    low, high = (np.log(end * scales / np.sqrt(variance)) for end in (SMALLEST, LARGEST))
    growth = max(1.0, scales.size / 2)
    for count, sigmas in (COARSE, FINE):
        points = low + (high - low) * spread_points(round(count * growth), scales.size)
        nodes = _weighed(found, np.exp(points), prior, slopes_sd, variance, sigmas)
        low, high = _cut(points, nodes.weight.sum(axis=1), low, high)
    return nodes


def _cut(points: Floats, weight: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """The box of the points that hold 99 % of the weight, and one spacing more on either side."""
    order = np.argsort(weight)[::-1]
    kept = points[order[: int(np.searchsorted(np.cumsum(weight[order]), 0.99)) + 1]]
    spacing = (high - low) / weight.size ** (1 / low.size)
    return np.maximum(low, kept.min(axis=0) - spacing), np.minimum(high, kept.max(axis=0) + spacing)


def _weighed(found: Sums, theta: Floats, prior: Prior, slopes_sd: Floats, variance: float, sigmas: int) -> _Nodes:
    """Posterior weights of the points θ with a line of σ at each."""
    reduced = reduce(found, theta)
    fixed = _fixed(reduced, slopes_sd)
    believed, freedom = PRIOR_FREEDOM * prior.noise**2, PRIOR_FREEDOM + found.total - 1
    middle = np.log((believed + fixed.left_over(np.full((theta.shape[0], 1), variance))[0]) / freedom)
    log_variance = middle + np.sqrt(2 / freedom) * np.linspace(LOW_SIGMA, HIGH_SIGMA, sigmas)
    square = np.exp(log_variance)
    left, log_det = fixed.left_over(square)
    spread = theta[:, None, :] ** 2 * square[:, :, None] / np.array(prior.scales) ** 2
    log_weight = -0.5 * (
        (found.total - found.fixed + PRIOR_FREEDOM) * log_variance
        + reduced.log_det[:, None]
        + log_det
        + (left + believed) / square
        + (spread - np.log(spread)).sum(axis=2)
    )
    weight = np.exp(log_weight - log_weight.max())
    return _Nodes(reduced, fixed, weight / weight.sum(), square)


def _slopes(nodes: _Nodes) -> tuple[Floats, Floats]:
    """Posterior mean and standard deviation of the slopes, less what was believed [p]."""
    fixed = nodes.fixed
    held = 1 / (fixed.value[:, None, :] + nodes.variance[:, :, None])
    mean = np.einsum("kpi,kji->kjp", fixed.basis, fixed.pull[:, None, :] * held)
    inner = np.einsum("kpi,kji->kjp", fixed.basis**2, nodes.variance[:, :, None] * held)
    centre = np.einsum("kj,kjp->p", nodes.weight, mean)
    return centre, np.sqrt(np.einsum("kj,kjp->p", nodes.weight, inner + (mean - centre) ** 2))


def _draw(found: Sums, nodes: _Nodes, n_draws: int, seed: int) -> tuple[Floats, tuple[Floats, ...]]:
    """Draws of the centre and of all levels: systematic resampling of nodes, a few antithetic pairs at each."""
    blocks, sigmas = n_draws // (2 * PER_NODE), nodes.weight.shape[1]
    at = np.searchsorted(np.cumsum(nodes.weight), (np.arange(blocks) + 0.5) / blocks)
    node = np.random.default_rng([SEED, seed]).permutation(np.minimum(at, nodes.weight.size - 1))
    point, c = node // sigmas, found.fixed
    variance = nodes.variance.ravel()[node][:, None, None]
    z = stratified(n_draws // 2, c + found.owner.size + found.count.size, seed)
    z = z.reshape(blocks, PER_NODE, -1) * np.sqrt(variance)
    mean, departure = _fixed_draws(nodes.fixed, point, variance, z[:, :, :c])
    centres = levels(found, nodes.reduced, point, mean)
    departures = levels(found, nodes.reduced, point, departure, z[:, :, c:], readings=0.0)
    effects = tuple(_pairs(*both) for both in zip(centres, departures, strict=True))
    return _pairs(mean[:, :, :1], departure[:, :, :1])[:, 0], effects


def _fixed_draws(fixed: _Fixed, point: Ints, variance: Floats, z: Floats) -> tuple[Floats, Floats]:
    """Means [b × 1 × c] of the fixed columns at nodes b and departures from them [b × r × c]; z times σ [b × r × c]."""
    held = 1 / (fixed.value[point][:, None, :] + variance)
    basis, tilt, weight = (
        fixed.basis[point].transpose(0, 2, 1),
        fixed.tilt[point][:, :, None],
        fixed.weight[point][:, None, None],
    )
    mean = (fixed.pull[point][:, None, :] * held) @ basis
    departure = (np.sqrt(held) * z[:, :, 1:]) @ basis
    centre = (fixed.rise[point][:, None, None] - mean @ tilt) / weight
    apart = z[:, :, :1] / np.sqrt(weight) - departure @ tilt / weight
    return np.concatenate([centre, mean], axis=2), np.concatenate([apart, departure], axis=2)


def _pairs(mean: Floats, departure: Floats) -> Floats:
    """Draws [draws × columns]: every mean with its departures, then the same with the departures turned round."""
    columns = departure.shape[2]
    return np.concatenate([(mean + departure).reshape(-1, columns), (mean - departure).reshape(-1, columns)])
