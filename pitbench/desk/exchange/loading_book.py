"""The logbook as a load sees it: what is known by identity, also in the bin, and what the load has written so far.

A file is tried on a copy and kept or thrown away whole. Nothing is saved here.
"""

from collections.abc import Iterable, Mapping
from typing import Any, Literal

from pitbench.desk.builds import made_at, rehoused
from pitbench.desk.checking import TIMES
from pitbench.desk.exchange.keys import RUNS, Key, key_of
from pitbench.desk.workshop import Workshop
from pitbench.records.fields import RECORDS, YES_NO
from pitbench.records.frame import Record
from pitbench.records.ids import new_id
from pitbench.records.kinds import Row, Source
from pitbench.records.models import MODELS
from pitbench.records.stamps import time_key

Outcome = Literal["added", "same", "differs", "replaced"]

KINDS = ("class_sheet", "motor", "event", "car", *RUNS, "cooling", "setup_entry", "gear")
ANNOUNCED = ("motor", "class_sheet", "event", "car")
"""Kinds that rows of other sheets add by naming them, so each that is added is told."""
DEFAULTS = {datum.field: datum.default for datum in RECORDS["motor"] if datum.form == YES_NO}
MARKS = ("kept", "waits")
"""Columns that name others."""
_FRAME = {"id", "name", "edited_at", "binned_at", "binned_why"}


class Book:
    """Rows by kind and id, and by what a sheet knows them by; parts and builds are the workshop's."""

    def __init__(self, source: Source) -> None:
        self.workshop = Workshop(source)
        self.added: dict[str, list[Row]] = {kind: [] for kind in ANNOUNCED}
        self._to_save: dict[str, Record] = {}
        self._of_this_file: set[str] = set()
        self._claimed: frozenset[tuple[str, str]] = frozenset()
        """Kind and id of the records that a row of this file names by its id: no other row brings one of them back."""
        self._rows: dict[str, dict[str, Row]] = {kind: {} for kind in KINDS}
        self._known: dict[str, dict[Key, str]] = {kind: {} for kind in KINDS}
        for kind in KINDS:
            rows = [*source.rows(kind, binned=True), *source.rows(kind)]
            for row in sorted(rows, key=_claim):
                self._rows[kind][row["id"]] = row
                self._known[kind][key_of(kind, row)] = row["id"]

    def copy(self, kind: str, ids: Iterable[str]) -> "Book":
        """A book that can go its own way, for one more file, whose rows name records of a kind by these ids."""
        twin = object.__new__(Book)
        twin.workshop = self.workshop.copy()
        twin.added = {kind: list(rows) for kind, rows in self.added.items()}
        twin._to_save = dict(self._to_save)
        twin._of_this_file = set()
        twin._claimed = frozenset((kind, row_id) for row_id in ids)
        twin._rows = {kind: dict(rows) for kind, rows in self._rows.items()}
        twin._known = {kind: dict(keys) for kind, keys in self._known.items()}
        return twin

    def records(self) -> list[Record]:
        """All that must be saved."""
        return [*self._to_save.values(), *self.workshop.to_save.values()]

    def rows(self, kind: str) -> list[Row]:
        """The live rows of a kind, those just written too."""
        return [row for row in self._rows[kind].values() if is_live(row)]

    def binned(self, kind: str) -> list[Row]:
        """The rows of a kind that lie in the bin and are free to come back."""
        return [row for row in self._rows[kind].values() if not is_live(row) and not self._is_claimed(kind, row)]

    def by_id(self, kind: str, row_id: str | None) -> Row | None:
        """The row of this id, also from the bin."""
        return self._rows[kind].get(row_id or "")

    def by_key(self, kind: str, key: Key) -> Row | None:
        """The row a sheet means without an id: live if there is one, else deleted, else undone."""
        found = self._rows[kind].get(self._known[kind].get(key, ""))
        if found is not None and self._is_claimed(kind, found):
            found = next((row for row in self.binned(kind) if key_of(kind, row) == key), None)
        return found

    def _is_claimed(self, kind: str, row: Row) -> bool:
        return is_undone(row) and (kind, row["id"]) in self._claimed

    def names(self, kind: str) -> list[str]:
        """Live names of a kind."""
        return [row["name"] for row in self.rows(kind)]

    def named(self, kind: str, name: str) -> Row | None:
        """The live, deleted or undone row of this name."""
        return self.by_key(kind, key_of(kind, {"name": name}))

    def named_or_new(self, kind: str, name: str) -> Row:
        """The row of this name; a new or undone one is only sketched, `put` writes it."""
        found = self.named(kind, name)
        if found is not None and not is_undone(found):
            return found
        return {"id": found["id"] if found else new_id(), "name": name}

    def put(self, kind: str, row: Mapping[str, Any]) -> Row:
        """Write a row down; what is not known yet counts as added. Blank fields and marks of the bin fall away."""
        record = MODELS[kind].of(
            {k: v for k, v in row.items() if v is not None and k not in {"binned_at", "binned_why"}}
        )
        before = self._rows[kind].get(record.id)
        if before is not None and self._known[kind].get(key_of(kind, before)) == record.id:
            del self._known[kind][key_of(kind, before)]
        stored = record.row()
        self._rows[kind][record.id] = stored
        self._known[kind][key_of(kind, stored)] = record.id
        self._to_save[record.id] = record
        self._of_this_file.add(record.id)
        if kind in self.added and (before is None or not is_live(before)):
            self.added[kind].append(stored)
        return stored

    def is_written(self, kind: str, row: Row) -> bool:
        """Whether a row stands in the logbook, or will after this load; a sketched one does not."""
        known = self._rows[kind].get(row["id"])
        return known is not None and is_live(known)

    def is_of_this_file(self, row: Row) -> bool:
        """Whether a row was written since this copy was made."""
        return row["id"] in self._of_this_file

    def house_runs(self, before: "Book") -> None:
        """Move runs to the build that was in force at their time, as is known only now: those of `before`, and those
        of this file that name no part, also where a row of the very same time fitted one."""
        now = self.workshop.history
        moved = self.workshop.settle(run for kind in RUNS for run in self.rows(kind))
        for kind in RUNS:
            runs = {run["id"]: run for run in self.rows(kind)}
            old = {run["id"] for run in before.rows(kind) if runs.get(run["id"]) is run}
            moved |= rehoused(before.workshop.history, now, (runs[key] for key in old))
            for run in (run for key, run in runs.items() if key not in old and "parts_named" not in run):
                build = now.in_force(run["motor_id"], made_at(run))
                if build is not None and build["id"] != run["build_id"]:
                    moved[run["id"]] = build["id"]
            for run_id in moved.keys() & runs.keys():
                self.put(kind, {**runs[run_id], "build_id": moved[run_id]})


