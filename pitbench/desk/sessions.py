"""Which bench session a run belongs to: worked out on reading, never stored, so that it can never be out of date.

A session is tester, session name and date; runs without a session name belong together when one tester made them less
than two hours apart. Rows are plain dicts as stored.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from pitbench.records.kinds import Row
from pitbench.records.names import name_key
from pitbench.records.stamps import moment, time_key

Session = tuple[str, str, str]
"""Tester, session name, and the date or the time of its first run; sorts."""
APART = timedelta(hours=2)


def sessions(runs: Iterable[Row]) -> dict[str, Session]:
    """The session of every bench run, by the run's id. Give all runs of the logbook: a run between two joins them."""
    found: dict[str, Session] = {}
    named: dict[Session, Session] = {}
    unnamed: dict[str, list[Row]] = defaultdict(list)
    for run in runs:
        tester = run.get("tester", "")
        if "session" not in run:
            unnamed[name_key(tester)].append(run)
            continue
        written = (tester, run["session"], run["taken_at"][:10])
        if written not in named:
            named[written] = (name_key(tester), name_key(run["session"]), written[2])
        found[run["id"]] = named[written]
    for tester, own in unnamed.items():
        own.sort(key=_time)
        session, last = None, datetime.min
        for run in own:
            taken = moment(run["taken_at"])
            if session is None or taken - last >= APART:
                session = (tester, "", time_key(run["taken_at"]))
            found[run["id"]] = session
            last = taken
    return found


def run_numbers(runs: Iterable[Row], session_of: Mapping[str, Session]) -> dict[str, int]:
    """Place of every run among those of its motor in its session, from 0, by the run's id."""
    seen: dict[tuple[str, Session], int] = defaultdict(int)
    numbers = {}
    for run in timely(runs):
        key = (run["motor_id"], session_of[run["id"]])
        numbers[run["id"]] = seen[key]
        seen[key] += 1
    return numbers


def timely(runs: Iterable[Row]) -> list[Row]:
    """The runs sorted by `in_time`, which is asked only where several were made at one time: most are alone."""
    found = sorted(runs, key=_time)
    times = [_time(run) for run in found]
    start = 0
    for end in range(1, len(found) + 1):
        if end == len(found) or times[end] != times[start]:
            if end - start > 1:
                found[start:end] = sorted(found[start:end], key=in_time)
            start = end
    return found


def _time(run: Row) -> str:
    return time_key(run["taken_at"])


def newest(runs: Sequence[Row]) -> Row | None:
    """The run taken last of some in the order of `timely`, or None; of several that sort alike the first."""
    return runs[bisect_left(runs, in_time(runs[-1]), key=in_time)] if runs else None


def in_time(run: Row) -> tuple[Any, ...]:
    """Sorts runs in time; equal times by their place, then by what was read, never by their random id."""
    return (
        time_key(run["taken_at"]),
        run.get("place", 0),
        run.get("kv_rpm_per_v", 0.0),
        run.get("rpm", 0.0),
        run.get("no_load_current_a", 0.0),
    )
