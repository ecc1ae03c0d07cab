"""What the motors of one comparison truly have, given noisy runs in several bench sessions: draws from the posterior.

The one engine behind every compared figure, for any number of crossed factors (motor and session; later stator, rotor,
end bell). Model: `mixed`. Priors: σ² scaled inverse χ² with 3 degrees of freedom at the tester's repeatability, spreads
τ half-normal, slopes normal, centre flat. Quadrature: evenly spread points over log(τ/σ), a coarse pass that cuts the
box to where the weight lies, then a fine one; σ on a line of nodes at every point, where it costs next to nothing.
Then systematic resampling of the nodes and antithetic normals: deterministic. Source: Gelman et al., Bayesian Data
Analysis, 3rd ed., chapters 5, 14 and 15 (recalled); the quadrature is ours.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pitbench.figures.misfit import fitting_weights
from pitbench.figures.mixed import Layout, Reduced, Sums, effects, reduce, spread_points, sums

Floats = NDArray[np.float64]

PRIOR_FREEDOM = 3.0
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

    noise: σ of one reading; spreads: τ of every factor; freedom: degrees of freedom of pure repeats; slopes [p]; weight
    [n]: how far each reading fits (1: well).
    """

    centre: Floats
    effects: tuple[Floats, ...]
    noise: float
    spreads: tuple[float, ...]
    freedom: int
    slopes: Floats
    weight: Floats

    def levels(self, factor: int = 0) -> Floats:
        """Draws of centre + effect for every level of a factor, others at their average [draws × levels]."""
        return self.centre[:, None] + self.effects[factor]


def estimate(layout: Layout, prior: Prior, *, n_draws: int = 4000, seed: int = 0) -> Estimate:
    """Draws of every level's effect at covariates zero; see the module. `n_draws` even.

    A level without a reading is N(0, scale²).
    """
    rng = np.random.default_rng([20_260_412, seed])
    slopes = np.array([mean for mean, _ in prior.slopes])
    if not layout.value.size:
        lone = tuple(
            scale * _antithetic(rng, n_draws, size) for scale, size in zip(prior.scales, layout.sizes, strict=True)
        )
        centre = np.full(n_draws, prior.centre)
        return Estimate(centre, lone, prior.noise, prior.scales, 0, slopes, np.ones(0))
    believed = Layout(
        layout.value - layout.covariates @ slopes, layout.levels, layout.sizes, layout.weight, layout.covariates
    )
    precision = np.array([sd**-2.0 for _, sd in prior.slopes])
    fit = fitting_weights(believed, prior.noise, prior.scales, precision, PRIOR_FREEDOM)
    found = sums(believed, layout.weight * fit)
    nodes = _posterior(found, prior, precision)
    centre, drawn = _draw(found, nodes, rng, n_draws)
    share = nodes.weight.sum(axis=1)
    spread = np.sqrt(np.einsum("kj,kj,kf->f", nodes.weight, nodes.noise**2, nodes.reduced.theta**2))
    return Estimate(
        centre=centre + found.offset,
        effects=tuple(_with_lone(layout, prior, f, each, rng) for f, each in enumerate(drawn)),
        noise=float(np.exp((nodes.weight * np.log(nodes.noise)).sum())),
        spreads=tuple(spread.tolist()),
        freedom=layout.freedom,
        slopes=slopes + np.einsum("kj,kji->i", nodes.weight / share.sum(), nodes.mean)[1:],
        weight=fit,
    )


def _with_lone(layout: Layout, prior: Prior, factor: int, drawn: Floats, rng: np.random.Generator) -> Floats:
    """Levels without a reading are as wide as believed, whatever the measured ones turned out to be."""
    lone = np.bincount(layout.levels[factor], minlength=layout.sizes[factor]) == 0
    if lone.any():
        drawn[:, lone] = prior.scales[factor] * _antithetic(rng, drawn.shape[0], int(lone.sum()))
    return drawn


@dataclass(frozen=True)
class _Nodes:
    """Posterior on points k (spreads) by nodes j (σ): weight and noise [k × j], the normal of the fixed columns given
    the node (mean [k × j × c], half [k × j × c × c]: inverse of the Cholesky factor, in units of σ)."""

    reduced: Reduced
    weight: Floats
    noise: Floats
    mean: Floats
    half: Floats


def _posterior(found: Sums, prior: Prior, precision: Floats) -> _Nodes:
    """A coarse pass over the whole box, then a fine one over the part that matters."""
    scales = np.array(prior.scales)
    middle = np.sqrt(_middle_variance(found, scales[None, :] / prior.noise, prior, precision, prior.noise**2)[0])
    low, high = np.log(SMALLEST * scales / middle), np.log(LARGEST * scales / middle)
    growth = max(1.0, scales.size / 2)
    for count, sigmas in (COARSE, FINE):
        cube = spread_points(round(count * growth), scales.size)
        points = low + (high - low) * cube
        nodes = _weighed(found, np.exp(points), prior, precision, float(middle) ** 2, sigmas)
        low, high = _cut(points, nodes.weight.sum(axis=1), low, high)
    return nodes


