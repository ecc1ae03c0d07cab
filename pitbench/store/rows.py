"""Whether stored rows are what the models of `records` allow; a problem names the kind, the id and the field.

The checks themselves stand in the models. Here is only how a whole tree is looked through, and what is said.
"""

from collections.abc import Iterator, Mapping
from itertools import chain
from operator import itemgetter
from typing import TYPE_CHECKING, Any

from pitbench.records.fields import QUANTITIES, RECORDS
from pitbench.records.harmless import harmless
from pitbench.records.kinds import KINDS, Row, model_of
from pitbench.store.json_text import ValidationError, to_json

if TYPE_CHECKING:
    from pitbench.records.frame import Record


def settle(tree: dict[str, dict[str, Any]]) -> list[str]:
    """Check every row strictly and put it into the form pitbench writes; the problems found, in the file's order."""
    problems: list[str] = []
    for kind, key, found in _looked_at(tree):
        if isinstance(found, ValueError):
            problems += said(kind, key, found)
        else:
            tree[kind][key] = found
    changes = tree.get("changes", {})
    problems += history_problems(tree)
    for change in changes.values() if not problems else ():
        change["words"] = harmless(change["words"])
    return problems


def first_flaw(tree: Mapping[str, Mapping[str, Row]]) -> str | None:
    """The first problem `settle` would name, or None; rewrites no row, for others may read them meanwhile."""
    wrong = (
        clause
        for kind, key, found in _looked_at(tree)
        if isinstance(found, ValueError)
        for clause in said(kind, key, found)
    )
    return next(chain(wrong, history_problems(tree)), None)


def _looked_at(tree: Mapping[str, Mapping[str, Row]]) -> Iterator[tuple[str, str, Row | ValueError]]:
    """Every row (kind, key, row) in the form pitbench writes where it may not be in it, or what is wrong with it."""
    from pitbench.store.field_checks import unlike  # the models behind it take long to load

    for kind in KINDS:
        table = tree.get(kind, {})
        for key in unlike(model_of(kind), table):
            try:
                yield kind, key, _settled(kind, key, table[key])
            except ValueError as error:
                yield kind, key, error


def _settled(kind: str, key: str, row: Row) -> Row:
    """A number written as text is refused here, though a form would read it."""
    if row.get("id") != key:
        raise ValueError(f"id is {str(row.get('id'))[:40]!r}, the key it stands under would be right")
    record = model_of(kind).model_validate_json(to_json(row), strict=True)
    checked = record.__dict__
    as_written = all(value is not None and checked[name] == value for name, value in row.items())
    return row if as_written else record.row()


def checked(kind: str, row: Row) -> "Record":
    """The record of a row that a seal vouches for; raises ValueError with `said` as its text."""
    try:
        return model_of(kind).of(row)
    except ValidationError as error:
        raise ValueError("; ".join(said(kind, str(row.get("id")), error))) from None


def share_numbers(tree: Mapping[str, Mapping[str, Row]]) -> None:
    """Put one object in the place of all equal numbers: no row reads otherwise after it, so others may read meanwhile.

    Zero stays as it is, for it equals minus zero.
    """
    seen: dict[float, float] = {}
    for table in tree.values():
        for row in table.values():
            for name, value in row.items():
                if type(value) is float and value:
                    row[name] = seen.setdefault(value, value)


def said(kind: str, key: str, error: ValueError) -> Iterator[str]:
    """One clause for each thing wrong with a row."""
    what = f"{kind} {key[:64]!r}"
    if not isinstance(error, ValidationError):
        yield f"{what}: {error}"
        return
    for flaw in error.errors(include_url=False, include_context=False):
        place = ".".join(_printable(str(step))[:40] for step in flaw["loc"])
        if flaw["type"] == "extra_forbidden":
            yield f"{what}: {place} is no field pitbench knows"
        elif flaw["type"] == "missing":
            yield f"{what}: {place} is missing"
        else:
            yield f"{what}: {place} is {repr(flaw['input'])[:40]}, {_right(flaw['msg'])}"


