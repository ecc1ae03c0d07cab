"""Which pieces of work were done on a motor, and before which of them a reading was made.

A state is a build between two pieces of work on it. Motor work is a setup entry of a motor that says so: what was
changed names a part inside the motor, or the motor itself and what was done to it. This is the only place that tells.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from pitbench.records.fields import PART_KINDS
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.stamps import time_key

INSIDE = ("bearing", "rotor", "shim", "magnet", "rebuilt", "rebuild", "commutat")
"""What is changed inside a motor, as the first letters of a word of `what`."""
DONE = ("clean", "oil", "rebuil", "new", "rest", "out and in", "apart")
"""What may be done to a motor that is named as a whole, or to its can or end bell."""
PARTS = tuple(kind.replace("_", " ") for kind in PART_KINDS)
"""What an entry calls the parts that a swap changes."""
OF_THE_CAR = ("wheel", "axle", "diff", "gearbox", "hub", "shock", "steering")
"""An entry that names one of these is about the car, whatever motor was in it."""


def is_motor_work(entry: Mapping[str, Any]) -> bool:
    """Whether a setup entry changes the motor itself, so that it may read differently from then on.

    >>> is_motor_work({"motor_id": "m1", "what": "Bearings", "now": "oiled"}), is_motor_work(
    ...     {"motor_id": "m1", "what": "wheel bearings", "now": "new"}
    ... ), is_motor_work({"motor_id": "m1", "what": "motor", "now": "cleaned"})
    (True, False, True)
    """
    what = name_key(entry["what"])
    if "motor_id" not in entry or any(word in what for word in OF_THE_CAR):
        return False
    if any(word.startswith(INSIDE) for word in what.split()):
        return True
    whole = any(word in what for word in ("motor", "can", "end bell"))
    return whole and any(done in f"{what} {name_key(entry.get('now', ''))}" for done in DONE)


def motor_work(source: Source) -> dict[str, list[str]]:
    """Times of the pieces of work on every motor that has any, the oldest first."""
    return work_of(source.rows("setup_entry"))


def work_of(entries: Iterable[Row]) -> dict[str, list[str]]:
    """The same of setup entries."""
    return {motor_id: [time_key(entry["written_at"]) for entry in done] for motor_id, done in _done(entries).items()}


def work_since(source: Source, last_on: Mapping[str, str]) -> dict[str, Row]:
    """The last piece of work on every motor that was not on the bench since; last_on: its last bench run, by motor."""
    return {key: work for key, work in _newest(source, last_on) if not _read_since(work, last_on[key])}


def stands_since(source: Source, last_on: Mapping[str, str]) -> dict[str, Row]:
    """The last piece of work on every motor that was on the bench since: its figures are those since then.

    Not where that put in another rotor: what a motor is built from says it.
    """
    found = {key: work for key, work in _newest(source, last_on) if _read_since(work, last_on[key])}
    return {key: work for key, work in found.items() if not _is_swap(work)}


def _is_swap(work: Row) -> bool:
    return name_key(work["what"]) in PARTS and "was" in work and "now" in work


def last_on_the_bench(source: Source) -> dict[str, str]:
    """When each motor was on the bench last."""
    found: dict[str, str] = {}
    for run in source.rows("bench_run"):
        found[run["motor_id"]] = max(run["taken_at"], found.get(run["motor_id"], ""), key=time_key)
    return found


def _newest(source: Source, last_on: Mapping[str, str]) -> list[tuple[str, Row]]:
    return [(motor_id, done[-1]) for motor_id, done in _work(source).items() if motor_id in last_on]


def _read_since(work: Row, last_on: str) -> bool:
    return time_key(work["written_at"]) < time_key(last_on)


def work_on(source: Source, motor_id: str) -> list[Row]:
    """The last piece of work of every kind on one motor, by what was changed, the newest first."""
    newest = {name_key(entry["what"]): entry for entry in _work(source).get(motor_id, [])}
    return sorted(newest.values(), key=lambda entry: time_key(entry["written_at"]), reverse=True)


def _work(source: Source) -> dict[str, list[Row]]:
    """The pieces of work on every motor that has any, the oldest first."""
    return _done(source.rows("setup_entry"))


def _done(entries: Iterable[Row]) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = defaultdict(list)
    for entry in sorted(entries, key=lambda entry: time_key(entry["written_at"])):
        if is_motor_work(entry):
            found[entry["motor_id"]].append(entry)
    return found


def states_of(work: Sequence[str], stamps: Sequence[str]) -> tuple[list[int], int]:
    """The state each run at these times was made in, and the state the motor is in now; 0 is the first anything was
    read in. Work with nothing read since the last parts nothing but what is to come.

    >>> states_of(["2026-05-16T09:40"], ["2026-05-15T20:00", "2026-05-16T10:00"])
    ([0, 1], 1)
    >>> states_of(["2026-04-01T09:00"], ["2026-05-15T20:00"])
    ([0], 0)
    """
    passed = [bisect_right(work, time_key(stamp)) for stamp in stamps]
    seen = {count: state for state, count in enumerate(sorted({*passed, len(work)}))}
    return [seen[count] for count in passed], len(seen) - 1