def _cut(points: Floats, weight: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """The box of the points that hold 99 % of the weight, and one spacing more on either side."""
    order = np.argsort(weight)[::-1]
    kept = points[order[: int(np.searchsorted(np.cumsum(weight[order]), 0.99)) + 1]]
    spacing = (high - low) / weight.size ** (1 / low.size)
    return np.maximum(low, kept.min(axis=0) - spacing), np.minimum(high, kept.max(axis=0) + spacing)


def _middle_variance(found: Sums, theta: Floats, prior: Prior, precision: Floats, variance: float) -> Floats:
    """Middle of σ² at points θ [k], slopes held as if σ² were `variance`."""
    reduced, c = reduce(found, theta), found.fixed
    left = _left_over(reduced, c, np.full((theta.shape[0], 1), variance), precision)[0][:, 0]
    return (PRIOR_FREEDOM * prior.noise**2 + left) / (PRIOR_FREEDOM + found.total - 1)


def _left_over(reduced: Reduced, c: int, variance: Floats, precision: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Given σ² [k × j]: sum of squares left, log determinant, mean and inverse Cholesky factor of the fixed columns."""
    inner = np.broadcast_to(reduced.tail[:, None, :c, :c], (*variance.shape, c, c)).copy()
    diagonal = np.arange(1, c)
    inner[..., diagonal, diagonal] += variance[..., None] * precision
    inner[..., np.arange(c), np.arange(c)] += RIDGE
    lower = np.linalg.cholesky(inner)
    half = np.linalg.inv(lower)
    along = np.einsum("kjab,kb->kja", half, reduced.tail[:, :c, c])
    left = np.maximum(reduced.tail[:, None, c, c] - (along**2).sum(axis=2), 0.0)
    log_det = 2 * np.log(np.diagonal(lower, axis1=2, axis2=3)).sum(axis=2)
    return left, log_det, np.einsum("kjba,kjb->kja", half, along), half


def _weighed(found: Sums, theta: Floats, prior: Prior, precision: Floats, variance: float, sigmas: int) -> _Nodes:
    """Posterior weights of the points θ with a line of σ at each."""
    reduced, c = reduce(found, theta), found.fixed
    freedom = PRIOR_FREEDOM + found.total - 1
    left = _left_over(reduced, c, np.full((theta.shape[0], 1), variance), precision)[0]
    middle = np.log((PRIOR_FREEDOM * prior.noise**2 + left) / freedom)
    log_variance = middle + np.sqrt(2 / freedom) * np.linspace(LOW_SIGMA, HIGH_SIGMA, sigmas)
    square = np.exp(log_variance)
    left, log_det, mean, half = _left_over(reduced, c, square, precision)
    spread = theta[:, None, :] ** 2 * square[:, :, None] / np.array(prior.scales) ** 2
    log_weight = -0.5 * (
        (found.total - c + PRIOR_FREEDOM) * log_variance
        + reduced.log_det[:, None]
        + log_det
        + (left + PRIOR_FREEDOM * prior.noise**2) / square
        + (spread - np.log(spread)).sum(axis=2)
    )
    weight = np.exp(log_weight - log_weight.max())
    return _Nodes(reduced, weight / weight.sum(), np.sqrt(square), mean, half)


def _draw(found: Sums, nodes: _Nodes, rng: np.random.Generator, n_draws: int) -> tuple[Floats, tuple[Floats, ...]]:
    """Draws of the centre and of all levels: systematic resampling of nodes, antithetic normals."""
    pairs, sigmas = n_draws // 2, nodes.weight.shape[1]
    at = np.searchsorted(np.cumsum(nodes.weight), (np.arange(pairs) + 0.5) / pairs)
    node = np.tile(rng.permutation(np.minimum(at, nodes.weight.size - 1)), 2)
    point, sigma = node // sigmas, node % sigmas
    c = found.fixed
    z = _antithetic(rng, n_draws, c + found.owner.size + found.count.size) * nodes.noise[point, sigma][:, None]
    fixed = nodes.mean[point, sigma] + np.einsum("dba,db->da", nodes.half[point, sigma], z[:, :c])
    return fixed[:, 0], effects(found, nodes.reduced, point, fixed, z[:, c:])


def _antithetic(rng: np.random.Generator, n_draws: int, columns: int) -> Floats:
    z = rng.standard_normal((n_draws // 2, columns))
    return np.concatenate([z, -z])
