"""What a row of classes, motors or builds does to the logbook: is it new, the same again, different, what it brings.

One function a sheet, all of one shape; `loading_runs` has that of runs, `loading_setup` that of what surrounds them.
A row with a fault changes nothing.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from pitbench.desk.entry.suspects import RunSuspect, not_in_fahrenheit, unlikely
from pitbench.desk.entry.suspects_waiting import with_waiting
from pitbench.desk.exchange.keys import Key
from pitbench.desk.exchange.loading_book import Book, Outcome, decide, is_live, is_same, is_undone, merged, says_nothing
from pitbench.desk.exchange.loading_waits import marks_of
from pitbench.desk.workshop import PartNames
from pitbench.records.fields import PART_KINDS
from pitbench.records.kinds import Row
from pitbench.records.names import nearest
from pitbench.sheets.reading import SheetRow
from pitbench.sheets.tables import Sheet

IN_THE_BIN = "lies in the bin, bring it back there first"


@dataclass(frozen=True)
class Doubt:
    """Something unlikely in one cell, stored as typed: the chance that it was mistyped, the cause, what was meant.

    waits: whether the number is in no figure until somebody has answered for it.
    """

    column: str
    sentence: str
    cause: str | None = None
    suggested: float | None = None
    chance: float | None = None
    waits: bool = False


@dataclass
class Taken:
    """What became of one row, and what is doubtful in it."""

    outcome: Outcome
    doubts: list[Doubt] = field(default_factory=list)


def take_class(book: Book, sheet: Sheet, row: SheetRow, replace: bool) -> Taken | None:
    """A class sheet, known by its name."""
    found, name = _named(book, "class_sheet", "class", row)
    return None if row.faults else take_named(book, "class_sheet", found, {"name": name}, sheet, row, replace)


def take_named(
    book: Book, kind: str, found: Row | None, said: Row, sheet: Sheet, row: SheetRow, replace: bool
) -> Taken:
    """One record that bears a name, put over what was only named so far; `found`: what the row means."""
    fields = {**said, **stored_values(sheet, row)}
    same = found is not None and is_same(found, fields, row.extra)
    outcome = decide(found, same, replace, found is None or not says_nothing(found))
    if outcome in {"same", "differs"}:
        return Taken(outcome)
    suspects = unlikely(fields)
    book.put(kind, {**merged(base_of(found, row), fields, row.extra), "kept": columns_of(suspects)})
    return Taken(outcome, doubts_of(suspects, row))


def take_motor(book: Book, sheet: Sheet, row: SheetRow, replace: bool) -> Taken | None:
    """A motor, known by its name; its class is added on need, its parts are its first build."""
    found, name = _named(book, "motor", "motor", row)
    class_row = _class_of(book, row)
    if row.faults:
        return None
    parts, fields = part_names(row), {"name": name, **stored_values(sheet, row)}
    if "class" in row.values:
        fields["class_id"] = class_row["id"] if class_row else None
    same = found is not None and is_same(found, fields, row.extra)
    if found is not None and is_live(found):
        same = same and book.workshop.began_with(found, parts)
    described = found is None or not (says_nothing(found) and book.workshop.own_parts_only(found))
    outcome = decide(found, same, replace, described)
    if outcome in {"same", "differs"}:
        return Taken(outcome)
    if class_row and not book.is_written("class_sheet", class_row):
        book.put("class_sheet", class_row)
    base, suspects = base_of(found, row), unlikely(fields)
    record = merged(base, fields, row.extra)
    marks = marks_of(record, fields, base)
    motor = book.put("motor", {**record, **marks.row})
    suspects = with_waiting(suspects, fields, [name for name in marks.waits if fields.get(name) is not None])
    build = book.workshop.describe(motor, parts)
    return Taken(outcome, [*doubts_of(suspects, row), *_shared_parts(book, build, parts)])


def take_build(book: Book, sheet: Sheet, row: SheetRow, replace: bool) -> Taken | None:
    """A build, known by motor and since; parts not named stay as they were."""
    motor = known_motor(book, row)
    if motor is not None and not is_live(motor):
        row.fault("motor", IN_THE_BIN)
    if row.faults or motor is None:
        return None
    parts, fields, workshop = part_names(row), stored_values(sheet, row), book.workshop
    found = workshop.build(row.id) or workshop.build_since(motor["id"], row.values["since"])
    same = found is not None and is_same(found, {**fields, "motor_id": motor["id"]}, row.extra)
    outcome = decide(found, same and found is not None and workshop.is_built(found, parts), replace)
    if outcome in {"same", "differs"}:
        return Taken(outcome)
    more = merged({"extra": base_of(found, row).get("extra", {})}, fields, row.extra)
    if outcome == "replaced" and found is not None:
        build = workshop.refit(found, parts, **more, motor_id=motor["id"])
    else:
        more |= {"id": row.id} if row.id else {}
        build = workshop.fit(motor, more.pop("since"), parts, **more)
    return Taken(outcome, _shared_parts(book, build, parts))


def stored_values(sheet: Sheet, row: SheetRow) -> dict[str, Any]:
    """The values that a record keeps under the column's own name."""
    return {name: row.values[name] for name in sheet.stored if name in row.values}


