"""What a change brought on the bench: one motor, or build, after it against before it, from draws of both at once.

Draws of one comparison share the session's mood, the slopes and the working point, so that what two states have in
common takes no part in their difference. What the track says of a change stands in `track_steps`.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.comparison import Drawn
from pitbench.figures.criteria import CURRENT, KV, MEASURED, RESISTANCE
from pitbench.figures.intervals import Interval, intervals
from pitbench.figures.load_power import power_at_load

LOAD_POWER = "load_power_w"
ON_THE_BENCH = (LOAD_POWER, *MEASURED, "speed_per_amp")
"""Figures that are told of a change."""


@dataclass(frozen=True)
class Brought:
    """figures: after less before in the figure's unit, None unless it was read on both sides; power_pct: the power at
    load in percent, and chance_helped: that it rose, None unless KV and current were read on both sides."""

    figures: Mapping[str, Interval | None]
    power_pct: Interval | None
    chance_helped: float | None


def brought(drawn: Drawn, before: int, after: int, *, same_winding: bool = False) -> Brought:
    """By the places of both among what was drawn. same_winding: no work on the winding, so that what its resistance was
    read to change by is no part of the power gained."""
    told = {name: _difference(drawn, name, before, after) for name in ON_THE_BENCH}
    if not all(drawn.known("speed_per_amp", place) for place in (before, after)):
        return Brought(told, None, None)
    was, now = _watts(drawn, before, after, same_winding).T
    if told[LOAD_POWER]:
        told[LOAD_POWER] = _interval(now - was)
    power = 100 * np.log(now / was)
    return Brought(told, _interval(power), float(np.mean(power > 0)))


def _watts(drawn: Drawn, before: int, after: int, same_winding: bool) -> Floats:
    """Power before and after [draws × 2]."""
    both = [before, after]
    if not same_winding:
        return drawn.power.watts[:, both]
    kv, current, resistance = (drawn.values[name] for name in (KV, CURRENT, RESISTANCE))
    return power_at_load(kv[:, both], current[:, both], resistance[:, [after, after]] / 1000, drawn.asked.load).watts


def _difference(drawn: Drawn, name: str, before: int, after: int) -> Interval | None:
    if not all(drawn.known(name, place) for place in (before, after)):
        return None
    values = drawn.values[name]
    return _interval(values[:, after] - values[:, before])


def _interval(draws: Floats) -> Interval:
    return intervals(draws[:, None])[0]
