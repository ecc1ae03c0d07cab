"""What every change brought."""

from dataclasses import dataclass

from pitbench.desk.answers.shared import Spread


@dataclass(frozen=True)
class ChangeOnBench:
    """Bench runs before and after; figures: after less before, in the figure's unit; chance that power at load rose."""

    before: int
    after: int
    figures: dict[str, Spread]
    chance_helped: float | None


@dataclass(frozen=True)
class ChangeOnTrack:
    """Track runs before and after; after less before in seconds a lap and in K; chance that it became faster."""

    before: int
    after: int
    track_pace_s: Spread
    finish_temp_c: Spread
    chance_helped: float | None


@dataclass(frozen=True)
class Change:
    """One entry of the setup log and what it brought; None where bench, or track, cannot see it.

    together_with: what else was changed with nothing run between, told as one on the bench or on the track.
    """

    written_at: str
    event: str | None
    motor: str | None
    what: str
    was: str | None
    now: str | None
    bench: ChangeOnBench | None
    track: ChangeOnTrack | None
    together_with: list[str]


@dataclass(frozen=True)
class ChangesAnswer:
    """What each change brought, the oldest first."""

    changes: list[Change]


@dataclass(frozen=True)
class Judged:
    """A change for people: besides, the id of its entry, the power at load in percent, and what it was changed with,
    as bench and track see it; car_change: whether it is of the car and not of a motor itself."""

    entry_id: str
    change: Change
    power_pct: Spread | None
    bench_with: list[str]
    track_with: list[str]
    car_change: bool