def part_names(row: SheetRow) -> PartNames:
    """The part columns of a row: a name, a gap, or None for a blank cell."""
    return {kind: row.values[kind] for kind in PART_KINDS if kind in row.values}


def base_of(found: Row | None, row: SheetRow) -> Row:
    """What a row is written over: of what an undo took away only the id comes back."""
    if found is not None:
        return {"id": found["id"]} if is_undone(found) else found
    return {"id": row.id} if row.id else {}


def found_row(book: Book, kind: str, row: SheetRow, key: Key, is_it: Callable[[Row], bool]) -> tuple[Row | None, bool]:
    """What a row without a name means and whether it `is_it` already.

    An id nobody knows is another record, unless all else is the same as in one that no other row of this file is.
    """
    by_id = book.by_id(kind, row.id)
    found = by_id or book.by_key(kind, key)
    same = found is not None and is_it(found)
    if found is None or by_id or not row.id:
        return found, same
    return (found, True) if same and not book.is_of_this_file(found) else (None, False)


def columns_of(suspects: Iterable[RunSuspect]) -> tuple[str, ...]:
    """What a record keeps of its suspects."""
    return tuple(suspect.column for suspect in suspects)


def doubts_of(suspects: Iterable[RunSuspect], row: SheetRow) -> list[Doubt]:
    """Suspects as `load` tells them."""
    return [
        Doubt(s.column, s.sentence, s.cause, s.suggested, s.chance, s.waits)
        for s in not_in_fahrenheit(suspects, row.converted)
    ]


def in_the_bin(book: Book, kind: str, name: str | None) -> bool:
    """Whether this name was deleted in the app: what was deleted stays so."""
    found = book.named(kind, name) if name else None
    return found is not None and not is_live(found) and not is_undone(found)


def _named(book: Book, kind: str, column: str, row: SheetRow) -> tuple[Row | None, str | None]:
    """The record a row names, and the name it is to bear: as first typed, unless an id says that it is renamed."""
    name = row.values.get(column)
    by_id, by_name = book.by_id(kind, row.id), book.named(kind, name) if name else None
    if by_id is None:
        return by_name, by_name["name"] if by_name and not is_undone(by_name) else name
    if by_name is not None and by_name["id"] != by_id["id"] and is_live(by_name):
        row.fault(column, f"is the name of another {column} already, one of its own would be right")
    return by_id, name


def _class_of(book: Book, row: SheetRow) -> Row | None:
    name = row.values.get("class")
    if in_the_bin(book, "class_sheet", name):
        row.fault("class", "lies in the bin, bring it back there or name another class")
    return book.named_or_new("class_sheet", name) if name else None


def known_motor(book: Book, row: SheetRow) -> Row | None:
    """A motor that must be there already, if only in the bin."""
    name = row.values.get("motor")
    found = book.named("motor", name) if name else None
    if found is not None and not is_undone(found):
        return found
    if name:
        near = nearest(name, book.names("motor"))
        right = f"{near} would be" if near else "motors.csv or bench.csv adds one"
        row.fault("motor", f"is no motor of this logbook, {right}")
    return None


def _shared_parts(book: Book, build: Row, named: PartNames) -> list[Doubt]:
    """Parts that another motor has from the same time on: a part is in one motor at a time."""
    owners = {row["id"]: row["name"] for row in book.rows("motor")} if book.workshop.history.sharers(build) else {}
    names = book.workshop.names(build)
    return [
        Doubt(
            kind,
            f"{kind.replace('_', ' ').capitalize()} {names[kind]}: {owners[motor_id]} has it from the same time on.",
        )
        for kind, motor_id in book.workshop.history.sharers(build)
        if named.get(kind) and motor_id in owners
    ]
