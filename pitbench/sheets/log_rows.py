"""The rows of a load log as numbers, some thousand lines at a time: at most one cell in a hundred is looked at alone.

A line that is no row of the file's shape is told, never dropped. What the numbers mean, `load_log` says.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from datetime import date
from io import TextIOWrapper
from itertools import compress, islice
from typing import TYPE_CHECKING

from pitbench.sheets.log_columns import DATE, TIME, Used
from pitbench.sheets.log_head import CLOCK, DAY, LogHead, cells_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

Reader = Callable[[str], float]

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
    plain = re.compile(rf"[-+0-9.eE \n{re.escape(head.delimiter)},'\":/TZ]*")
    while lines := file.readlines(_AT_A_TIME):
        found = _all_at_once(lines, head, places, readers)
        if found is not None:
            yield found, np.ones(len(found), dtype=bool)
            continue
        lines = [line for line in lines if line.strip("\n\r\t ,;")]
        easy = [line.count(head.delimiter) == head.width - 1 and plain.fullmatch(line) is not None for line in lines]
        good = np.array(easy, dtype=bool)
        numbers = np.full((len(lines), len(places)), np.nan)
        found = _all_at_once(list(compress(lines, easy)), head, places, readers)
        if found is not None:
            numbers[good] = found
        for at in range(len(lines)) if found is None else np.flatnonzero(~good):
            row = _one(lines[at], head, places, readers)
            good[at] = row is not None
            if row is not None:
                numbers[at] = row
        yield numbers, good


def _readers(head: LogHead, columns: Sequence[Used]) -> list[Reader | None]:
    """Of each column what reads its cells, None for plain numbers."""
    return [
        day_s if column.what == DATE else clock_s if column.what == TIME and is_clock(head, column.place) else None
        for column in columns
    ]


def _all_at_once(lines: list[str], head: LogHead, places: list[int], readers: list[Reader | None]) -> "Numbers | None":
    """All lines as numbers, or None where one of them needs a closer look."""
    import numpy as np

    sign = head.delimiter
    if {line.count(sign) for line in lines} != {head.width - 1}:
        return None
    if head.decimal == "." and not head.thousands and not any(readers):
        with suppress(ValueError):  # most logs are read just so
            found = np.loadtxt(lines, delimiter=sign, usecols=places, ndmin=2, comments=None)
            return found if len(found) == len(lines) else None
    lines = _mended(lines, head)
    numbers = [place for place, read in zip(places, readers, strict=True) if read is None]
    found = np.empty((len(lines), len(places)))
    try:
        read_ = np.loadtxt(lines, delimiter=sign, usecols=numbers, ndmin=2, comments=None)
        if len(read_) < len(lines):  # blank lines
            return None
        found[:, [places.index(place) for place in numbers]] = read_
        for at, read in enumerate(readers):
            if read is not None:
                cells = [line.split(sign, places[at] + 1)[places[at]].strip() for line in lines]
                found[:, at] = _clocks(cells) if read is clock_s else _each(cells, day_s)
    except ValueError:
        return None
    return found


def _mended(lines: list[str], head: LogHead) -> list[str]:
    """The lines as numpy reads them: no quotation marks, blank cells as nan, points as decimal sign."""
    sign = head.delimiter
    text = raw = "".join(lines)
    if '"' in text:
        text = text.replace('"', "")
    if sign + sign in text or f"{sign}\n" in text or f"\n{sign}" in text or text[0] == sign:
        text = f"\n{text}".replace(sign + sign, f"{sign}nan{sign}").replace(sign + sign, f"{sign}nan{sign}")
        text = text.replace(f"{sign}\n", f"{sign}nan\n").replace(f"\n{sign}", f"\nnan{sign}")[1:]
    if head.thousands and head.thousands != sign:
        text = text.replace(head.thousands, "")
    if head.decimal == "," != sign:
        text = text.replace(",", ".")
    return lines if text is raw else text.split("\n")[: len(lines)]


def _clocks(cells: list[str]) -> "Numbers":
    """`clock_s` of many cells, at once where all have one shape."""
    import numpy as np

    shape = CLOCK.fullmatch(cells[0])
    width = len(cells[0])
    if shape is None or any(len(cell) != width for cell in cells):
        return np.array([clock_s(cell) for cell in cells])
    codes = np.array(cells, dtype=f"S{width}").view(np.uint8).reshape(len(cells), width)
    is_digit = codes[0] - ord("0") <= 9
    digits = codes - np.uint8(ord("0"))
    if (digits[:, is_digit] > 9).any() or (codes[:, ~is_digit] != codes[0, ~is_digit]).any():
        return np.array([clock_s(cell) for cell in cells])

    def number(group: int) -> "Numbers":
        begin, end = shape.span(group)
        at = [place for place in range(begin, end) if is_digit[place]]
        behind = len(re.split("[.,]", shape.group(group))[1]) if re.search("[.,]", shape.group(group) or "") else 0
        return np.asarray(digits[:, at] @ 10.0 ** np.arange(len(at) - 1 - behind, -1 - behind, -1))

    days = _each([cell[slice(*shape.span(1))] for cell in cells], day_s) if shape.group(1) else 0.0
    return np.asarray(days + 3600 * number(2) + 60 * number(3) + (number(4) if shape.group(4) else 0.0))


def _each(cells: list[str], read: Reader) -> "Numbers":
    """Cells of which most say the same."""
    import numpy as np

    known = {cell: read(cell) for cell in set(cells)}
    return np.array([known[cell] for cell in cells])


def _one(line: str, head: LogHead, places: list[int], readers: list[Reader | None]) -> list[float] | None:
    """The numbers of one row, or None where it is none."""
    cells = cells_of(line, head.delimiter)
    if len(cells) != head.width:
        return None
    try:
        return [number_in(cells[place], head, read) for place, read in zip(places, readers, strict=True)]
    except ValueError:
        return None


def number_in(cell: str, head: LogHead, read: Reader | None = None) -> float:
    """The number of one cell, NaN where it is blank; raises ValueError where it is none."""
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
