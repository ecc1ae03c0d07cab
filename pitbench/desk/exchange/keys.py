"""What a record is the same by, whatever its id: so a sheet finds it again, and another logbook's copy is met."""

from typing import Any

from pitbench.desk.builds import made_at, parts_of
from pitbench.records.kinds import Row
from pitbench.records.names import name_key
from pitbench.records.stamps import time_key

Key = tuple[Any, ...]
RUNS = ("bench_run", "track_run")


def key_of(kind: str, row: Row) -> Key:
    """The key of a row, or of as much of one as tells it; what it names must have the ids of one logbook."""
    if kind in RUNS:
        return (row["motor_id"], *when(row))
    if kind == "build":  # of a build that was only tried its parts tell it, a fitted one is told by its time
        fitted = row.get("fitted", True)
        return (row["motor_id"], time_key(row.get("since", "")), fitted, *(() if fitted else parts_of(row)))
    if kind == "cooling":
        return (row["track_run_id"], row["after_s"])
    if kind == "load_log":
        return (row["motor_id"], row["digest"])
    if kind == "setup_entry":
        return (time_key(row["written_at"]), row.get("motor_id"), name_key(row["what"]))
    if kind == "gear":
        return (row["kind"], row["teeth"], row["module"])
    return (name_key(row["name"]), row.get("kind", ""), row.get("date", "")[:10])


def when(run: Row) -> tuple[str, int]:
    """The time of a run and its place among those of that time."""
    return time_key(made_at(run)), run.get("place", 0)
