"""Whether a motor is still what it was: its levels from session to session against wear and against a step.

Each is a least squares fit with the covariance of the levels (generalised; Aitken), σ² scaled by what all clampings
scatter beside it, so that its t is Student's. Levels and their doubt come from `session_levels`; which way a figure
moves when a motor wears, and how sure one must be, is decided here.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.criteria import CURRENT, KV, WEAR_SESSIONS
from pitbench.figures.quantiles import t_point
from pitbench.figures.session_levels import Levels

UPWARD, EITHER = (1.0,), (1.0, -1.0)
WAYS = {KV: UPWARD, CURRENT: UPWARD, "pole_imbalance_pct": UPWARD, "sensor_spread_deg": EITHER}
"""Figures that raise a flag, and which way: weaker magnets turn faster and draw more, drag draws more, a sensor board
may move either way. Ours, from how a motor is made."""
LUCK = 0.0011
"""Chance that luck passes for wear, or for a step at one place, on one evening, where a figure may move one way. Flags
are looked at after every evening, and at every place a step may be; so this small that about 5 % of steady motors carry
a flag after any evening of a season (tests/benchmarks/wear.py, chosen seeds). Ours, by simulation."""
MOST_FREEDOM = 100
"""Degrees of freedom beyond which Student's t is taken for what it is there."""


@dataclass(frozen=True)
class Fits:
    """Of every shape [j]: by how much the levels follow it, its standard error, degrees of freedom of both, and what
    the covariance of the levels is to be multiplied by."""

    change: Floats
    sd: Floats
    freedom: int
    scale: Floats

    @property
    def t(self) -> Floats:
        """Changes in standard errors."""
        return np.asarray(self.change / self.sd)


@dataclass(frozen=True)
class Drift:
    """A change of a figure that luck does not explain: from first to last session, on the scale of the engine.

    since: use before the first session after a step, None: with the track minutes.
    """

    change: float
    sd: float
    since: float | None


def against(levels: Levels, shapes: Floats) -> Fits:
    """How far the levels [k] follow each shape [k × j] for itself, the level they have in common left open.

    With independent levels of one variance it is the straight line of a textbook, standard error and all.
    """
    weight = np.linalg.inv(levels.covariance)
    common = weight.sum(axis=1)
    weight -= np.outer(common, common) / common.sum()
    held: Floats = ((weight @ shapes) * shapes).sum(axis=0)
    pull = shapes.T @ weight @ levels.level
    left = np.maximum(levels.level @ weight @ levels.level - pull**2 / held, 0.0)
    freedom = levels.freedom + levels.level.size - 2
    scale = (levels.squares + left) / freedom
    return Fits(pull / held, np.sqrt(scale / held), freedom, np.asarray(scale))


def wear_shape(levels: Levels) -> Floats:
    """From 0 in the first session to 1 in the last, by use [k × 1]."""
    use = levels.use - levels.use[0]
    return np.asarray(use / use[-1])[:, None]


def step_places(levels: Levels) -> list[int]:
    """Where a step may be: after use, and with two sessions on either side, so that one bad evening is none."""
    places = range(2, levels.level.size - 1)
    return [at for at in places if levels.use[at] > levels.use[at - 1]]


def long_enough(levels: Levels) -> bool:
    """Whether there are sessions enough, with use between them."""
    return levels.level.size >= WEAR_SESSIONS and float(np.ptp(levels.use)) > 0


def drift(levels: Levels, ways: Sequence[float]) -> Drift | None:
    """The likeliest change one of these ways, of the levels of one state; None where luck may explain all."""
    if not long_enough(levels):
        return None
    places = step_places(levels)
    steps = np.arange(levels.level.size)[:, None] >= np.array(places, dtype=np.int64)
    found = against(levels, np.concatenate([wear_shape(levels), steps], axis=1))
    sure = t_point(1 - LUCK / len(ways), min(found.freedom, MOST_FREEDOM))
    passed = max((way * found.t / sure for way in ways), key=lambda each: float(each.max()))
    best = int(passed.argmax())
    if passed[best] < 1:
        return None
    return Drift(
        float(found.change[best]), float(found.sd[best]), None if best == 0 else float(levels.use[places[best - 1]])
    )
