"""The grid behind cooling: ways a can may cool at rest, and how likely the readings of a class's runs are in each.

rise = A·((1 − w)·slow(t) + w·e^(−t/fast)), where slow(t) is e^(−t/slow) or falls more slowly the cooler the can. With
both exponential it is the solution for two bodies in air (lumped capacitance, any textbook of heat transfer). A class
has one fast constant and one way of the slow one; slow constant and share w of a run are normal around its class. In
every cell A is a conjugate normal, integrated out. Priors stand here and nowhere else. Times in s after the finish.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.heating import left, left_slowing

FINISH_S = 60.0
EARLIEST_S = 30.0
"""A reading taken earlier counts as taken now: the can is then still warming. Ours, from one physical simulation."""
SLOW_S, SLOW_SD = 480.0, 0.6
"""Slow time constant of a can at rest, median in s, and sd of its logarithm. Ours; four real motors had 450 to 1370."""
FAST_S, SLOWING = (each.ravel() for each in np.meshgrid([40.0, 80.0, 160.0], [1e-6, 0.2]))
"""What a class may have: a fast time constant, s, and the power of the rise by which a can cools more slowly when it is
cooler, next to none under a fan, up to 0.25 in still air. Ours; a small real motor had 76 to 96 s."""
FASTER = 0.7
"""The fast one is at most so much of the slow one: two alike are one, and could cool a can under the air."""
SHARE_SD = 0.3
"""Sd of the share that goes with the fast one; below 0 heat still comes out of the winding. Ours."""
RISE_K, RISE_SD_K = 45.0, 25.0
"""What a finish is without readings, K over ambient. Wide; it keeps a reading an hour late from meaning anything."""
MISREAD, MISREAD_SD_K = 0.03, 40.0
"""Share of runs whose readings have nothing to do with each other, and the sd of such readings. Ours."""
SPREAD, SPREAD_SCALE = np.array([0.025, 0.07, 0.17, 0.35]), 0.15
"""Spread between runs of one class in the log of the slow constant: nodes, scale of its half-normal prior. Ours."""
SHARE_SPREAD = 0.5
"""Spread between runs in the share w, for one of that. Ours."""
FEW, MANY = (13, 7), (25, 13)
"""Slow constants and shares of a first grid, and of the one laid where its weight lies."""
_REACH, _FINEST = 2.6, 0.05
_SMALLEST = 1e-300


@dataclass(frozen=True)
class Curves:
    """Ways to cool, any shape: slow and fast time constant in s, the share of the rise that goes with the fast one, and
    how much the slow one slows down."""

    slow_s: Floats
    fast_s: Floats
    share: Floats
    slowing: Floats

    def at(self, after_s: float | Floats) -> Floats:
        """What is left of A so long after the finish; before 30 s as at 30 s."""
        after = np.maximum(after_s, EARLIEST_S)
        slow = left_slowing(after, self.slow_s, self.slowing)
        return np.asarray((1 - self.share) * slow + self.share * left(after, self.fast_s))

    @cached_property
    def at_finish(self) -> Floats:
        """The same at one minute."""
        return self.at(FINISH_S)

    def left(self, after_s: float | Floats) -> Floats:
        """What is left so long after the finish of the rise at one minute; mostly more than 1 where that is earlier."""
        return np.asarray(self.at(after_s) / self.at_finish)

    def some(self, which: Ints) -> "Curves":
        """Some of them, all three [m]."""
        return Curves(self.slow_s[which], self.fast_s[which], self.share[which], self.slowing[which])


@dataclass(frozen=True)
class Stats:
    """Sums over the readings [r × …] of each run: all its likelihood takes of them."""

    slow2: Floats
    both: Floats
    fast2: Floats
    slow_rise: Floats
    fast_rise: Floats
    rise2: Floats
    count: Floats


@dataclass(frozen=True)
class Grid:
    """Logs of slow constants [s], off the usual one, and shares [w], both even; cells are [s × f × w]."""

    slow: Floats
    share: Floats

    @cached_property
    def curves(self) -> Curves:
        """Of every cell, to be broadcast."""
        return Curves(SLOW_S * np.exp(self.slow)[:, None, None], FAST_S[:, None], self.share, SLOWING[:, None])

    def stats(self, after_s: Floats, rise_k: Floats) -> Stats:
        """Of runs with readings [r × n], NaN where there is none."""
        known = ~np.isnan(after_s)
        after, rise = np.maximum(np.where(known, after_s, np.inf), EARLIEST_S), np.where(known, rise_k, 0.0)
        slow = left_slowing(after[:, :, None, None], self.curves.slow_s[:, :, 0], SLOWING)
        fast = left(after[:, :, None], FAST_S)
        return Stats(
            slow2=(slow**2).sum(axis=1)[..., None],
            both=(slow * fast[:, :, None]).sum(axis=1)[..., None],
            fast2=(fast**2).sum(axis=1)[:, None, :, None],
            slow_rise=np.einsum("rnsf,rn->rsf", slow, rise)[..., None],
            fast_rise=np.einsum("rnf,rn->rf", fast, rise)[:, None, :, None],
            rise2=(rise**2).sum(axis=1),
            count=known.sum(axis=1),
        )

    def log_likelihood(self, runs: Stats, noise_k: float) -> Floats:
        """Of every run in every cell [r × s × f × w], A integrated out."""
        curves = self.curves
        slow, fast = (1 - curves.share) / curves.at_finish, curves.share / curves.at_finish
        squares = slow**2 * runs.slow2 + 2 * slow * fast * runs.both + fast**2 * runs.fast2
        precision = RISE_SD_K**-2 + squares / noise_k**2
        pull = RISE_K / RISE_SD_K**2 + (slow * runs.slow_rise + fast * runs.fast_rise) / noise_k**2
        alone = runs.rise2 / noise_k**2 / 2 + runs.count * np.log(noise_k)
        alone = alone + (RISE_K / RISE_SD_K) ** 2 / 2 + np.log(RISE_SD_K)
        return np.asarray((pull**2 / precision - np.log(precision)) / 2 - alone[:, None, None, None])

    def run_of(self, chance: Floats, spread: float) -> Floats:
        """Chances of one run [… × s × f × w] from those of its class, or what a run's likelihood says of the class."""
        slow, share = _near(self.slow, spread), _near(self.share, SHARE_SPREAD * spread)
        return np.asarray(np.einsum("ab,...bfw->...afw", slow, chance, optimize=True) @ share.T)

    def class_of(self, likelihood: Floats, spread: float) -> Floats:
        """Likelihood of every class [… × s × f × w] from that of its run."""
        slow, share = _near(self.slow, spread), _near(self.share, SHARE_SPREAD * spread)
        return np.asarray(np.einsum("ba,...bfw->...afw", slow, likelihood, optimize=True) @ share)

    def log_prior(self, spread: float) -> Floats:
        """Of the class [s × f × w] with this spread, such that one run of it is spread as usual."""
        slow = (self.slow / SLOW_SD) ** 2 / (1 - (spread / SLOW_SD) ** 2)
        share = (self.share / SHARE_SD) ** 2 / (1 - (SHARE_SPREAD * spread / SHARE_SD) ** 2)
        found = -(slow[:, None] + share)[:, None] / 2 - (spread / SPREAD_SCALE) ** 2 / 2 + 0 * FAST_S[:, None]
        found = np.where(self.curves.fast_s < FASTER * self.curves.slow_s, found, -np.inf)
        return np.asarray(found - np.log(np.exp(-slow / 2).sum() * np.exp(-share / 2).sum()))


