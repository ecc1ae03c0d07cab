"""What a row of events, setup or gears does to the logbook. One function a sheet, all of the shape of `loading_rows`.

`take_unnamed` is how a record without a name of its own goes in; cooling readings come here too.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from dataclasses import replace as changed
from typing import Any

from pitbench.desk.answered import MAY_WAIT
from pitbench.desk.entry.suspects import RunSuspect, unlikely
from pitbench.desk.entry.suspects_waiting import with_waiting
from pitbench.desk.event_names import same_event
from pitbench.desk.exchange.keys import key_of
from pitbench.desk.exchange.loading_book import Book, decide, is_same, is_undone, merged
from pitbench.desk.exchange.loading_links import Links, links_of
from pitbench.desk.exchange.loading_rows import (
    Taken,
    base_of,
    columns_of,
    doubts_of,
    found_row,
    stored_values,
    take_named,
)
from pitbench.desk.exchange.loading_waits import marks_of
from pitbench.desk.gears import module_of_dp
from pitbench.records.kinds import Row
from pitbench.sheets.reading import SheetRow
from pitbench.sheets.tables import Sheet

SAME_PITCH = 0.01
"""A module and a diametral pitch that differ by less say the same, rounded. Ours."""


@dataclass(frozen=True)
class Unnamed:
    """What a row says of a record that bears no name: its links, and values of other names."""

    kind: str
    links: Links
    said: Mapping[str, Any]
    suspects: Callable[[Row], Sequence[RunSuspect]] = unlikely


def take_unnamed(book: Book, sheet: Sheet, row: SheetRow, replace: bool, unnamed: Unnamed) -> Taken | None:
    """One record known by what it says."""
    said = {**stored_values(sheet, row), **unnamed.said}
    found, same = found_row(
        book, unnamed.kind, row, key_of(unnamed.kind, said), lambda record: is_same(record, said, row.extra)
    )
    outcome = decide(found, same, replace)
    if outcome in {"same", "differs"}:
        return Taken(outcome)
    if not unnamed.links.write(book, row):
        return None
    base = base_of(found, row)
    record = {name: value for name, value in merged(base, said, row.extra).items() if value is not None}
    suspects = unnamed.suspects(record)
    if unnamed.kind not in MAY_WAIT:
        book.put(unnamed.kind, {**record, "kept": columns_of(suspects)})
        return Taken(outcome, doubts_of(suspects, row))
    marks = marks_of(record, said, base)
    book.put(unnamed.kind, {**record, **marks.row})
    suspects = with_waiting(suspects, record, marks.waits)
    return Taken(outcome, doubts_of(suspects, row))


def take_setup(book: Book, sheet: Sheet, row: SheetRow, replace: bool) -> Taken | None:
    """A setup entry, known by its time, its motor and what was changed."""
    links = links_of(book, row, row.values.get("written_at"))
    if row.faults:
        return None
    return take_unnamed(book, sheet, row, replace, Unnamed("setup_entry", links, links.fields))


def take_gear(book: Book, sheet: Sheet, row: SheetRow, replace: bool) -> Taken | None:
    """A gear, known by kind, teeth and pitch."""
    module = _module(row)
    if row.faults or module is None:
        return None
    taken = take_unnamed(book, sheet, row, replace, Unnamed("gear", Links(), {"module": module}))
    if taken is not None and "module" not in row.texts:
        taken.doubts = [changed(d, column="dp") if d.column == "module" else d for d in taken.doubts]
    return taken


def _module(row: SheetRow) -> float | None:
    """The module, written as one or as a diametral pitch."""
    module, dp = row.values.get("module"), row.values.get("dp")
    if dp is None:
        if module is None and not row.faults:
            row.fault(None, "says no pitch, module or dp would be right")
        return module
    from_dp = module_of_dp(dp)
    if module is not None and abs(module - from_dp) > SAME_PITCH * from_dp:
        row.fault("module", f"is not the pitch that dp {row.texts['dp']} is, one of the two would be right")
    return from_dp


def take_event(book: Book, sheet: Sheet, row: SheetRow, replace: bool) -> Taken | None:
    """An event, known by its name and first date, at most two days off."""
    found = _event(book, row)
    if row.faults:
        return None
    by_name = found is not None and found["id"] != row.id and not is_undone(found)
    name = found["name"] if found is not None and by_name else row.values["event"]
    return take_named(book, "event", found, {"name": name}, sheet, row, replace)


def _event(book: Book, row: SheetRow) -> Row | None:
    """The event a row means; an id comes before name and date."""
    name, date = row.values.get("event"), row.values.get("date")
    if not name or not date:
        return None
    live, by_id = same_event(name, date, book.rows("event")), book.by_id("event", row.id)
    if by_id is None:
        found = live or same_event(name, date, book.binned("event"))
        return None if found and row.id and book.is_of_this_file(found) else found
    moved = key_of("event", {"name": name, "date": date}) != key_of("event", by_id)
    if moved and live is not None and live["id"] != by_id["id"]:
        row.fault("event", "is another event's name within two days of this date, one of its own would be right")
    return by_id
