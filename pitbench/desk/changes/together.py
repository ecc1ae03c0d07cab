"""Which changes can only be told together: nothing was run between them.

A group is what bench, or track, sees as one step. Bench runs part the changes of one motor; track runs those of one
car and motor on one race day. Rows are plain dicts as stored.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pitbench.desk.builds import BuildHistory, in_order, parts_of, since_key
from pitbench.desk.comparing.legal_builds import Triple, whole
from pitbench.desk.states import PARTS, is_motor_work
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.stamps import time_key

REBUILT = ("rebuil", "solder", "wind", "wire")
"""Words of work that may change the winding."""


@dataclass(frozen=True)
class Group:
    """Changes told as one, the oldest first."""

    entries: Sequence[Row]

    @property
    def began(self) -> str:
        """When the first was made."""
        return time_key(self.entries[0]["written_at"])

    @property
    def ended(self) -> str:
        """When the last was made."""
        return time_key(self.entries[-1]["written_at"])


def is_of_the_motor(entry: Row) -> bool:
    """Whether a bench can see the change: work on the motor, or one of its parts swapped."""
    return "motor_id" in entry and (is_motor_work(entry) or name_key(entry["what"]) in PARTS)


def parted(entries: Iterable[Row], made: Iterable[str]) -> list[Group]:
    """Entries as groups with none of these runs between; made: when runs were made.

    >>> day = [{"id": str(i), "written_at": f"2026-05-16T{at}"} for i, at in enumerate(["09:40", "09:50", "11:00"])]
    >>> [len(group.entries) for group in parted(day, ["2026-05-16T10:00"])]
    [2, 1]
    """
    times, groups = sorted(map(time_key, made)), dict[int, list[Row]]()
    for entry in sorted(entries, key=in_order):
        groups.setdefault(bisect_right(times, time_key(entry["written_at"])), []).append(entry)
    return [Group(own) for own in groups.values()]


def bench_groups(source: Source, runs: Iterable[Row]) -> list[Group]:
    """Changes a bench can see, motor by motor; runs: the bench runs that count."""
    made: dict[str, list[str]] = {}
    for run in runs:
        made.setdefault(run["motor_id"], []).append(run["taken_at"])
    of_motor: dict[str, list[Row]] = {}
    for entry in source.rows("setup_entry"):
        if is_of_the_motor(entry):
            of_motor.setdefault(entry["motor_id"], []).append(entry)
    return [group for motor_id in sorted(of_motor) for group in parted(of_motor[motor_id], made.get(motor_id, ()))]


def same_winding(history: BuildHistory, group: Group) -> bool:
    """Whether nobody touched the winding: the stator stayed, and nothing says that it was rebuilt or soldered."""
    before, after = builds_of(history, group)
    told = " ".join(name_key(f"{entry['what']} {entry.get('now', '')}") for entry in group.entries)
    return before is not None and after is not None and before[0] == after[0] and not any(w in told for w in REBUILT)


def builds_of(history: BuildHistory, group: Group) -> tuple[Triple | None, Triple | None]:
    """What its motor was built from just before the first change and just after the last; None: not known whole."""
    motor_id = group.entries[0]["motor_id"]
    builds = history.of(motor_id)
    before = next((build for build in reversed(builds) if since_key(build) < group.began), next(iter(builds), None))
    after = history.in_force(motor_id, group.ended)
    old, new = (whole(parts_of(build)) if build else None for build in (before, after))
    return old, new
