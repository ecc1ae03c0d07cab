"""The posterior of the spreads and of σ, for several figures at once, by quadrature over the sums of `layout`.

Evenly spread points over log(τ/σ), a coarse pass that cuts the box to where the weight lies, then a fine one; σ on a
line of nodes at every point, where it costs next to nothing. The spread of clampings is one more coordinate, but lies
on a few values, since the sums of the readings are made anew for each of them. g figures stand side by side in every
array, each as often as the spread of clampings has values. The priors stand in `estimate`; the quadrature is ours.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.layout import Clampings, Sums, side_by_side
from pitbench.figures.mixed import Reduced, reduce, spread_points
from pitbench.figures.shares import PART_FACTORS, by_factor, roots

PRIOR_FREEDOM = 3.0
SPREAD_FREEDOM = 4.0
"""Of the half-Student prior of a spread; with a half-normal one, motors twice as far apart as believed are drawn
together too much (calibration: 86.0 % of KV, current and resistance inside their 90 %, 86.9 % so)."""
RIDGE = 1e-9
COARSE, FINE = (48, 4), (80, 7)
"""Points over the spreads for two factors, and nodes of σ."""
CLAMPING_SPREADS = 4, 5
"""Values of the spread of clampings in the coarse pass and in the fine one."""
SMALLEST, LARGEST = 0.02, 4.0
"""Spreads looked at, in units of their prior scale."""
LOW_SIGMA, HIGH_SIGMA = -3.0, 4.2
"""Ends of the line of log σ², in standard deviations about its middle; the upper tail is the longer one."""


@dataclass(frozen=True)
class Believed:
    """Priors of g figures: σ [g], mean and sd of the slopes [g × p], scale of every spread [g × spreads].

    The last scale is that of the clampings where the readings have any. shares [g × 4]: how the first is shared out
    (`shares`), [g × 0] where every factor has a spread of its own.
    """

    noise: Floats
    scales: Floats
    slopes: Floats
    slopes_sd: Floats
    shares: Floats

    @property
    def own(self) -> int:
        """How many factors share the spread of another one."""
        return PART_FACTORS if self.shares.shape[1] else 0


@dataclass(frozen=True)
class Fixed:
    """The fixed columns at k points θ in units of 1/σ²; the slopes turned, so that for any σ² they are independent.

    Given σ², turned slope i is normal about pull/(value + σ²) with variance σ²/(value + σ²), and the slopes are
    basis · turned; centre is normal about (rise − tilt · slopes)/weight with variance σ²/weight. pull, value, tilt
    [g × k × p]; basis [g × k × p × p]; weight, rise [g × k]; left [g × k]: sum of squares before the slopes.
    """

    value: Floats
    pull: Floats
    basis: Floats
    weight: Floats
    rise: Floats
    tilt: Floats
    left: Floats

    def left_over(self, variance: Floats) -> tuple[Floats, Floats]:
        """Sum of squares left and log determinant of the fixed columns, less a constant, given σ² [g × k × j]."""
        left, log_det = self.left[..., None], np.log(self.weight)[..., None]
        for value, pull in zip(np.moveaxis(self.value, 2, 0), np.moveaxis(self.pull, 2, 0), strict=True):
            held = value[..., None] + variance
            left = left - pull[..., None] ** 2 / held
            log_det = log_det + np.log(held)
        return np.maximum(left, 0.0), log_det


def fixed_columns(reduced: Reduced, slopes_sd: Floats) -> Fixed:
    """The fixed columns with their priors, slopes_sd [g × p]; the centre is flat."""
    tail, sd = reduced.tail, slopes_sd[:, None, :]
    weight, tilt, rise = tail[..., 0, 0] + RIDGE, tail[..., 0, 1:-1], tail[..., 0, -1]
    inner = tail[..., 1:-1, 1:-1] - tilt[..., :, None] * (tilt / weight[..., None])[..., None, :]
    value, turn = np.linalg.eigh(inner * sd[..., :, None] * sd[..., None, :])
    right = sd * (tail[..., 1:-1, -1] - tilt * (rise / weight)[..., None])
    return Fixed(
        value=np.maximum(value, 0.0),
        pull=(turn * right[..., :, None]).sum(axis=2),
        basis=sd[..., :, None] * turn,
        weight=weight,
        rise=rise,
        tilt=tilt,
        left=tail[..., -1, -1] - rise**2 / weight,
    )


@dataclass(frozen=True)
class Nodes:
    """Posterior on points k (spreads) by nodes j (σ): weight and σ² [g × k × j]; a figure's weights add up to 1.

    theta [g × k × spreads]: in σ, that of the clampings last. found, reduced, fixed: the systems behind them,
    for each figure as many as the spread of clampings has values, each with its share of the points.
    """

    found: Sums
    reduced: Reduced
    fixed: Fixed
    theta: Floats
    weight: Floats
    variance: Floats

    def systems(self, figure: int, point: Ints) -> tuple[Ints, Ints]:
        """Which system each point of a figure belongs to, and which of its points it is [b]."""
        own = self.reduced.theta.shape[1]
        return figure * (self.theta.shape[1] // own) + point // own, point % own


def posterior(found: Sequence[Clampings], prior: Believed, variance: Floats) -> Nodes:
    """A coarse pass over the whole box, then a fine one over the part that matters; σ² lies near `variance` [g].

    Clampings have a spread of their own where the prior has a scale for it, one more than there are factors.
    """
    spreads, sharing = prior.scales.shape[1], prior.shares.shape[1]
    clamped = spreads + prior.own > len(found[0].sizes)
    low, high = (np.log(end * prior.scales / np.sqrt(variance)[:, None]) for end in (SMALLEST, LARGEST))
    for (count, sigmas), few in zip((COARSE, FINE), CLAMPING_SPREADS if clamped else (1, 1), strict=True):
        dimensions = sharing + spreads
        cube = _on_few(round(count * max(1.0, dimensions / 2)), dimensions, few)
        points = low[:, None, :] + (high - low)[:, None, :] * cube[:, sharing:]
        root = roots(prior.shares, cube[:, :sharing]) if sharing else None
        nodes = _weighed(found, np.exp(points), root, prior, variance, sigmas, few)
        low, high = _cut(points, nodes.weight.sum(axis=2), low, high)
    return nodes


def _on_few(count: int, dimensions: int, few: int) -> Floats:
    """Evenly spread points, the last coordinate moved to one of a few values, an equal share of them at each."""
    if few == 1:
        return spread_points(count, dimensions)
    each = -(-count // few)
    points = spread_points(each * few, dimensions)
    points = points[np.argsort(points[:, -1], kind="stable")]
    points[:, -1] = np.repeat((np.arange(few) + 0.5) / few, each)
    return points


def _cut(points: Floats, weight: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """The box of the points that hold 99 % of the weight, and one spacing more on either side [g × factors]."""
    order = np.argsort(-weight, axis=1)
    before = np.cumsum(np.take_along_axis(weight, order, axis=1), axis=1)
    kept = np.empty_like(before, dtype=bool)
    np.put_along_axis(kept, order, before - np.take_along_axis(weight, order, axis=1) < 0.99, axis=1)
    spacing = (high - low) / weight.shape[1] ** (1 / low.shape[1])
    least = np.where(kept[..., None], points, np.inf).min(axis=1)
    most = np.where(kept[..., None], points, -np.inf).max(axis=1)
    return np.maximum(low, least - spacing), np.minimum(high, most + spacing)


def _weighed(
    found: Sequence[Clampings],
    theta: Floats,
    root: Floats | None,
    prior: Believed,
    variance: Floats,
    sigmas: int,
    few: int,
) -> Nodes:
    """Posterior weights of the points θ with a line of σ at each; root [g × k × 4]: of the shares at each point."""
    figures, count, spreads = theta.shape
    unclamped = len(found[0].sizes) - prior.own
    clamping = theta[:, :: count // few, -1] if spreads > unclamped else np.zeros((figures, 1))
    systems = side_by_side([each.sums(at) for each, at in zip(found, clamping, strict=True)])
    own = theta.reshape(figures * few, count // few, spreads)
    root = None if root is None else root.reshape(figures * few, count // few, -1)
    reduced = reduce(systems, by_factor(own[:, :, :unclamped], root))
    noise, scales, slopes_sd, variance = (
        np.repeat(each, few, axis=0) for each in (prior.noise, prior.scales, prior.slopes_sd, variance)
    )
    fixed = fixed_columns(reduced, slopes_sd)
    believed = (PRIOR_FREEDOM * noise**2)[:, None, None]
    freedom = (PRIOR_FREEDOM + systems.total - 1)[:, None, None]
    middle = np.log((believed + fixed.left_over(variance[:, None, None])[0]) / freedom)
    log_variance = middle + np.sqrt(2 / freedom) * np.linspace(LOW_SIGMA, HIGH_SIGMA, sigmas)
    square = np.exp(log_variance)
    left, log_det = fixed.left_over(square)
    ratio = (own / scales[:, None, :]) ** 2
    log_weight = -0.5 * (
        (freedom + 1 - systems.fixed - spreads) * log_variance
        + (reduced.log_det - np.log(ratio).sum(axis=2))[..., None]
        + log_det
        + (left + believed) / square
        + (SPREAD_FREEDOM + 1) * _log_product(1 + ratio[..., None] * (square / SPREAD_FREEDOM)[:, :, None, :])
    ).reshape(figures, count, sigmas)
    weight = np.exp(log_weight - log_weight.max(axis=(1, 2), keepdims=True))
    weight /= weight.sum(axis=(1, 2), keepdims=True)
    return Nodes(systems, reduced, fixed, theta, weight, square.reshape(figures, count, sigmas))


def _log_product(terms: Floats) -> Floats:
    """Log of the product over factors [g × k × factors × j]: one logarithm for all, which is faster."""
    return np.asarray(np.log(terms.prod(axis=2)))
