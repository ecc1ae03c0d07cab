"""What a change brought on the bench: one motor, or build, after it against before it, from draws of both at once.

Draws of one comparison share the session's mood, the slopes and the working point, so that what two states have in
common takes no part in their difference. What the track says of a change stands in `track_steps`.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.comparison import Drawn
from pitbench.figures.criteria import MEASURED
from pitbench.figures.intervals import Interval, intervals

ON_THE_BENCH = ("load_power_w", *MEASURED, "speed_per_amp")
"""Figures that are told of a change."""


@dataclass(frozen=True)
class Brought:
    """figures: after less before in the figure's unit, None unless it was read on both sides; power_pct: the power at
    load in percent, and chance_helped: that it rose, None unless KV and current were read on both sides."""

    figures: Mapping[str, Interval | None]
    power_pct: Interval | None
    chance_helped: float | None


def brought(drawn: Drawn, before: int, after: int) -> Brought:
    """By the places of both among what was drawn."""
    power = None
    if all(drawn.known("speed_per_amp", place) for place in (before, after)):
        watts = drawn.power.watts
        power = 100 * np.log(watts[:, after] / watts[:, before])
    return Brought(
        figures={name: _difference(drawn, name, before, after) for name in ON_THE_BENCH},
        power_pct=None if power is None else _interval(power),
        chance_helped=None if power is None else float(np.mean(power > 0)),
    )


def _difference(drawn: Drawn, name: str, before: int, after: int) -> Interval | None:
    if not all(drawn.known(name, place) for place in (before, after)):
        return None
    values = drawn.values[name]
    return _interval(values[:, after] - values[:, before])


def _interval(draws: Floats) -> Interval:
    return intervals(draws[:, None])[0]
