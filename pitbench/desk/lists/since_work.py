"""Since the last work on a motor: its track runs and minutes since, against the team's own limit."""

from dataclasses import dataclass

from pitbench.desk.states import work_on
from pitbench.desk.track_figures import length_of
from pitbench.records.kinds import Row, Source
from pitbench.records.stamps import time_key
from pitbench.records.team import team_of


@dataclass(frozen=True)
class SinceWork:
    """what: was changed or done, `now` how; minutes on the track, of the `untimed` runs none; due: past the limit."""

    what: str
    now: str
    written_at: str
    runs: int
    minutes: float
    untimed: int
    due: bool


def since_work(source: Source, motor_id: str) -> list[SinceWork]:
    """For the last work of every kind, the newest first; each counts from its own time."""
    limit = team_of(next(iter(source.rows("settings")), None)).work_minutes
    runs = [run for run in source.rows("track_run") if run["motor_id"] == motor_id]
    return [_since(entry, runs, limit) for entry in work_on(source, motor_id)]


def _since(entry: Row, runs: list[Row], limit: float) -> SinceWork:
    lengths = [length_of(run) for run in runs if time_key(run["started_at"]) >= time_key(entry["written_at"])]
    minutes = sum(length for length in lengths if length is not None) / 60
    return SinceWork(
        what=entry["what"],
        now=entry.get("now", ""),
        written_at=entry["written_at"],
        runs=len(lengths),
        minutes=minutes,
        untimed=lengths.count(None),
        due=0 < limit <= minutes,
    )
