"""What parts are worth and how good every build is that may be made of them, from draws of one comparison of parts.

The score is that of the ranking. Two claims are kept apart: the best at load, and the most even. A part's worth is what
it adds beside the average part of its kind, all else average; of a part that never moved it rests on the shares alone.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pitbench.figures import chances
from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.comparison import Drawn, part_effects
from pitbench.figures.criteria import CURRENT, GOALS, KV, MEASURED, RESISTANCE
from pitbench.figures.intervals import Interval, intervals
from pitbench.figures.load_power import power_at_load
from pitbench.figures.ranking import margins_of, score_of, weights_of

EVEN = ("sensor_spread_deg", "pole_imbalance_pct")
"""Figures whose sum, each in its margins, is how uneven a build is."""


@dataclass(frozen=True)
class BuildWorth:
    """Score in percent beside the mean of all builds; even_place: 1 for the most even, None where nobody measured."""

    chance_best: float
    score: Interval
    even_place: int | None


@dataclass(frozen=True)
class Worth:
    """Of one part: differences from the average part of its kind by figure, and of the power at load in percent."""

    figures: Mapping[str, Interval | None]
    power_pct: Interval | None


@dataclass(frozen=True)
class Swaps:
    """The builds asked about, `of` [builds × 3] their parts and `at` [builds] their places in the comparison.

    score, unseen, best: draws behind them [draws × builds].
    """

    drawn: Drawn
    of: Ints
    at: Ints
    score: Floats
    unseen: Floats
    best: Floats
    margins: Mapping[str, float]

    @cached_property
    def builds(self) -> list[BuildWorth]:
        """Every build that may be made."""
        chance = self.best.mean(axis=0).tolist()
        places, scores = self._even_places, intervals(self.score)
        return [BuildWorth(chance[b], scores[b], places[b] if places else None) for b in range(len(chance))]

    @cached_property
    def even_chance(self) -> float | None:
        """That the build in the first even place is the most even of all."""
        if self._uneven is None or self._even_places is None:
            return None
        return float(np.mean(self._uneven.argmin(axis=1) == self._even_places.index(1)))

    def worths(self, kind: int, count: int) -> list[Worth]:
        """Of the first so many stators (kind 0), rotors (1) or end bells (2), beside their mean."""
        return _worths(self.drawn, kind, count)

    @cached_property
    def _uneven(self) -> Floats | None:
        known = [name for name in EVEN if measured(self.drawn, name)]
        if not known:
            return None
        return np.asarray(np.sum([self.drawn.values[name][:, self.at] / self.margins[name] for name in known], axis=0))

    @cached_property
    def _even_places(self) -> list[int] | None:
        if self._uneven is None:
            return None
        order = np.argsort(self._uneven.mean(axis=0), kind="stable")
        places = np.empty(order.size, dtype=np.int64)
        places[order] = np.arange(1, order.size + 1)
        found: list[int] = places.tolist()
        return found


def swaps(
    drawn: Drawn,
    weights: Mapping[str, float] | None = None,
    margins: Mapping[str, float] | None = None,
    among: Sequence[int] | None = None,
) -> Swaps:
    """Score the builds of a comparison of parts; weights and margins as in a ranking.

    among: the builds that are asked about, one or more, by their places; None: all. The others tell, but do not count.
    """
    if drawn.asked.parts is None:
        raise ValueError("a comparison of motors has no parts")
    weight, margin = weights_of(weights or {}), margins_of(margins or {})
    of = drawn.asked.parts.of
    at = np.arange(of.shape[0]) if among is None else np.asarray(among, dtype=np.int64)
    score = score_of(drawn, weight, margin)[:, at]
    score = np.asarray(score - score.mean(axis=1, keepdims=True), order="C")
    unseen = chances.unseen_part(score.shape[0], score.shape[1], drawn.unseen_pct)
    return Swaps(drawn, of[at], at, score, unseen, chances.best_of(score, unseen), margin)


def measured(drawn: Drawn, name: str) -> bool:
    """Whether readings of some build carry the figure."""
    return any(drawn.known(name, build) for build in range(drawn.asked.n_motors))


def _worths(drawn: Drawn, kind: int, count: int) -> list[Worth]:
    """Of the first parts of one kind, with all else average."""
    level = {name: each.centre[:, None] + part_effects(each)[kind][:, :count] for name, each in drawn.estimates.items()}
    values = {name: np.exp(each / 100) if MEASURED[name].relative else each for name, each in level.items()}
    power = power_at_load(values[KV], values[CURRENT], values[RESISTANCE] / 1000, drawn.asked.load).watts
    values |= {"load_power_w": power, "speed_per_amp": values[KV] / values[CURRENT]}
    found = {name: _apart(values[name]) if name in values and measured(drawn, name) else None for name in GOALS}
    percent = _apart(100 * power / power.mean(axis=1, keepdims=True)) if found["load_power_w"] else None
    return [
        Worth({name: each[part] if each else None for name, each in found.items()}, percent[part] if percent else None)
        for part in range(count)
    ]


def _apart(values: Floats) -> Sequence[Interval]:
    """How far each column lies from the mean of all."""
    return intervals(values - values.mean(axis=1, keepdims=True))
