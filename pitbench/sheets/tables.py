"""The sheets as data: which records stand in which, and by which columns one is told from another.

Their columns come from the table of fields. What a record of a row does to the logbook, `desk` decides.
"""

import re
from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property

from pitbench.records.fields import BENCH_FIGURES, RECORDS
from pitbench.sheets.columns import Column, guarded, unguarded

ID = "id"


@dataclass(frozen=True)
class Sheet:
    """`record` is the kind of record a row is; a header with one of the columns `told_by` is this sheet, the first of
    them being the plainest."""

    name: str
    record: str
    rows_are: str
    told_by: tuple[str, ...]

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """Its columns, in their order."""
        return tuple(Column(datum) for datum in RECORDS[self.record] if datum.on_sheet)

    @cached_property
    def stored(self) -> tuple[str, ...]:
        """Names of the columns whose value the record has under that name: asked for every row."""
        return tuple(column.name for column in self.columns if column.stored)

    def column(self, column_name: str) -> Column:
        """The column of this name."""
        return next(column for column in self.columns if column.name == column_name)


_FIGURES = (figure for figure in BENCH_FIGURES if figure != "resistance_mohm")
# In the order in which several files are stored.
SHEETS = (
    Sheet("classes", "class_sheet", "class", ("class",)),
    Sheet("motors", "motor", "motor", ("motor",)),
    Sheet("builds", "build", "build", ("since",)),
    Sheet("events", "event", "event", ("event",)),
    Sheet("bench", "bench_run", "bench run", ("taken_at", *_FIGURES)),
    Sheet("track", "track_run", "track run", ("started_at", "lap_times_s", "laps", "finish_reading_c")),
    Sheet("cooling", "cooling", "cooling reading", ("after_s", "temp_c")),
    Sheet("setup", "setup_entry", "setup entry", ("written_at", "what")),
    Sheet("gears", "gear", "gear", ("teeth",)),
)

_MOST_TO_TELL = ("bench", "gears", "setup", "cooling", "track", "builds", "motors", "events", "classes")


def sheet_of(headers: Collection[str]) -> Sheet | None:
    """The sheet a header row tells, the one with most to tell first. A load log is none, whatever it has measured."""
    if "time_s" in headers and "motor" not in headers:
        return None
    by_name = {sheet.name: sheet for sheet in SHEETS}
    asked = (by_name[sheet_name] for sheet_name in _MOST_TO_TELL)
    return next((sheet for sheet in asked if set(sheet.told_by) & set(headers)), None)


KNOWN_HEADERS = frozenset(
    header
    for sheet in SHEETS
    for column in sheet.columns
    for header in (column.name, (column.other_unit() or (ID,))[0])
)


_OURS = re.compile(rf"'*({'|'.join(sorted(KNOWN_HEADERS | {'time_s'}))})$", re.IGNORECASE)


def written(header: str) -> str:
    """The header as export writes it.

    >>> [written(header) for header in ("Humidity", "Teeth", "'id", "=A1")]
    ['Humidity', "'Teeth", "''id", "'=A1"]
    """
    return f"'{header}" if _OURS.match(header) else guarded(header)


def unwritten(header: str) -> str:
    """The header as it was before `written`."""
    return header[1:] if header.startswith("'") and _OURS.match(header) else unguarded(header)
