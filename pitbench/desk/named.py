"""Records by what a person calls them, and what a record is called. Rows are plain dicts as stored."""

from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key, nearest


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
