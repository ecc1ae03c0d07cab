"""What one action changed, kept so that it can be taken back and done again, also after a restart.

A change: {id, at, words, before, after, undoes?, versions?}. `after` names the records by id: [{kind, ids}]. `before`
holds of records that stood already only the fields that changed, null for a field that was blank: [{kind, rows}]. So an
added record is in `after` alone, and undo bins it. An undo is a change too, and redo strikes it out again: what redo
puts back stands in that undo's `before`. An edit adds to the versions of what it changed, and so does its undo; a merge
brings versions of its own, and to take it back is to have those of before: they stand in `versions`, null for none;
what it had added is then marked `undone`, so that the next merge brings it again.
Pure functions on plain rows; only the logbook saves what they return.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from pitbench.records.kinds import Row
from pitbench.records.versions import grown
from pitbench.store.json_text import from_json, to_json

Tree = Mapping[str, Mapping[str, Row]]

KEPT = 200


@dataclass(frozen=True)
class Change:
    """A line of the list of changes; `records` counts those it touched."""

    id: str
    at: str
    words: str
    records: int
    taken_back: bool


@dataclass
class Step:
    """New rows by kind, and how the old ones differed."""

    rows: dict[str, dict[str, Row]] = field(default_factory=dict)
    before: dict[str, list[Row]] = field(default_factory=dict)
    versions: dict[str, Row | None] = field(default_factory=dict)
    given: dict[str, Row | None] | None = None
    """New versions by record, and those of before where the action brought its own."""

    def entry(self, key: str, at: str, words: str) -> Row:
        """The step as it is kept in the list of changes."""
        brought = {} if self.given is None else {"versions": self.given}
        return {
            **brought,
            "id": key,
            "at": at,
            "words": words,
            "before": [{"kind": kind, "rows": rows} for kind, rows in self.before.items()],
            "after": [{"kind": kind, "ids": list(rows)} for kind, rows in self.rows.items()],
        }


def step(
    tree: Tree, rows: Iterable[tuple[str, Row]], at: str, versions: Mapping[str, Row | None] | None = None
) -> Step:
    """What storing these rows (kind, row) does to the tree; rows that change nothing are left out. `versions`: those
    of the action, by record, None to have none.

    Rows are copied through JSON, so that what is kept is what the file will say. Raises ValueError for what JSON
    cannot hold.
    """
    made, kept = Step(), tree.get("versions", {})
    if versions is not None:
        made.versions = {key: row for key, row in versions.items() if row != kept.get(key)}
        made.given = {key: kept.get(key) for key in made.versions}
    for kind, row in {(kind, row["id"]): (kind, row) for kind, row in rows}.values():
        old = tree.get(kind, {}).get(row["id"])
        new: Row = from_json(to_json({**row, "edited_at": at}), allow_inf_nan=False)
        if old is None and made.given is not None:
            made.given[row["id"]] = {"id": row["id"], "undone": True}
        if old is not None:
            differing = _differing(old, new)
            if not differing:
                continue
            made.before.setdefault(kind, []).append({"id": row["id"], **differing})
            if versions is None and kind != "settings":
                had = kept.get(row["id"], {})
                was = had.get("cells", {})
                cells = grown(was, old, new, at)
                if cells != was:
                    made.versions[row["id"]] = {**had, "id": row["id"], "cells": cells}
        made.rows.setdefault(kind, {})[row["id"]] = new
    return made


def _differing(old: Row, new: Row) -> Row:
    """The old values of the fields that changed; when it was edited is no such field."""
    names = [*old, *(name for name in new if name not in old)]
    return {name: old.get(name) for name in names if name != "edited_at" and old.get(name) != new.get(name)}


def to_undo(changes: Mapping[str, Row]) -> Row | None:
    """The newest change that is neither an undo nor already taken back."""
    taken_back = {change.get("undoes") for change in changes.values()}
    return next((c for c in _newest_first(changes) if "undoes" not in c and c["id"] not in taken_back), None)


def to_redo(changes: Mapping[str, Row]) -> Row | None:
    """The undo to strike out: the newest change, if it is one."""
    newest = next(iter(_newest_first(changes)), None)
    return newest if newest is not None and "undoes" in newest else None


def _newest_first(changes: Mapping[str, Row]) -> list[Row]:
    return sorted(changes.values(), key=lambda change: int(change["id"]), reverse=True)


def as_before(tree: Tree, change: Row, at: str) -> list[tuple[str, Row]]:
    """The rows (kind, row) as they were before a change; what it had added goes to the bin as undone."""
    rows: list[tuple[str, Row]] = []
    known: set[tuple[str, str]] = set()
    for part in change["before"]:
        for old in part["rows"]:
            known.add((part["kind"], old["id"]))
            now = tree.get(part["kind"], {}).get(old["id"])
            if now is not None:
                patched = {**now, **old}
                rows.append((part["kind"], {name: value for name, value in patched.items() if value is not None}))
    for part in change["after"]:
        for key in part["ids"]:
            now = tree.get(part["kind"], {}).get(key)
            if now is not None and (part["kind"], key) not in known:
                rows.append((part["kind"], {**now, "binned_at": at, "binned_why": "undone"}))
    return rows


def next_id(changes: Mapping[str, Row]) -> str:
    """Running numbers, as text."""
    return str(max(map(int, changes), default=0) + 1)


def too_old(changes: Mapping[str, Row]) -> set[str]:
    """Ids beyond the last KEPT changes, and of undos whose change goes."""
    own = [change["id"] for change in _newest_first(changes) if "undoes" not in change]
    gone = set(own[KEPT:])
    return gone | {change["id"] for change in changes.values() if change.get("undoes") in gone}


def listed(changes: Mapping[str, Row]) -> list[Change]:
    """For people, newest first, without the undos."""
    taken_back = {change.get("undoes") for change in changes.values()}
    return [
        Change(c["id"], c["at"], c["words"], sum(len(part["ids"]) for part in c["after"]), c["id"] in taken_back)
        for c in _newest_first(changes)
        if "undoes" not in c
    ]
