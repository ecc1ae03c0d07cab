"""The logbook as a load sees it: what is known by identity, also in the bin, and what the load has written so far.

A file is tried on a copy and kept or thrown away whole. Nothing is saved here.
"""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Literal

from pitbench.desk.builds import Row, made_at, rehoused
from pitbench.desk.workshop import Workshop
from pitbench.records.ids import new_id
from pitbench.records.kinds import Source
from pitbench.records.models import MODELS
from pitbench.records.names import name_key
from pitbench.records.stamps import time_key

if TYPE_CHECKING:
    from pitbench.records.frame import Record

Outcome = Literal["added", "same", "differs", "replaced"]
Key = str | tuple[Any, ...]

RUNS = ("bench_run", "track_run")
KINDS = ("class_sheet", "motor", "event", "car", *RUNS, "cooling", "setup_entry", "gear")
ANNOUNCED = ("motor", "class_sheet", "event", "car")
"""Kinds that rows of other sheets add by naming them, so each that is added is told."""
DEFAULTS = {"check_motor": False, "in_use": True}
_TIMES = {"taken_at", "since", "started_at", "written_at", "date"}
_FRAME = {"id", "name", "edited_at", "binned_at", "binned_why"}


class Book:
    """Rows by kind and id, and by what a sheet knows them by; parts and builds are the workshop's."""

    def __init__(self, source: Source) -> None:
        self.workshop = Workshop(source)
        self.added: dict[str, list[Row]] = {kind: [] for kind in ANNOUNCED}
        self._to_save: dict[str, Record] = {}
        self._of_this_file: set[str] = set()
        self._rows: dict[str, dict[str, Row]] = {kind: {} for kind in KINDS}
        self._known: dict[str, dict[Key, str]] = {kind: {} for kind in KINDS}
        for kind in KINDS:
            rows = [*source.rows(kind, binned=True), *source.rows(kind)]
            for row in sorted(rows, key=_claim):
                self._rows[kind][row["id"]] = row
                self._known[kind][_key(kind, row)] = row["id"]

    def copy(self) -> "Book":
        """A book that can go its own way, for one more file."""
        twin = object.__new__(Book)
        twin.workshop = self.workshop.copy()
        twin.added = {kind: list(rows) for kind, rows in self.added.items()}
        twin._to_save = dict(self._to_save)
        twin._of_this_file = set()
        twin._rows = {kind: dict(rows) for kind, rows in self._rows.items()}
        twin._known = {kind: dict(keys) for kind, keys in self._known.items()}
        return twin

    def records(self) -> "list[Record]":
        """All that must be saved."""
        return [*self._to_save.values(), *self.workshop.to_save.values()]

    def rows(self, kind: str) -> list[Row]:
        """The live rows of a kind, those just written too."""
        return [row for row in self._rows[kind].values() if is_live(row)]

    def binned(self, kind: str) -> list[Row]:
        """The rows of a kind that lie in the bin."""
        return [row for row in self._rows[kind].values() if not is_live(row)]

    def by_id(self, kind: str, row_id: str | None) -> Row | None:
        """The row of this id, also from the bin."""
        return self._rows[kind].get(row_id or "")

    def by_key(self, kind: str, key: Key) -> Row | None:
        """The row a sheet means without an id: live if there is one, else deleted, else undone."""
        return self._rows[kind].get(self._known[kind].get(key, ""))

    def names(self, kind: str) -> list[str]:
        """Live names of a kind."""
        return [row["name"] for row in self.rows(kind)]

    def named(self, kind: str, name: str) -> Row | None:
        """The live, deleted or undone row of this name."""
        return self.by_key(kind, name_key(name))

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
        if before is not None and self._known[kind].get(_key(kind, before)) == record.id:
            del self._known[kind][_key(kind, before)]
        stored = record.row()
        self._rows[kind][record.id] = stored
        self._known[kind][_key(kind, stored)] = record.id
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
        """Move the runs of `before` to the build that was in force at their time, as is known only now."""
        for kind in RUNS:
            runs = self._rows[kind]
            untouched = [row for row in before.rows(kind) if runs[row["id"]] is row]
            for run_id, build_id in rehoused(before.workshop.history, self.workshop.history, untouched).items():
                self.put(kind, {**runs[run_id], "build_id": build_id})


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
    """Whether a stored row says what a sheet says, in the columns the sheet has."""
    has = folded(row.get("extra", {}))
    alike = (_alike(name, row.get(name, DEFAULTS.get(name)), value) for name, value in fields.items())
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


def run_key(motor_id: str, at: str, place: int) -> Key:
    """What a bench run or track run is known by."""
    return (motor_id, time_key(at), place)


def event_key(name: str, date: str) -> Key:
    """What an event is known by."""
    return (name_key(name), date[:10])


def cooling_key(track_run_id: str, after_s: float) -> Key:
    """What a cooling reading is known by."""
    return (track_run_id, after_s)


def setup_key(written_at: str, motor_id: str | None, what: str) -> Key:
    """What a setup entry is known by."""
    return (time_key(written_at), motor_id, name_key(what))


def gear_key(kind: str, teeth: float, module: float) -> Key:
    """What a gear is known by."""
    return (kind, teeth, module)


def _key(kind: str, row: Row) -> Key:
    if kind in RUNS:
        return run_key(row["motor_id"], made_at(row), row.get("place", 0))
    if kind == "event":
        return event_key(row["name"], row["date"])
    if kind == "cooling":
        return cooling_key(row["track_run_id"], row["after_s"])
    if kind == "setup_entry":
        return setup_key(row["written_at"], row.get("motor_id"), row["what"])
    if kind == "gear":
        return gear_key(row["kind"], row["teeth"], row["module"])
    return name_key(row["name"])


def _claim(row: Row) -> int:
    """The last of equals is the one that is meant."""
    return 2 if is_live(row) else 0 if is_undone(row) else 1


def _alike(name: str, has: Any, said: Any) -> bool:
    said = DEFAULTS.get(name) if said is None else said
    if name in _TIMES:
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
