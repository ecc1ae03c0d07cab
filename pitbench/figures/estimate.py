"""What the motors of one comparison truly have, given noisy runs in several bench sessions: draws from the posterior.

The one engine behind every compared figure, for any number of crossed factors (motor and session; stator, rotor and
end bell), with the clampings within them where they are told: runs of one clamping are no independent evidence. Model:
`mixed`. Priors: σ² scaled inverse χ² with 3 degrees of freedom at the tester's repeatability, spreads
τ half-Student with 4 degrees of freedom, slopes normal, centre flat. Spreads and σ: `posterior`. Then systematic
resampling of its nodes and stratified normals (`normals`): deterministic. Source: Gelman et al., Bayesian Data
Analysis, 3rd ed., chapters 5, 14 and 15 (recalled).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pitbench.figures import mixed
from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.layout import Layout
from pitbench.figures.misfit import fitting
from pitbench.figures.normals import antithetic, resampled, stratified
from pitbench.figures.posterior import PRIOR_FREEDOM, Believed, Fixed, Nodes, posterior
from pitbench.figures.shares import PART_FACTORS, by_factor

DRAWS = 2000
"""Enough, with stratified normals, that a chance moves by less than 0.005 from one set of normals to another."""
PER_NODE = 10
"""Pairs of draws made at one node."""


@dataclass(frozen=True)
class Prior:
    """noise σ and scale of every spread, on the scale of the readings; slopes: (mean, sd) for each covariate.

    Factors have a spread each, and the clampings, where there are any, the last one. shares: how the first is shared
    out among the remainder of a build, its stator, rotor and end bell, which are the last three factors then. centre:
    where everything lies when there is not one reading.
    """

    noise: float
    scales: tuple[float, ...]
    centre: float
    slopes: tuple[tuple[float, float], ...] = ()
    shares: tuple[float, ...] = ()

    def by_factor(self, factors: int) -> Floats:
        """Scale of every factor, and of the clampings where there are any."""
        root = np.sqrt(self.shares) if self.shares else None
        own = factors - (PART_FACTORS if self.shares else 0)
        return np.concatenate([by_factor(np.array(self.scales[:own]), root), self.scales[own:]])


@dataclass(frozen=True)
class Estimate:
    """centre [draws], effects [draws × levels] by factor; row i and row i + draws/2 are an antithetic pair.

    slope_draws [draws × p]; usual [levels × p]: mean covariates of the readings of every level of the first factor, 0
    without any. noise: σ of one reading; spreads: τ of every factor, that of the clampings last; freedom: degrees of
    freedom of pure repeats; weight [n]: how far each reading fits (1: well). between [draws]: the spread that levels of
    the first factor have of their own.
    """

    centre: Floats
    effects: tuple[Floats, ...]
    slope_draws: Floats
    usual: Floats
    noise: float
    spreads: tuple[float, ...]
    freedom: int
    weight: Floats
    between: Floats

    @property
    def slopes(self) -> Floats:
        """Mean of every slope [p]."""
        return np.asarray(self.slope_draws.mean(axis=0))

    def levels(self, factor: int = 0) -> Floats:
        """Draws of centre + effect for every level of a factor, others at their average [draws × levels]."""
        return np.add(self.centre[:, None], self.effects[factor], order="F")

    def further_reading(self, level: int) -> Floats:
        """Draws of where one more reading of a level of the first factor would lie but for noise and session [draws].

        Taken at the covariates its readings so far were taken at: what rests on a slope, more readings do not settle.
        """
        found = self.centre + self.effects[0][:, level]
        return np.asarray(found + self.slope_draws @ self.usual[level])


def estimate(layout: Layout, prior: Prior, *, n_draws: int = DRAWS, seed: int = 0) -> Estimate:
    """Draws of every level's effect at covariates zero; see the module. `n_draws`: a multiple of twenty.

    A level without a reading is N(0, scale²).
    """
    return estimates([layout], [prior], n_draws=n_draws, seeds=[seed])[0]


def estimates(
    layouts: Sequence[Layout],
    priors: Sequence[Prior],
    *,
    n_draws: int = DRAWS,
    seeds: Sequence[int],
) -> list[Estimate]:
    """Several figures of the same factors, each on its own, but worked out side by side, which is much faster."""
    asked = list(zip(layouts, priors, seeds, strict=True))
    measured = [each for each in asked if each[0].value.size]
    found = iter(_measured(measured, n_draws) if measured else [])
    return [next(found) if each[0].value.size else _unmeasured(*each, n_draws) for each in asked]


def _unmeasured(layout: Layout, prior: Prior, seed: int, n_draws: int) -> Estimate:
    """Nothing but the prior."""
    stretch, scale = layout.stretched, prior.by_factor(len(layout.sizes))
    effects = tuple(_lone(n_draws, size, scale, f, seed) * stretch[f] for f, size in enumerate(layout.sizes))
    mean, sd = np.array(prior.slopes).reshape(-1, 2).T
    slopes = mean + sd * antithetic(n_draws, mean.size, seed)
    usual = np.zeros((layout.sizes[0], mean.size))
    centre = np.full(n_draws, prior.centre)
    between = np.full(n_draws, scale[0])
    return Estimate(centre, effects, slopes, usual, prior.noise, prior.scales, 0, np.ones(0), between)


def _lone(n_draws: int, count: int, scale: Floats, factor: int, seed: int) -> Floats:
    """Levels without a reading: as wide as believed, whatever the measured ones turned out to be [draws × count]."""
    return float(scale[factor]) * antithetic(n_draws, count, 1000 * (factor + 1) + seed)


def _measured(asked: Sequence[tuple[Layout, Prior, int]], n_draws: int) -> list[Estimate]:
    believed = _believed([prior for _, prior, _ in asked])
    fits, found = [], []
    for layout, prior, _ in asked:
        means, sds = np.array(prior.slopes).reshape(-1, 2).T
        less = replace(layout, value=layout.value - layout.covariates @ means)
        fits.append(fitting(less, prior.noise, prior.by_factor(len(layout.sizes)), sds, PRIOR_FREEDOM))
        found.append(fits[-1].clampings.with_slopes(1 + believed.slopes.shape[1]))
    nodes = posterior(found, believed, np.array([fit.variance for fit in fits]))
    spread = np.sqrt(np.einsum("gkj,gkj,gkf->gf", nodes.weight, nodes.variance, nodes.theta**2))
    noise = np.exp(0.5 * (nodes.weight * np.log(nodes.variance)).sum(axis=(1, 2)))
    answers = []
    for i, (layout, prior, seed) in enumerate(asked):
        drawn, effects, between = _draw(nodes, i, n_draws, seed)
        own = len(prior.slopes)
        answers.append(
            Estimate(
                centre=drawn[:, 0] + found[i].offset,
                effects=tuple(
                    each if f in layout.of_first else _with_lone(layout, prior, f, each, seed)
                    for f, each in enumerate(effects)
                ),
                slope_draws=(drawn[:, 1:] + believed.slopes[i])[:, :own],
                usual=_usual(layout),
                noise=float(noise[i]),
                spreads=tuple(spread[i].tolist()),
                freedom=layout.freedom,
                weight=fits[i].weight,
                between=between,
            )
        )
    return answers


def _usual(layout: Layout) -> Floats:
    """Mean covariates of the readings of every level of the first factor, 0 without any [levels × p]."""
    level, size = layout.levels[0], layout.sizes[0]
    sums = [np.bincount(level, column, size) for column in layout.covariates.T]
    return np.array(sums).reshape(-1, size).T / np.maximum(np.bincount(level, minlength=size), 1)[:, None]


def _believed(priors: Sequence[Prior]) -> Believed:
    """The priors side by side; a figure with fewer slopes than another has some that nothing depends on."""
    most = max(len(prior.slopes) for prior in priors)
    padded = np.array([[*prior.slopes, *[(0.0, 1.0)] * (most - len(prior.slopes))] for prior in priors])
    slopes, sds = np.moveaxis(padded.reshape(len(priors), most, 2), 2, 0)
    noise, scales = np.array([prior.noise for prior in priors]), np.array([prior.scales for prior in priors])
    return Believed(noise, scales, slopes, sds, np.array([prior.shares for prior in priors]))


def _with_lone(layout: Layout, prior: Prior, factor: int, drawn: Floats, seed: int) -> Floats:
    lone = np.bincount(layout.levels[factor], minlength=layout.sizes[factor]) == 0
    if lone.any():
        scale = prior.by_factor(len(layout.sizes))
        drawn[:, lone] = _lone(drawn.shape[0], int(lone.sum()), scale, factor, seed) * layout.stretched[factor][lone]
    return drawn


def _draw(nodes: Nodes, figure: int, n_draws: int, seed: int) -> tuple[Floats, tuple[Floats, ...], Floats]:
    """Draws of one figure's fixed columns, its levels, and the spread of its first factor: resampled nodes, a few
    antithetic pairs at each."""
    blocks, sigmas, found = n_draws // (2 * PER_NODE), nodes.weight.shape[2], nodes.found
    node = resampled(nodes.weight[figure].ravel(), blocks, seed)
    variance, c = nodes.variance[figure].ravel()[node][:, None, None], found.fixed
    system, point = nodes.systems(figure, node // sigmas)
    columns = c + found.owner.size + found.count.shape[1]
    z = stratified(n_draws // 2, columns, seed).reshape(blocks, PER_NODE, columns)
    mean, departure = _fixed_draws(nodes.fixed, system, point, variance, z[:, :, :c])
    means = mixed.levels(found, nodes.reduced, system, point, mean)
    departures = mixed.levels(found, nodes.reduced, system, point, departure, z[:, :, c:])
    sigma = np.sqrt(variance)
    effects = tuple(_pairs(*both, sigma) for both in zip(means, departures, strict=True))
    between = nodes.reduced.theta[system, point, 0] * sigma.ravel()
    return _pairs(mean, departure, sigma), effects, np.tile(np.repeat(between, PER_NODE), 2)


def _fixed_draws(fixed: Fixed, system: Ints, point: Ints, variance: Floats, z: Floats) -> tuple[Floats, Floats]:
    """Means [b × 1 × c] of the fixed columns at nodes b, and departures from them in units of σ [b × r × c]."""
    value, pull, basis, tilt, weight, rise = (
        each[system, point] for each in (fixed.value, fixed.pull, fixed.basis, fixed.tilt, fixed.weight, fixed.rise)
    )
    held = 1 / (value[:, None, :] + variance)
    basis, tilt, weight = basis.transpose(0, 2, 1), tilt[:, :, None], weight[:, None, None]
    mean = (pull[:, None, :] * held) @ basis
    departure = (np.sqrt(held) * z[:, :, 1:]) @ basis
    centre = (rise[:, None, None] - mean @ tilt) / weight
    apart = z[:, :, :1] / np.sqrt(weight) - departure @ tilt / weight
    return np.concatenate([centre, mean], axis=2), np.concatenate([apart, departure], axis=2)


def _pairs(mean: Floats, departure: Floats, sigma: Floats) -> Floats:
    """Draws [draws × columns]: every mean with its departures, then the same with the departures turned round."""
    found = np.empty((2, *departure.shape))
    departure = departure * sigma
    np.add(mean, departure, out=found[0])
    np.subtract(mean, departure, out=found[1])
    return found.reshape(-1, departure.shape[2])