def _printable(text: str) -> str:
    """A name out of a file must not steer the terminal that shows it."""
    return "".join(character if character.isprintable() else "?" for character in text)


def _right(message: str) -> str:
    """pydantic's sentence as a clause of ours: 'Input should be ...' -> 'it should be ...'."""
    message = message.removeprefix("Value error, ").replace("Input should", "it should", 1)
    return message[:1].lower() + message[1:]


def history_problems(tree: Mapping[str, Mapping[str, Row]]) -> Iterator[str]:
    """Undo trusts the list of changes and a merge the versions, so one of another shape is a problem of the file."""
    for key, kept in tree.get("versions", {}).items():
        if kept.get("id") != key or not _is_versions(kept):
            yield f"versions {key[:40]!r}: is no memory of edits as pitbench writes it"
    for key, change in tree.get("changes", {}).items():
        is_number = key.isdecimal() and len(key) <= _DIGITS
        if not (is_number and change.get("id") == key and _is_change(change)):
            yield f"changes {key[:40]!r}: is no change as pitbench writes it"


_DIGITS = 18
"""Of a running number; Python itself reads no number of thousands of digits."""


def _is_change(change: Row) -> bool:
    texts = all(isinstance(change.get(name), str) for name in ("at", "words"))
    before, after, undoes = change.get("before"), change.get("after"), change.get("undoes", "")
    return (
        texts
        and isinstance(undoes, str)
        and all(row is None or (isinstance(row, dict) and _is_versions(row)) for row in _values(change, "versions"))
        and isinstance(before, list)
        and isinstance(after, list)
        and all(_is_part(part, "rows") and all(_has_id(row) for row in part["rows"]) for part in before)
        and all(_is_part(part, "ids") and all(isinstance(one, str) for one in part["ids"]) for part in after)
    )


def _is_versions(row: Row) -> bool:
    also = row.get("also", [])
    return isinstance(also, list) and all(
        isinstance(found, list) and found and all(isinstance(version, str) for version in found)
        for found in [["-", *also], *_values(row, "cells")]
    )


def _values(row: Row, name: str) -> list[Any]:
    """What stands in an object inside a row, nothing where there is none; one of another shape is no good either."""
    inner = row.get(name, {})
    return list(inner.values()) if isinstance(inner, dict) else [0]


def _is_part(part: Any, name: str) -> bool:
    return isinstance(part, dict) and part.get("kind") in KINDS and isinstance(part.get(name), list)


def _has_id(row: Any) -> bool:
    return isinstance(row, dict) and isinstance(row.get("id"), str)


REQUIRED = {kind: [d.field for d in data if d.field and d.in_record] for kind, data in RECORDS.items()}
for _kind in ("bench_run", "track_run"):
    REQUIRED[_kind].append("build_id")


def showable(tree: Mapping[str, Mapping[str, Row]]) -> bool:
    """Whether plain rows may be shown before anybody checked them: a seal vouches, yet anybody can seal a file.

    Lists, `rank` and undo rely on it: every row stands under its own id, what its model requires is there and text or
    number as it should be, and the list of changes has its form. False is no verdict, a whole check says what is wrong.
    """
    try:
        tables = all(_is_table(tree.get(kind, {}), names) for kind, names in REQUIRED.items())
        return tables and not any(history_problems(tree))
    except (AttributeError, KeyError, TypeError):
        return False


def _is_table(table: Mapping[str, Row], names: list[str]) -> bool:
    """A field at a time: of the ways to ask the quickest, and a large file waits for it."""
    return list(map(itemgetter("id"), table.values())) == list(table) and all(
        set(map(type, map(itemgetter(name), table.values()))) <= ({int, float} if name in QUANTITIES else {str})
        for name in names
    )
