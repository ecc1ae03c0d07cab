"""The rows of a load log as numbers, some thousand lines at a time: at most one cell in a hundred is looked at alone.

A line that is no row of the file's shape is told, never dropped. What the numbers mean, `load_log` says.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from io import TextIOWrapper
from itertools import islice
from typing import TYPE_CHECKING, Any

from pitbench.sheets.log_columns import DATE, TIME, Used
from pitbench.sheets.log_head import CLOCK, DAY, LogHead, cells_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

_AT_A_TIME = 1 << 18
_BLANK = frozenset({"", "-", "--", "nan", "na", "n/a", "null", "none", "?"})
_WITH_UNIT = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*[A-Za-z°%ΩµΩ/]{1,5}")
DAY_S = 86_400.0
EARLIEST_DAY_S = DAY_S * date(1970, 1, 1).toordinal()


def clock_s(text: str) -> float:
    """A time of day, with its date or without, in s: since midnight, or since the first day there is.

    >>> clock_s("14:02:03.5"), clock_s("2026-05-17 00:00:01") % DAY_S
    (50523.5, 1.0)
    """
    found = CLOCK.fullmatch(text.strip().strip('"'))
    if found is None:
        raise ValueError(f"{text!r} is no time of day")
    day, hours, minutes, seconds = found.groups()
    if seconds is None:  # 12:34.5 would have been seen as a number; 12:34 is minutes and seconds only in no log we know
        seconds = "0"
    at = 3600 * int(hours) + 60 * int(minutes) + float(seconds.replace(",", "."))
    return at + (day_s(day) if day else 0.0)


def day_s(text: str) -> float:
    """A day in s since the first day there is; of two ways to read it the day comes first."""
    parts = [int(part) for part in re.split(r"[-./]", text.strip().strip('"'))]
    if not DAY.fullmatch(text.strip().strip('"')):
        raise ValueError(f"{text!r} is no day")
    year, month, day = parts if parts[0] > 31 else (parts[2] + (2000 if parts[2] < 100 else 0), parts[1], parts[0])
    if month > 12:
        month, day = day, month
    return DAY_S * date(year, month, day).toordinal()


def is_clock(head: LogHead, place: int) -> bool:
    """Whether a column holds times of day."""
    cells = [row[place] for row in head.sample[:20] if row[place]]
    return bool(cells) and all(":" in cell and CLOCK.fullmatch(cell) for cell in cells)


def blocks(
    file: TextIOWrapper, head: LogHead, columns: Sequence[Used]
) -> "Iterator[tuple[Numbers, NDArray[np.bool_]]]":
    """Block by block the numbers [rows, columns] as written, NaN where a cell is blank, and whether each row could be
    read; blank lines are no rows."""
    import numpy as np

    readers = _readers(head, columns)
    for _ in islice(iter(lambda: file.readline(_AT_A_TIME), ""), head.skipped):
        pass
    places = [column.place for column in columns]
    while lines := file.readlines(_AT_A_TIME):
        found = _all_at_once(lines, head, places, readers)
        if found is not None:
            yield found, np.ones(len(found), dtype=bool)
            continue
        rows = [_one(line, head, places, readers) for line in lines if line.strip("\n\r\t ,;")]
        good = np.array([row is not None for row in rows], dtype=bool)
        blank = [float("nan")] * len(places)
        yield np.array([row or blank for row in rows], dtype=float).reshape(len(rows), len(places)), good


def _readers(head: LogHead, columns: Sequence[Used]) -> list[Callable[[str], float] | None]:
    """Of each column what reads its cells, None for plain numbers."""
    return [
        day_s if column.what == DATE else clock_s if column.what == TIME and is_clock(head, column.place) else None
        for column in columns
    ]


def _all_at_once(
    lines: list[str], head: LogHead, places: list[int], readers: list[Callable[[str], float] | None]
) -> "Numbers | None":
    """All lines as numbers, or None where one of them needs a closer look."""
    import numpy as np

    separators = head.width - 1
    if any(line.count(head.delimiter) != separators or '"' in line for line in lines):
        return None
    special: dict[int | str, Callable[[str], Any]] = {
        place: read for place, read in zip(places, readers, strict=True) if read is not None
    }
    if head.thousands and head.thousands != head.delimiter:
        lines = [line.replace(head.thousands, "") for line in lines]
    if head.decimal == "," != head.delimiter:
        lines = [line.replace(",", ".") for line in lines]
    try:
        found = np.loadtxt(
            lines, delimiter=head.delimiter, usecols=places, ndmin=2, comments=None, converters=special or None
        )
    except ValueError:
        return None
    return found if len(found) == len(lines) else None


def _one(
    line: str, head: LogHead, places: list[int], readers: list[Callable[[str], float] | None]
) -> list[float] | None:
    """The numbers of one row, or None where it is none."""
    cells = cells_of(line, head.delimiter)
    if len(cells) != head.width:
        return None
    try:
        return [_number(cells[place], head, read) for place, read in zip(places, readers, strict=True)]
    except ValueError:
        return None


def _number(cell: str, head: LogHead, read: Callable[[str], float] | None) -> float:
    cell = cell.strip()
    if cell.casefold() in _BLANK:
        return float("nan")
    if read is not None:
        return read(cell)
    if head.thousands:
        cell = cell.replace(head.thousands, "")
    if head.decimal == ",":
        cell = cell.replace(",", ".")
    try:
        if "_" not in cell:
            return float(cell)
    except ValueError:
        pass
    found = _WITH_UNIT.fullmatch(cell.replace("'", "").replace(" ", "", cell.count(" ") - 1))
    if found is None:
        raise ValueError(f"{cell!r} is no number")
    return float(found.group(1))