def is_live(row: Row) -> bool:
    """Not in the bin."""
    return "binned_at" not in row


def is_undone(row: Row) -> bool:
    """An undo took it away."""
    return row.get("binned_why") == "undone"


def says_nothing(row: Row) -> bool:
    """Only named so far (an event: with its date), never described."""
    return set(row) <= _FRAME | {"date"}


def is_same(row: Row, fields: Mapping[str, Any], extra: Mapping[str, str]) -> bool:
    """Whether a stored row says what a sheet says, in the columns the sheet has.

    A number that is named as kept counts here too, and one that waits there waits here: more need not be the same,
    since `load` finds some that wait by itself.
    """
    has = folded(row.get("extra", {}))
    alike = (
        _alike(name, row.get(name, DEFAULTS.get(name)), value) for name, value in fields.items() if name not in MARKS
    )
    kept, waits = ({*(fields.get(mark) or ())} for mark in MARKS)
    if "kept" in fields and not (kept >= {*row.get("kept", ())} and kept.isdisjoint(row.get("waits", ()))):
        return False
    if not waits - kept <= {*row.get("waits", ())}:
        return False
    return all(alike) and all(has.get(header.casefold()) == text for header, text in extra.items())


def merged(row: Row, fields: Mapping[str, Any], extra: Mapping[str, str]) -> Row:
    """A stored row with what a sheet says put over it."""
    known = {header.casefold(): header for header in row.get("extra", {})}
    said = {known.get(header.casefold(), header): text for header, text in extra.items()}
    with_defaults = {name: DEFAULTS.get(name) if value is None else value for name, value in fields.items()}
    return {**row, **with_defaults, "extra": {**row.get("extra", {}), **said}}


def folded(extra: Mapping[str, str]) -> dict[str, str]:
    """Columns of the user's own, by header without case."""
    return {header.casefold(): text for header, text in extra.items()}


def _claim(row: Row) -> int:
    """The last of equals is the one that is meant."""
    return 2 if is_live(row) else 0 if is_undone(row) else 1


def _alike(name: str, has: Any, said: Any) -> bool:
    said = DEFAULTS.get(name) if said is None else said
    if name in TIMES:
        return time_key(has or "") == time_key(said or "")
    return bool(has == said)


def decide(row: Row | None, same: bool, replace: bool, described: bool = True) -> Outcome:
    """What becomes of a sheet's row: `row` is what it means in the logbook, `same` whether both say the same."""
    if row is None or is_undone(row):
        return "added"
    if same:
        return "same"
    if not is_live(row):
        return "differs"
    if not described:
        return "added"
    return "replaced" if replace else "differs"
