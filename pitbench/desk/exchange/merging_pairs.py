"""Which record of one logbook is which of the other: by id, by an id it has there, else by what it says it is.

Two motors of one name are one where both logbooks have a run of theirs; else only the user knows.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from shlex import quote
from typing import Any

from pitbench.desk.exchange.keys import RUNS, when
from pitbench.records.kinds import Row
from pitbench.records.names import clean_name, clean_text, name_key
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import listed
from pitbench.records.versions import cells
from pitbench.store.logbook import Snapshot


@dataclass(frozen=True)
class Told:
    """What the user says of motors of one name: `same` are one, `apart` are two; `owner`: whose those are that come
    in, blank the user's own; `there`: what the other logbook is called."""

    same: Collection[str] = ()
    apart: Collection[str] = ()
    owner: str = ""
    there: str = "other"


def told(same: Collection[str], apart: Collection[str], owner: str | None, there: str) -> Told:
    """What was said on the command line; raises Refusal for an owner nobody can be called. A file may be called
    anything."""
    try:
        whose = "" if owner is None else clean_name(owner)
    except ValueError as why:
        raise Refusal(f"--owner {why}.") from None
    return Told(same, apart, whose, clean_text(there)[:20].strip() or "other")


def every(source: Snapshot, kind: str) -> list[Row]:
    """Rows of a kind in order of their ids, those in the bin too, but not what an undo of a merge took away again."""
    rows = [*source.rows(kind), *source.rows(kind, binned=True)]
    there = (r for r in rows if r.get("binned_why") != "undone" or "undone" not in source.versions(r["id"]))
    return sorted(there, key=lambda row: str(row["id"]))


class Pairs:
    """Of the records of one kind: which of theirs is known here, and under which id."""

    def __init__(self, ours: Snapshot, other: Snapshot, kind: str) -> None:
        self.ours, self.theirs = ({row["id"]: row for row in every(source, kind)} for source in (ours, other))
        ids = {elsewhere: key for key in self.ours for elsewhere in ours.versions(key).get("also", ())}
        ids |= {key: key for key in self.ours}
        self.ids = {
            key: found
            for key in self.theirs
            if (found := next((ids[one] for one in (key, *other.versions(key).get("also", ())) if one in ids), None))
        }
        """Of their records: the id each has here."""

    def alone(self) -> tuple[list[Row], list[Row]]:
        """Live records only one has, ours and theirs."""
        met = set(self.ids.values())
        ours = [row for key, row in self.ours.items() if key not in met and "binned_at" not in row]
        return ours, [row for key, row in self.theirs.items() if key not in self.ids and "binned_at" not in row]


def motors_alike(ours: Snapshot, other: Snapshot, motors: Pairs, told: Told) -> list[tuple[Row, Row]]:
    """Motors of one name that are one; raises Refusal for those of which neither the records nor the user say."""
    told_same, told_apart = ({name_key(name) for name in names} for names in (told.same, told.apart))
    _must_name_motors(motors, told)
    mine, theirs = motors.alone()
    named = {name_key(row["name"]): row for row in mine}
    alike = [(named[key], row) for row in theirs if (key := name_key(row["name"])) in named]
    one = [pair for pair in alike if name_key(pair[0]["name"]) in told_same or _share_a_run(ours, other, *pair)]
    asked = [pair[0]["name"] for pair in alike if pair not in one and name_key(pair[0]["name"]) not in told_apart]
    if asked:
        stand, name = "stands" if len(asked) == 1 else "stand", quote(asked[0])
        raise Refusal(
            f"{listed(sorted(asked))} {stand} in both logbooks without a record in common; --same {name} if it is one "
            f"motor, --apart {name} to keep both would be right."
        )
    return [pair for pair in one if name_key(pair[0]["name"]) not in told_apart]


def _must_name_motors(motors: Pairs, told: Told) -> None:
    names = [{name_key(row["name"]) for row in rows.values()} for rows in (motors.ours, motors.theirs)]
    for name in (*told.same, *told.apart):
        if not all(name_key(name) in some for some in names):
            raise Refusal(f"{name} is no motor of both logbooks; the name of one that stands in both would be right.")
    for name in told.same:
        if name_key(name) in map(name_key, told.apart):
            raise Refusal(f"{name} stands behind --same and behind --apart; one of them would be right.")


def _share_a_run(ours: Snapshot, other: Snapshot, mine: Row, theirs: Row) -> bool:
    """Whether both have a run of the same time that says nothing else."""
    for kind in RUNS:
        known = {when(run): cells(run) for run in ours.rows(kind) if run["motor_id"] == mine["id"]}
        for run in other.rows(kind):
            if run["motor_id"] == theirs["id"] and when(run) in known and _agree(known[when(run)], cells(run)):
                return True
    return False


def _agree(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """A time alone is shared by chance; what was measured is not."""
    shared = [cell for cell in one.keys() & other.keys() if not cell.endswith(("_id", "_at", "place"))]
    return any(isinstance(one[cell], float) for cell in shared) and all(one[cell] == other[cell] for cell in shared)
