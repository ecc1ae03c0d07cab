"""From the text of a CSV file to header and cells, each row with its line. Knows CSV, not what the cells mean."""

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass

from pitbench.records.names import clean_text
from pitbench.sheets.tables import KNOWN_HEADERS

DELIMITERS = (",", ";", "\t")

Line = tuple[int, list[str]]


@dataclass(frozen=True)
class Grid:
    """Header and rows, lines counted as an editor does; `broken` is where reading had to stop, if it had to."""

    header_line: int
    headers: list[str]
    rows: list[Line]
    broken: int | None = None


def read_grid(text: str) -> Grid:
    """Read CSV with the delimiter found by looking: the one that shows most headers we know. Blank rows are dropped."""
    heads = [_lines(text, delimiter, most=1)[0] for delimiter in DELIMITERS]
    shown = [headers_of(head[0][1]) if head else [] for head in heads]
    best = max(range(len(DELIMITERS)), key=lambda i: (_known(shown[i]), len(shown[i]), -i))
    lines, broken = _lines(text, DELIMITERS[best])
    if not lines:
        return Grid(1, [], [], broken)
    (header_line, cells), *rows = lines
    return Grid(header_line, headers_of(cells), rows, broken)


def headers_of(cells: Iterable[str]) -> list[str]:
    """A header row with blanks joined."""
    return [clean_text(cell) for cell in cells]


def _known(headers: Iterable[str]) -> int:
    return len(KNOWN_HEADERS & {header.casefold() for header in headers})


def _lines(text: str, delimiter: str, most: int | None = None) -> tuple[list[Line], int | None]:
    """Rows that are not blank with the line they begin on, and the line that is no CSV, if there is one."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, skipinitialspace=True, strict=True)
    lines: list[Line] = []
    while most is None or len(lines) < most:
        begins = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            break
        except csv.Error:
            return lines, begins
        if any(cell.strip() for cell in cells):
            lines.append((begins, cells))
    return lines, None
