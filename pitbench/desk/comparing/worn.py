"""Whether a motor gets slower, as a ranking answers it: plain numbers in the units of the figures.

Light at import, since answers come from a second process into the app. How they are found: `wearing`.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Between:
    """A mean with its 5 and 95 % points, all known."""

    mean: float
    low90: float
    high90: float

    @property
    def way(self) -> int:
        """1 where all of it lies above 0, -1 below, 0 where it does not tell."""
        return (self.low90 > 0) - (self.high90 < 0)


@dataclass(frozen=True)
class FigureWear:
    """A figure in its unit: levels session by session, moods out, and its change over the track minutes with 90 %.

    drifts: whether luck does not explain the change; since: of a step, the bench run it was first seen in.
    """

    levels: tuple[float, ...]
    change: Between
    drifts: bool
    since: str | None


@dataclass(frozen=True)
class PowerLine:
    """Power at load against track minutes, percent beside where the line begins, moods and work taken out.

    sessions: (minutes, level, half of its 90 % interval) of each; along: (minutes, low, line, high) from the first
    session to the last, with its 90 % band; worked: minutes before the first session after each piece of work.
    """

    sessions: tuple[tuple[float, float, float], ...]
    along: tuple[tuple[float, float, float, float], ...]
    worked: tuple[float, ...]


@dataclass(frozen=True)
class MotorWear:
    """One motor: bench sessions and the track minutes between its first and last; power: percent an hour, with 90 %.

    falls: chance that the next hour on the track costs it `margin_pct` of power at load. figures: by name. line:
    of power, None where KV and current were not read together.
    """

    sessions: int
    minutes: float
    power: Between
    falls: float
    margin_pct: float
    figures: Mapping[str, FigureWear]
    line: PowerLine | None = None

    @property
    def drifts(self) -> bool:
        """Whether any figure does."""
        return any(figure.drifts for figure in self.figures.values())
