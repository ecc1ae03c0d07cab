"""From a file to rows of checked values: which sheet it is, what each cell says, and every fault with its place.

What the header leaves unknown is kept as text. Whether a row fits the logbook, `desk` decides.
"""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pitbench.records.fields import QUANTITIES
from pitbench.records.names import clean_note, clean_text, nearest
from pitbench.records.numbers import example
from pitbench.records.reading import Day
from pitbench.sheets.columns import Column, unguarded
from pitbench.sheets.files import read_text
from pitbench.sheets.grid import Grid, read_grid
from pitbench.sheets.other_words import bench_columns, meant_by
from pitbench.sheets.tables import ID, SHEETS, Sheet, sheet_of, unwritten

LONGEST_ID = 64


@dataclass(frozen=True)
class Fault:
    """Why a file or row is kept out: `why` completes a sentence about `value` in that line and column."""

    line: int
    column: str | None
    value: str | None
    why: str


@dataclass
class SheetRow:
    """One row: a value (or None) for every known column of the header, texts as typed, unknown columns in `extra`.

    `converted` are the columns whose number was written in the other unit.
    """

    line: int
    values: dict[str, Any] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)
    extra: dict[str, str] = field(default_factory=dict)
    id: str | None = None
    converted: set[str] = field(default_factory=set)
    faults: list[Fault] = field(default_factory=list)

    def fault(self, column: str | None, why: str) -> None:
        """Keep this row out."""
        self.faults.append(Fault(self.line, column, self.texts.get(column or ""), why))


@dataclass
class SheetFile:
    """A file as read, `count` its rows. `faults` are those of the whole file: then no row of it can be used."""

    name: str
    sheet: Sheet | None
    count: int = 0
    rows: list[SheetRow] = field(default_factory=list)
    unknown_columns: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def read_sheet(path: Path, day: Day) -> SheetFile:
    """Read one file; raises Refusal when there is no text to read."""
    return read_sheet_text(path.name, read_text(path), day)


def read_sheet_text(file_name: str, text: str, day: Day) -> SheetFile:
    """Read the text of one sheet."""
    grid = read_grid(text)
    folded = [header.casefold() for header in grid.headers]
    sheet = sheet_of(folded)
    found = SheetFile(file_name, sheet, len(grid.rows))
    if grid.broken is not None:
        why = "is no CSV from here on: a quotation mark is not closed, or text stands behind a closed one"
        found.faults.append(Fault(grid.broken, None, None, why))
    if sheet is None:
        found.faults.append(Fault(grid.header_line, None, None, _no_sheet()))
        return found
    readers = _readers(sheet, grid, found)
    if sheet.name == "motors" and ID not in folded and (right := bench_columns(found.unknown_columns)):
        found.faults.append(Fault(grid.header_line, None, None, _in_other_words(right)))
    if not found.faults:
        found.rows = [_read_row(line, cells, readers, day) for line, cells in grid.rows]
    return found


def _no_sheet() -> str:
    *names, last = (sheet.name for sheet in SHEETS)
    *columns, or_this = (sheet.told_by[0] for sheet in SHEETS)
    would = f"a column {', '.join(columns)} or {or_this} would tell one of {', '.join(names)} and {last}"
    return f"the headers are those of no sheet read here, {would}"


def _in_other_words(right: dict[str, str]) -> str:
    """Such a sheet is not taken for one of motors, which would keep its figures as mere text."""
    needed = [] if "taken_at" in right.values() else ["a column taken_at"]
    *columns, last = [*(f"{column} for {header}" for header, column in right.items()), *needed]
    named = f"{', '.join(columns)} and {last}" if columns else last
    return f"the headers say a motor and a figure in other words, {named} would be right"


def _readers(sheet: Sheet, grid: Grid, found: SheetFile) -> list["_Reader"]:
    """One reader a header; faults of the header row go to `found`."""
    by_header = {column.name: (column, "") for column in sheet.columns}
    by_header |= {other[0]: (column, other[1]) for column in sheet.columns if (other := column.other_unit())}
    readers, seen = [], dict[str, str]()
    for header in grid.headers:
        column, unit = by_header.get(header.casefold(), (None, ""))
        meant = column.name if column else header.casefold()
        if meant in seen and meant:
            twice = "stands twice" if header == seen[meant] else f"says the same as {seen[meant]}"
            found.faults.append(Fault(grid.header_line, header, header, f"{twice}, each header once would be right"))
        seen[meant] = header
        if column is None and header and meant != ID:
            found.unknown_columns.append(unwritten(header))
        readers.append(_Reader(header, column, unit))
    for column in sheet.columns:
        if column.required and column.name not in seen:
            why = f"is missing, a {sheet.name} sheet needs a column {column.name}{_hint(column, found)}"
            found.faults.append(Fault(grid.header_line, column.name, None, why))
    return readers


def _hint(column: Column, found: SheetFile) -> str:
    named = (header for header in found.unknown_columns if meant_by(header) == column.name)
    near = next(named, None) or nearest(column.name, found.unknown_columns)
    return f" (is it {near}?)" if near else ""


class _Reader:
    """Reads the cells under one header into a row."""

    def __init__(self, header: str, column: Column | None, unit: str) -> None:
        self.header, self.column, self._unit = header, column, unit
        self._read = column.in_unit(unit) if column and unit else column.read if column else None

    def take(self, row: SheetRow, raw: str, day: Day) -> None:
        cell = clean_text(raw)
        if self.column is None or self._read is None:
            self._keep(row, cell)
            return
        name = self.column.name
        row.values[name] = None
        if not cell:
            if self.column.required:
                row.faults.append(Fault(row.line, self.header, "", f"is empty, {_wanted(self.column)} would be right"))
            return
        row.texts[name] = cell
        if self._unit or cell[-1] in "fF":
            row.converted.add(name)
        try:
            row.values[name] = self._read(cell if self.column.form == "part" else unguarded(cell), day)
        except ValueError as why:
            row.faults.append(Fault(row.line, self.header, cell, str(why)))

    def _keep(self, row: SheetRow, cell: str) -> None:
        """A column without a field: the id, or something of the user's own."""
        if not cell:
            return
        try:
            text = clean_note(unguarded(cell))
        except ValueError as why:
            row.faults.append(Fault(row.line, self.header, cell[:40], str(why)))
            return
        if self.header.casefold() == ID:
            row.id = text
            if len(text) > LONGEST_ID:
                row.faults.append(Fault(row.line, self.header, cell, "is no id, leave the cell empty for a new one"))
        elif self.header:
            row.extra[unwritten(self.header)] = text
        else:
            row.faults.append(Fault(row.line, None, cell, "stands in a column without a header, give it one"))


def _wanted(column: Column) -> str:
    """What a required cell should hold."""
    if column.form == "number":
        return f"a number like {example(QUANTITIES[column.name])}"
    return {"name": "a name", "time": "a time like 2026-04-12 14:02"}.get(column.form, column.form)


def _read_row(line: int, cells: list[str], readers: list[_Reader], day: Day) -> SheetRow:
    row = SheetRow(line)
    if len(cells) > len(readers):
        right = f"{len(readers)} as in the header would be right (a comma inside a text?)"
        why = f"stands beyond the header: this row has {len(cells)} cells, {right}"
        row.faults.append(Fault(line, None, cells[len(readers)], why))
        return row
    for reader, cell in zip(readers, [*cells, *[""] * (len(readers) - len(cells))], strict=True):
        reader.take(row, cell, day)
    return row
