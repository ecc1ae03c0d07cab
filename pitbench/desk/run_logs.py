"""Which load logs belong to which run: said for a track run, told by time for a bench run."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from pitbench.records.kinds import Row, Source
from pitbench.records.spoken import counted_words
from pitbench.records.stamps import moment, time_key


def logs_by_run(source: Source) -> dict[str, list[Row]]:
    """The load logs of every run that has any, in time, by the run's id. One written on the bench belongs to the bench
    run of its motor that is nearest in time, of the same day."""
    found: dict[str, list[Row]] = defaultdict(list)
    for log in sorted(source.rows("load_log"), key=lambda row: (time_key(row["logged_at"]), row["id"])):
        run_id = log.get("track_run_id") or (_nearest(source, log) if log.get("bench") else None)
        if run_id:
            found[run_id].append(log)
    return dict(found)


def _nearest(source: Source, log: Row) -> str | None:
    day, at = log["logged_at"][:10], moment(log["logged_at"])
    runs = (run for run in source.rows("bench_run") if run["motor_id"] == log["motor_id"])
    same_day = [run for run in runs if run["taken_at"][:10] == day]
    nearest = min(same_day, key=lambda run: (abs(moment(run["taken_at"]) - at), run["id"]), default=None)
    return str(nearest["id"]) if nearest else None


def has_log(logs: Mapping[str, Sequence[Row]], run_id: str) -> str:
    """What a run's line says of its logs; nothing where it has none.

    >>> has_log({"r1": [{}], "r2": [{}, {}]}, "r1"), has_log({}, "r1")
    ('load log', '')
    """
    count = len(logs.get(run_id, ()))
    return "load log" if count == 1 else counted_words(count, "load log") if count else ""
