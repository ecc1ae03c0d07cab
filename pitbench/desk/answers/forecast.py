"""What a motor will finish at."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Temperatures:
    """A finish temperature in °C: median, 25 and 75 % points, 5 and 95 % points."""

    median: float
    low50: float
    high50: float
    low90: float
    high90: float


@dataclass(frozen=True)
class ForecastBasis:
    """How many track runs the forecast stands on, how many of them of this motor and of this event."""

    track_runs: int
    same_motor: int
    same_event: int


@dataclass(frozen=True)
class ForecastAnswer:
    """What a motor will finish at with the planned gearing, length and ambient."""

    motor: str
    finish_temp_c: Temperatures
    ceiling_c: float
    chance_over_ceiling: float
    longest_rollout_mm: float | None
    basis: ForecastBasis
    flags: list[str]
