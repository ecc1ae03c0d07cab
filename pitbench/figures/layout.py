"""Readings of one figure with the factors they belong to, and their sufficient statistics, made in one pass.

A clamping lies within one level of every factor, so it is eliminated first and exactly: its readings count as one mean.
What is done with the sums stands in `mixed` (estimates), `posterior` (draws) and `misfit` (readings that do not fit).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pitbench.figures.arrays import Floats, Ints


@dataclass(frozen=True)
class Layout:
    """Readings: value and weight [n], covariates [n × p]; levels: for each factor its level in every reading [n].

    Levels count from 0; sizes: how many levels each factor has, also those without a reading. A weight of ½ counts as
    half a reading. stretch: for each factor what multiplies the spread of each of its levels, 0 for a level that stands
    for none; empty: 1 for all. clamping [n]: which clamping each reading was made in, counted from 0, each within one
    level of every factor; None: nobody tells, and nothing is common to readings but their levels. of_first: factors
    whose level is the same wherever that of the first is, as are the parts of a build.
    """

    value: Floats
    levels: tuple[Ints, ...]
    sizes: tuple[int, ...]
    weight: Floats
    covariates: Floats
    stretch: tuple[Floats, ...] = ()
    clamping: Ints | None = None
    of_first: tuple[int, ...] = ()

    @property
    def stretched(self) -> tuple[Floats, ...]:
        """What multiplies the spread of every level, by factor."""
        return self.stretch or tuple(np.ones(size) for size in self.sizes)

    @property
    def seats(self) -> Ints:
        """The clamping of every reading [n], each its own where nobody tells."""
        return np.arange(self.value.size) if self.clamping is None else self.clamping

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
    """Sufficient statistics of g systems side by side, all of the same factors. Factor `big` is apart.

    count [g × q] and cross [g × q × a] of its levels; rest [g × a × a] of all other columns a: levels of the other
    factors in order (owner [m]: the factor of each), then the fixed ones, which are the centre and p slopes, and last
    the values less `offset` [g]. total [g]: sum of the weights. stretch: of the levels of the big factor [g × q] and of
    the others [g × m]. eliminated [g]: log determinant of the clampings.
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
    eliminated: Floats

    @property
    def fixed(self) -> int:
        """Number of fixed columns, 1 + p."""
        return int(self.cross.shape[-1]) - self.owner.size - 1


@dataclass(frozen=True)
class Clampings:
    """Readings summed up by clamping, so that the spread θ of clampings can be tried without going through them again.

    levels: by factor the level of each clamping [c]; weight [c]: of all its readings; summed [columns × c]: weighed
    sums of ones, covariates and values less offset; corner: products of these columns over all readings.
    """

    levels: tuple[Ints, ...]
    sizes: tuple[int, ...]
    stretch: tuple[Floats, ...]
    weight: Floats
    summed: Floats
    corner: Floats
    offset: float

    def with_slopes(self, fixed: int) -> "Clampings":
        """The same with further slopes that nothing depends on, up to so many fixed columns."""
        width = self.summed.shape[0]
        kept = np.array([*range(width - 1), fixed])
        summed, corner = np.zeros((fixed + 1, self.weight.size)), np.zeros((fixed + 1, fixed + 1))
        summed[kept], corner[np.ix_(kept, kept)] = self.summed, self.corner
        return replace(self, summed=summed, corner=corner)

    def sums(self, theta: Floats) -> Sums:
        """One system for each spread of the clampings, θ·σ [g], every clamping eliminated.

        A clamping of weight w counts as w/(1 + θ²·w): its mean is no better than its own seat.
        """
        big = int(np.argmax(self.sizes))
        others = [f for f in range(len(self.sizes)) if f != big]
        own = theta[:, None] ** 2
        kept = 1 / (1 + own * self.weight)
        weight, summed = self.weight * kept, kept[:, None, :] * self.summed
        corner = self.corner - (own[:, None] * summed) @ self.summed.T
        mixed = [_by_level(level, summed, size) for level, size in zip(self.levels, self.sizes, strict=True)]
        rows = [
            np.concatenate([*(self._table(weight, f, other) for other in others), mixed[f]], axis=2) for f in others
        ]
        last = np.concatenate([*(mixed[f].swapaxes(1, 2) for f in others), corner], axis=2)
        lone = np.concatenate([np.zeros(0), *(self.stretch[f] for f in others)])
        return Sums(
            offset=np.full(theta.size, self.offset),
            total=np.full(theta.size, self.weight.sum()),
            big=big,
            count=mixed[big][:, :, 0],
            cross=np.concatenate([*(self._table(weight, big, other) for other in others), mixed[big]], axis=2),
            rest=np.concatenate([*rows, last], axis=1),
            owner=np.repeat(np.array(others, dtype=np.int64), [self.sizes[f] for f in others]),
            factors=len(self.sizes),
            stretch=(np.tile(self.stretch[big], (theta.size, 1)), np.tile(lone, (theta.size, 1))),
            eliminated=-np.log(kept).sum(axis=1),
        )

    def _table(self, weight: Floats, f: int, other: int) -> Floats:
        """Weight of every pair of levels of two factors [g × levels × levels]."""
        size, width = self.sizes[f], self.sizes[other]
        pairs = self.levels[f] * width + self.levels[other]
        return _counted(pairs, weight, size * width).reshape(-1, size, width)


