"""What the numbers under the headers of a load log look like, and what they likely are where no header says it.

Rows from all over the file are looked at, since at its beginning a car stands. What is likely here is only offered; the
user decides once for files with the same headers.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite
from pathlib import Path

from pitbench.sheets.files import reading
from pitbench.sheets.log_columns import COLUMNS, CURRENT, DATE, RPM, TIME, VOLTAGE, suggested
from pitbench.sheets.log_head import DAY, WANTED, LogHead, cells_of
from pitbench.sheets.log_rows import number_in

_PLACES, _ROWS = 40, 6
_LONGEST = 1 << 14


@dataclass(frozen=True)
class Seen:
    """The numbers seen under one header: lowest and highest, but for the fortieth part at either end, which may be
    rubbish, and whether they rise all through the file; None where there are none. first: its first cell as written."""

    first: str
    low: float | None = None
    high: float | None = None
    rises: bool = False


def seen(path: Path, head: LogHead) -> list[Seen]:
    """What stands under each header. Raises Refusal."""
    rows = [*head.sample, *_from_all_over(path, head)]
    return [_seen([row[place] for row in rows], head) for place in range(len(head.headers))]


def _from_all_over(path: Path, head: LogHead) -> list[list[str]]:
    """Some rows at many places of the file, in order."""
    found = []
    with reading(path, WANTED, "load log"), path.open("rb") as file:
        size = path.stat().st_size
        for place in range(_PLACES):
            file.seek(size * place // _PLACES)
            file.readline(_LONGEST)  # the rest of a row, or a line above the first
            lines = [file.readline(_LONGEST).decode("utf-8", errors="replace") for _ in range(_ROWS)]
            found += [[cell.strip() for cell in cells_of(line.strip("\r\n"), head.delimiter)] for line in lines]
    return [row for row in found if len(row) == head.width and row[0] != head.headers[0]]


def _seen(cells: list[str], head: LogHead) -> Seen:
    numbers = [number for cell in cells if (number := _number(cell, head)) is not None]
    first = next((cell for cell in cells if cell), "")
    if not numbers:
        return Seen(first)
    steps = [after - before for before, after in pairwise(numbers)]
    rising = sum(step > 0 for step in steps) >= 0.8 * len(steps) > 0
    in_order, rubbish = sorted(numbers), len(numbers) // 40
    return Seen(first, in_order[rubbish], in_order[-1 - rubbish], rising and numbers[-1] > numbers[0])


def _number(cell: str, head: LogHead) -> float | None:
    try:
        number = number_in(cell, head)
    except ValueError:
        return None
    return number if isfinite(number) else None


def likely(head: LogHead, numbers: Iterable[Seen]) -> dict[str, str]:
    """Which header is likely which column: by its words and units, and where those say nothing of time, voltage,
    current or speed, by numbers that only one header has, for time the first. {column: header}, each once."""
    seen = dict(zip(head.headers, numbers, strict=True))
    found = {
        column: header
        for column, header in suggested(head.headers, head.stated).items()
        if column != DATE or DAY.fullmatch(seen[header].first)
    }
    whats = {COLUMNS[column][0] for column in found}
    free = {header: of for header, of in seen.items() if header not in found.values()}
    for what, column in ((TIME, "time_s"), (RPM, "rpm"), (VOLTAGE, "voltage_v"), (CURRENT, "current_a")):
        fitting = [header for header, of in free.items() if what not in whats and _fits(what, of)]
        if len(fitting) == 1 or (fitting and what == TIME):  # of several that rise the first: temperatures do too
            found[column] = fitting[0]
            del free[fitting[0]]
    return found


def _fits(what: str, of: Seen) -> bool:
    """Whether numbers can be those of a small car with a battery of a few cells."""
    if of.low is None or of.high is None or what == TIME or of.rises:
        return what == TIME and of.rises
    low, high = of.low, of.high
    ranges: Mapping[str, bool] = {
        RPM: 3000 <= high <= 500_000 and low >= -high,
        VOLTAGE: 3 <= high <= 30 and low > high / 2,
        CURRENT: 3 <= high <= 300 and -20 <= low < high / 5 and not (low >= 0 and 95 <= high <= 101),
    }
    return ranges[what]
