"""What bench runs and track runs share on their way in: motor, time and place, and the build they were made on.

Rows are taken in order of time, so that a part fitted at two is in the motor at three, however the file is sorted.
What is a bench run's own stands in `loading_bench`, a track run's in `loading_track`.
"""

from collections import Counter
from collections.abc import Iterable

from pitbench.desk.exchange.keys import key_of, when
from pitbench.desk.exchange.loading_book import Book, decide, is_same, merged
from pitbench.desk.exchange.loading_links import Links
from pitbench.desk.exchange.loading_rows import (
    Doubt,
    Taken,
    base_of,
    doubts_of,
    found_row,
    part_names,
    stored_values,
)
from pitbench.desk.exchange.loading_waits import WaitingRuns, marks_of, typed_row
from pitbench.desk.workshop import PartNames, named_kinds
from pitbench.records.kinds import Row
from pitbench.records.names import name_key
from pitbench.records.stamps import time_key
from pitbench.sheets.reading import SheetRow
from pitbench.sheets.tables import Sheet


class RunTaker:
    """Takes the rows of one sheet of runs. Knows the place of each among equal times."""

    kind: str
    at: str
    """The kind of record a row is, and the column that says when it was made."""

    def __init__(self, book: Book, rows: Iterable[SheetRow]) -> None:
        self._places = _places(rows, self.at)
        self._waiting = WaitingRuns(book, self.kind)
        self._rows: dict[str, SheetRow] = {}

    def __call__(self, book: Book, sheet: Sheet, row: SheetRow, replace: bool) -> Taken | None:
        """One run, known by motor, time and place among equal times."""
        self.check(row)
        links = self.links(book, row)
        if row.faults:
            return None
        said = {**stored_values(sheet, row), **links.fields}
        found, same = found_row(
            book,
            self.kind,
            row,
            key_of(self.kind, {**said, "place": self._places.get(row.line, 0)}),
            lambda run: is_same(run, said, row.extra) and self._same_build(book, row, run),
        )
        outcome = decide(found, same, replace)
        if outcome in {"same", "differs"}:
            return Taken(outcome)
        if not links.write(book, row):
            return None
        return self._write(book, row, said, found, Taken(outcome))

    def settle(self) -> list[tuple[SheetRow, list[Doubt]]]:
        """Once all rows are taken: write down which numbers wait, and tell them by their row."""
        found = self._waiting.settle({run_id: typed_row(row) for run_id, row in self._rows.items()}).items()
        return [(self._rows[run_id], doubts_of(suspects, self._rows[run_id])) for run_id, suspects in found]

    def check(self, row: SheetRow) -> None:
        """What a row needs besides its required cells."""

    def links(self, book: Book, row: SheetRow) -> Links:
        """What a row names besides itself."""
        raise NotImplementedError

    def _write(self, book: Book, row: SheetRow, said: Row, found: Row | None, taken: Taken) -> Taken:
        motor = book.by_id("motor", said["motor_id"])
        assert motor is not None
        parts, fitted = part_names(row), bool(row.values.get("fitted"))
        build = book.workshop.tested(motor, said[self.at], parts, fitted)
        named = named_kinds(parts)
        base = base_of(found, row)
        run = merged(base, said, row.extra)
        run |= {"build_id": build["id"], "place": self._place(book, row, said, found)}
        run["parts_named"] = (*named, "fitted") if named and fitted else named
        run = {name: value for name, value in run.items() if value is not None}
        marks = marks_of(run, said, base)
        stored = book.put(self.kind, {**run, **marks.row})
        self._waiting.wrote(stored, marks)
        self._rows[stored["id"]] = row
        return taken

    def _place(self, book: Book, row: SheetRow, said: Row, found: Row | None) -> int:
        """The place in the file, or the next one free when another run has it."""
        place = self._places.get(row.line, 0)
        if found is not None and found["motor_id"] == said["motor_id"] and when(found)[0] == when(said)[0]:
            return int(found.get("place", 0))
        while book.by_key(self.kind, key_of(self.kind, {**said, "place": place})) is not None:
            place += 1
        return place

    def _same_build(self, book: Book, row: SheetRow, run: Row) -> bool:
        """Whether a run stands on the build the row says: the parts named, or without any the one in force."""
        parts: PartNames = part_names(row)
        made_on = book.workshop.build(run["build_id"])
        if made_on is None:
            return False
        if any(name is not None for name in parts.values()):
            fitted = not row.values.get("fitted") or bool(made_on.get("fitted", True))
            return fitted and book.workshop.is_built(made_on, parts)
        in_force = book.workshop.history.in_force(run["motor_id"], row.values[self.at])
        return not parts or in_force is None or book.workshop.is_built(made_on, book.workshop.names(in_force))


def _places(rows: Iterable[SheetRow], at: str) -> dict[int, int]:
    """Place of every row, by its line, among rows of the same motor and time."""
    seen: Counter[tuple[str, str]] = Counter()
    places = {}
    for row in rows:
        motor, made = row.values.get("motor"), row.values.get(at)
        if motor and made:
            key = (name_key(motor), time_key(made))
            places[row.line] = seen[key]
            seen[key] += 1
    return places