def usual(size: tuple[int, int] = MANY) -> Grid:
    """As wide as the priors."""
    slows, shares = size
    return Grid(SLOW_SD * np.linspace(-_REACH, _REACH, slows), SHARE_SD * np.linspace(-_REACH, _REACH, shares))


def around(first: Grid, chance: Floats, size: tuple[int, int]) -> Grid:
    """Laid anew where chances [s × f × w] of the first lie, and never beyond it."""
    lines = []
    chances = chance.sum(axis=(1, 2)), chance.sum(axis=(0, 1))
    for line, weight, points in zip((first.slow, first.share), chances, size, strict=True):
        middle = weight @ line
        reach = _REACH * max(float(np.sqrt(weight @ (line - middle) ** 2)), _FINEST)
        lines.append(np.linspace(max(middle - reach, line[0]), min(middle + reach, line[-1]), points))
    return Grid(*lines)


def _near(line: Floats, spread: float) -> Floats:
    """Chances of one value of the line given another [of run × of class]."""
    kernel = np.exp(-(((line[:, None] - line) / spread) ** 2) / 2)
    return np.asarray(kernel / kernel.sum(axis=0))


def classes(grid: Grid, runs: Stats | None, noise_k: float) -> tuple[Floats, float]:
    """Chances of the class for every spread [k × s × f × w], summing to 1, and the log likelihood of that noise.

    A run's readings have nothing to do with each other by a small chance: no run alone settles a class.
    """
    log_weight = np.array([grid.log_prior(float(spread)) for spread in SPREAD])
    if runs is not None:
        own = grid.log_likelihood(runs, noise_k)
        top = own.max(axis=(1, 2, 3))
        own = np.exp(own - top[:, None, None, None])
        apart = -runs.count * np.log(MISREAD_SD_K) - runs.rise2 / MISREAD_SD_K**2 / 2
        wrong = MISREAD * np.exp(np.minimum(apart - top, 0.0))[:, None, None, None]
        for k, spread in enumerate(SPREAD):
            right = (1 - MISREAD) * grid.class_of(own, float(spread))
            log_weight[k] += np.log(np.maximum(right + wrong, _SMALLEST)).sum(axis=0)
        log_weight += top.sum()
    most = log_weight.max()
    weight = np.exp(log_weight - most)
    return np.asarray(weight / weight.sum()), float(most + np.log(weight.sum()))