def clampings(layout: Layout, weight: Floats | None = None) -> Clampings:
    """One pass over the readings, with other weights [n] if given. At least one reading and one factor."""
    w = layout.weight if weight is None else weight
    offset = float(w @ layout.value / w.sum())
    dense = np.array([np.ones(w.size), *layout.covariates.T, layout.value - offset])
    weighed, levels = w * dense, layout.levels
    summed = weighed
    if layout.clamping is not None:
        size = int(layout.clamping.max()) + 1
        summed = _counted(layout.clamping, weighed, size)
        first = np.empty(size, dtype=np.int64)
        first[layout.clamping] = np.arange(w.size)
        levels = tuple(level[first] for level in levels)
    return Clampings(levels, layout.sizes, layout.stretched, summed[0], summed, dense @ weighed.T, offset)


def sums(layout: Layout) -> Sums:
    """The sums of one layout, its clampings not looked at."""
    return clampings(replace(layout, clamping=None)).sums(np.zeros(1))


def side_by_side(found: Sequence[Sums]) -> Sums:
    """Figures of the same factors and as many covariates, to be worked out together."""
    names = ("offset", "total", "count", "cross", "rest", "eliminated")
    offset, total, count, cross, rest, gone = (np.concatenate([getattr(s, name) for s in found]) for name in names)
    big, others = (np.concatenate([each.stretch[i] for each in found]) for i in (0, 1))
    first = found[0]
    return Sums(offset, total, first.big, count, cross, rest, first.owner, first.factors, (big, others), gone)


def relabelled(label: Ints) -> Ints:
    """Labels 0 and up [n] without those that no reading has, in their order.

    >>> relabelled(np.array([7, 2, 7])).tolist()
    [1, 0, 1]
    """
    return np.asarray(np.cumsum(np.bincount(label) > 0) - 1, dtype=np.int64)[label]


def _by_level(level: Ints, weighed: Floats, size: int) -> Floats:
    """Sums of columns [g × columns × n] by level [g × size × columns]."""
    return _counted(level, weighed, size).swapaxes(1, 2)


def _counted(level: Ints, weight: Floats, size: int) -> Floats:
    """Weights [… × n] summed up by level [… × size]."""
    rows = int(np.prod(weight.shape[:-1], dtype=np.int64))
    label = (np.arange(rows)[:, None] * size + level).ravel()
    found = np.bincount(label, weight.ravel(), rows * size).astype(np.float64, copy=False)
    return found.reshape(*weight.shape[:-1], size)
