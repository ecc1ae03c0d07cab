"""Records by what a person calls them, and what a record is called. Rows are plain dicts as stored."""

from typing import TYPE_CHECKING

from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import name_key, nearest
from pitbench.records.typed import Label, label_of, made

if TYPE_CHECKING:
    from pitbench.records.frame import Record


def named(source: Source, kind: str, text: str) -> Row | None:
    """The record of this name, matched without case."""
    key = name_key(text)
    return next((row for row in source.rows(kind) if name_key(row["name"]) == key), None)


def must_be_named(source: Source, kind: str, text: str, otherwise: str) -> Row:
    """The record of this name; a ValueError with a clause where there is none: the nearest that is, or `otherwise`."""
    found = named(source, kind, text)
    if found is None:
        near = nearest(text, [row["name"] for row in source.rows(kind)])
        raise ValueError(f"is no {kind} of yours, {f'{near} would be right' if near else otherwise}")
    return found


def named_or_made(source: Source, kind: str, text: str, new: "list[Record]", label: Label = label_of) -> str:
    """Id of the record of this name; one that nobody had named yet is put into `new`. Raises Refusal."""
    known = named(source, kind, text)
    if known is not None:
        return str(known["id"])
    new.append(made(model_of(kind), {"name": text}, label))
    return new[-1].id


def stored(source: Source, kind: str, key: str) -> Row:
    """The record of this id, which is there, if only in the bin."""
    row = source.row(kind, key)
    assert row is not None
    return row


def name_of(source: Source, kind: str, key: str | None) -> str:
    """What the record of this id is called, also from the bin; empty where there is none."""
    return str((source.row(kind, key or "") or {}).get("name", ""))


def class_sheet_of(source: Source, motor: Row) -> Row:
    """The class sheet a motor names, also from the bin; empty where it names none."""
    return source.row("class_sheet", motor.get("class_id", "")) or {}
