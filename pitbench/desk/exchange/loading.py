"""Sheets into the logbook: which file is what, each one whole or not at all, and one save for all of them.

Reading cells is the business of `sheets`; what a row does to the logbook stands in `loading_rows`, `loading_runs` and
`loading_setup`.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from dataclasses import replace as replaced
from pathlib import Path

from pitbench.desk.answers import LoadAnswer, LoadedFile, Suspect
from pitbench.desk.event_names import dated_name
from pitbench.desk.exchange.loading_bench import BenchTaker
from pitbench.desk.exchange.loading_book import Book
from pitbench.desk.exchange.loading_rows import Doubt, Taken, take_build, take_class, take_motor
from pitbench.desk.exchange.loading_runs import RunTaker
from pitbench.desk.exchange.loading_setup import take_event, take_gear, take_setup
from pitbench.desk.exchange.loading_track import CoolingTaker, TrackTaker
from pitbench.records.frame import flaw_of
from pitbench.records.kinds import Row
from pitbench.records.reading import Day
from pitbench.records.stamps import time_key
from pitbench.sheets.reading import Fault, SheetFile, SheetRow, read_sheet
from pitbench.sheets.tables import SHEETS, Sheet
from pitbench.store.logbook import Logbook

Taker = Callable[[Book, Sheet, SheetRow, bool], Taken | None]

TAKERS: dict[str, Taker] = {
    "classes": take_class,
    "motors": take_motor,
    "builds": take_build,
    "events": take_event,
    "setup": take_setup,
    "gears": take_gear,
}
KNOWING_TAKERS: dict[str, Callable[[Book, list[SheetRow]], Taker]] = {
    "bench": BenchTaker,
    "track": TrackTaker,
    "cooling": CoolingTaker,
}
"""Those that must know the rows of the file, or much of the logbook, before the first row."""
ORDERED_BY = {"builds": "since", "events": "date", "bench": "taken_at", "track": "started_at"}


@dataclass
class FileReport:
    """What became of one file: outcomes counted, rows that differ by line, what is doubtful and what is wrong."""

    file: SheetFile
    stored: bool = True
    counts: Counter[str] = field(default_factory=Counter)
    differs: list[int] = field(default_factory=list)
    doubts: list[tuple[SheetRow, Doubt]] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


@dataclass
class Loaded:
    """A load with all that can be said of it; `answer` is what other programs read."""

    reports: list[FileReport]
    added: dict[str, list[str]]
    """Names of what rows have added by naming it, by kind of record."""

    @property
    def answer(self) -> LoadAnswer:
        """The answer of `load`."""
        suspects = [
            Suspect(
                file=report.file.name,
                line=row.line,
                column=doubt.column,
                value=row.texts[doubt.column],
                chance=doubt.chance,
                likely_cause=doubt.cause,
                suggested=doubt.suggested,
            )
            for report in self.reports
            for row, doubt in report.doubts
        ]
        return LoadAnswer([_loaded_file(report) for report in self.reports], self.added["motor"], suspects)


def read_files(paths: Sequence[Path], day: Day) -> list[SheetFile]:
    """Read every file before anything is done with any."""
    return [read_sheet(path, day) for path in paths]


def load_files(
    logbook: Logbook,
    files: Sequence[SheetFile],
    *,
    check: bool = False,
    replace: bool = False,
    good_rows: bool = False,
) -> Loaded:
    """Load files that are read already, in the order of the sheets; reports come in the order of the files."""
    book = Book(logbook.snapshot())
    reports: dict[int, FileReport] = {}
    for place in sorted(range(len(files)), key=lambda place: _turn(files[place])):
        file = files[place]
        trial = book.copy(file.sheet.record if file.sheet else "", (row.id for row in file.rows if row.id))
        report = _take_file(trial, file, replace)
        report.stored = not file.faults and (good_rows or not report.faults)
        reports[place] = report
        if report.stored:
            trial.house_runs(book)
            book = trial
    if not check and book.records():
        logbook.save(_words(files, reports), book.records())
    added = {kind: [_named(kind, row) for row in rows] for kind, rows in book.added.items()}
    return Loaded([reports[place] for place in range(len(files))], added)


def _named(kind: str, row: Row) -> str:
    return dated_name(row) if kind == "event" else str(row["name"])


def _turn(file: SheetFile) -> int:
    return SHEETS.index(file.sheet) if file.sheet else len(SHEETS)


def _words(files: Sequence[SheetFile], reports: dict[int, FileReport]) -> str:
    """What undo calls it."""
    names = [file.name for place, file in enumerate(files) if reports[place].stored]
    return f"load of {names[0]}" if len(names) == 1 else f"load of {len(names)} sheets"


def _take_file(book: Book, file: SheetFile, replace: bool) -> FileReport:
    report = FileReport(file, faults=list(file.faults))
    if file.sheet is None or file.faults:
        return report
    _check_ids(file.rows)
    name = file.sheet.name
    take = KNOWING_TAKERS[name](book, file.rows) if name in KNOWING_TAKERS else TAKERS[name]
    for row in _in_order(file.sheet, file.rows):
        taken = _taken(take, book, file.sheet, row, replace)
        if taken is not None:
            _note(report, row, taken)
    for row, doubts in take.settle() if isinstance(take, RunTaker) else ():
        _note_waiting(report, row, doubts)
    report.differs.sort()
    report.doubts.sort(key=lambda found: found[0].line)
    report.faults += [fault for row in file.rows for fault in row.faults]
    return report


def _taken(take: Taker, book: Book, sheet: Sheet, row: SheetRow, replace: bool) -> Taken | None:
    """What became of a row; what a model refuses in the end is a fault of the row like any other."""
    try:
        return take(book, sheet, row, replace)
    except ValueError as error:
        row.fault(*flaw_of(error))
        return None


def _note(report: FileReport, row: SheetRow, taken: Taken) -> None:
    report.counts[taken.outcome] += 1
    report.doubts += [(row, doubt) for doubt in taken.doubts if doubt.column in row.texts]
    if taken.outcome == "differs":
        report.differs.append(row.line)


def _note_waiting(report: FileReport, row: SheetRow, waiting: list[Doubt]) -> None:
    """What waits is doubted once, in the words of the rule that saw it first."""
    columns = {doubt.column for doubt in waiting if doubt.column in row.texts}
    known = {doubt.column for of, doubt in report.doubts if of is row}
    report.doubts = [
        (of, replaced(doubt, waits=True) if of is row and doubt.column in columns else doubt)
        for of, doubt in report.doubts
    ] + [(row, doubt) for doubt in waiting if doubt.column in columns - known]


def _in_order(sheet: Sheet, rows: list[SheetRow]) -> list[SheetRow]:
    """Rows in order of time where they have one, else as they stand."""
    column = ORDERED_BY.get(sheet.name)
    return sorted(rows, key=lambda row: time_key(row.values.get(column) or "")) if column else rows


def _check_ids(rows: list[SheetRow]) -> None:
    """An id is one record's."""
    lines: dict[str, int] = {}
    for row in rows:
        if row.id is None:
            continue
        if row.id in lines:
            row.faults.append(
                Fault(row.line, "id", row.id, f"stands on line {lines[row.id]} too, each once would be right")
            )
        lines.setdefault(row.id, row.line)


def _loaded_file(report: FileReport) -> LoadedFile:
    counts = report.counts if report.stored else Counter[str]()
    return LoadedFile(
        file=report.file.name,
        sheet=report.file.sheet.name if report.file.sheet else None,
        rows=report.file.count,
        added=counts["added"],
        same=counts["same"],
        differs=counts["differs"],
        replaced=counts["replaced"],
        unknown_columns=report.file.unknown_columns,
        problems=report.faults,
    )
