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
    logs = sorted(source.rows("load_log"), key=lambda row: (time_key(row["logged_at"]), row["id"]))
    benched = _benched(source) if any(log.get("bench") for log in logs) else {}
    for log in logs:
        run_id = log.get("track_run_id") or (_nearest(benched, log) if log.get("bench") else None)
        if run_id:
            found[run_id].append(log)
    return dict(found)


def _benched(source: Source) -> dict[tuple[str, str], list[Row]]:
    """Bench runs by motor and day."""
    found: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for run in source.rows("bench_run"):
        found[run["motor_id"], run["taken_at"][:10]].append(run)
    return found


def _nearest(benched: Mapping[tuple[str, str], Sequence[Row]], log: Row) -> str | None:
    same_day, at = benched.get((log["motor_id"], log["logged_at"][:10]), ()), moment(log["logged_at"])
    nearest = min(same_day, key=lambda run: (abs(moment(run["taken_at"]) - at), run["id"]), default=None)
    return str(nearest["id"]) if nearest else None


def has_log(logs: Mapping[str, Sequence[Row]], run_id: str) -> str:
    """What a run's line says of its logs; nothing where it has none.

    >>> has_log({"r1": [{}], "r2": [{}, {}]}, "r1"), has_log({}, "r1")
    ('load log', '')
    """
    count = len(logs.get(run_id, ()))
    return "load log" if count == 1 else counted_words(count, "load log") if count else ""
