"""What a load log's file looks like before its rows are read: separator, decimal sign, header, text before it.

Found by looking at its beginning. What the columns mean, `log_columns` says; rows are the business of `log_rows`.
"""

import csv
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from io import TextIOWrapper
from itertools import islice
from pathlib import Path

from pitbench.records.harmless import harmless
from pitbench.records.names import clean_text
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import counted_words
from pitbench.sheets.files import looks_like_utf16, reading
from pitbench.sheets.grid import DELIMITERS
from pitbench.sheets.log_columns import COLUMNS, suggested, unit_in

WANTED = "a load log is a CSV file with one row a sample"
_LOOKED_AT, _SAMPLE = 400, 60
_LONGEST_LINE = 1 << 16
_BEGINNING = 1 << 16
NUMBER = re.compile(r"[+-]?(\d[\d']*)?([.,]\d+)*[.,]?([eE][+-]?\d+)?")
CLOCK = re.compile(
    r"(?:(\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[./]\d{1,2}[./]\d{2,4})[T ])?(\d{1,3}):(\d{2})(?::(\d{2}(?:[.,]\d+)?))?Z?"
)
DAY = re.compile(r"\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[./]\d{1,2}[./]\d{2,4}")


@dataclass(frozen=True)
class LogHead:
    """How to read one file. `skipped`: lines before the first row; `stated`: the units of a units row; `thousands`: a
    sign that only parts digits; `sample`: cells of the first rows; `notes`: what was odd, as (what, clause)."""

    name: str
    headers: tuple[str, ...]
    delimiter: str
    decimal: str = "."
    thousands: str = ""
    skipped: int = 0
    stated: tuple[str, ...] = ()
    width: int = 0
    sample: tuple[tuple[str, ...], ...] = ()
    notes: tuple[tuple[str, str], ...] = ()


@contextmanager
def opened(path: Path) -> Iterator[TextIOWrapper]:
    """The text of a log; bytes that are none become characters no number has. Raises Refusal."""
    with reading(path, WANTED, "load log"), path.open("rb") as file:
        beginning = file.read(_BEGINNING)
        if looks_like_utf16(beginning):
            raise Refusal(f"{path} is UTF-16, {WANTED} in UTF-8: save it again as CSV UTF-8.")
        if 0 < len(beginning) <= 4 * beginning.count(0):
            raise Refusal(f"{path} is a binary file, {WANTED}.")
        if not beginning.strip():
            raise Refusal(f"{path} is empty, {WANTED}.")
        file.seek(0)
        with TextIOWrapper(file, encoding="utf-8-sig", errors="replace", newline=None) as text:
            yield text


def look(path: Path) -> LogHead:
    """How the file is to be read; raises Refusal where it holds no rows of numbers."""
    with opened(path) as file:
        lines = list(islice(iter(lambda: file.readline(_LONGEST_LINE), ""), _LOOKED_AT))
    found = [head for delimiter in DELIMITERS if (head := _with(path.name, lines, delimiter)) is not None]
    if not found:
        raise Refusal(f"{path} holds no rows of numbers, {WANTED} under a header.")
    return max(found, key=lambda head: (len(head.sample) * (head.width - 1), -DELIMITERS.index(head.delimiter)))


def cells_of(line: str, delimiter: str) -> list[str]:
    """The cells of one line, quotation marks taken off."""
    if '"' in line:
        try:
            return next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
        except csv.Error:
            return [line]
    return line.rstrip("\n").split(delimiter)


def _with(name: str, lines: Sequence[str], delimiter: str) -> LogHead | None:
    """What the file is if this parts its cells; None where no rows of numbers come of it."""
    rows = [cells_of(line, delimiter) for line in lines]
    first = next((at for at in range(len(rows)) if _begins(rows, at)), None)
    if first is None:
        return None
    rows = rows[: first + _SAMPLE]
    width = Counter(len(row) for row in rows[first:] if _is_data(row)).most_common(1)[0][0]
    sample = [row for row in rows[first:] if len(row) == width and _is_data(row)]
    header, stated = _header(rows[:first], width)
    notes: list[tuple[str, str]] = []
    above = sum(any(cell.strip() for cell in row) for row in rows[:first]) - bool(header) - bool(stated)
    if above > 0:
        notes.append(("header", f"{counted_words(above, 'line')} of text before the rows"))
    headers = _named(header, width, sample, stated, notes)
    decimal, thousands = _signs(sample)
    cut = tuple(tuple(cell.strip() for cell in row) for row in sample)
    return LogHead(name, headers, delimiter, decimal, thousands, first, tuple(stated), width, cut, tuple(notes))


def _begins(rows: list[list[str]], at: int) -> bool:
    """Whether rows of numbers begin here: this one, and most of those that follow, as wide as it is."""
    if not _is_data(rows[at]):
        return False
    following = [row for row in rows[at + 1 : at + 8] if any(cell.strip() for cell in row)]
    return sum(_is_data(row) and abs(len(row) - len(rows[at])) <= 1 for row in following) * 2 >= len(following)


def _is_data(row: Sequence[str]) -> bool:
    if len(row) < 3:
        return False
    cells = [cell.strip() for cell in row if cell.strip()]
    numbers = sum(_is_number(cell) for cell in cells)
    return numbers >= 2 and numbers * 2 >= len(cells)


def _is_number(cell: str) -> bool:
    if not any(character.isdigit() for character in cell):
        return False
    return bool(NUMBER.fullmatch(cell) or CLOCK.fullmatch(cell) or DAY.fullmatch(cell))


def _header(above: list[list[str]], width: int) -> tuple[list[str], list[str]]:
    """The header row among the lines before the first row, and a row of units under it; empty where there is none."""
    texts = [row for row in above if sum(bool(cell.strip()) for cell in row) * 2 >= min(width, 4)]
    if not texts:
        return [], []
    if len(texts) > 1 and _is_units(texts[-1]) and not _is_units(texts[-2]):
        return texts[-2], [clean_text(cell) for cell in texts[-1]]
    return texts[-1], []


def _is_units(row: Sequence[str]) -> bool:
    """Whether a row says units alone: `s;V;A`."""
    cells = [clean_text(cell).strip("[]() ") for cell in row if cell.strip()]
    kinds = ("time", "voltage_v", "current_a", "rpm", "duty", "motor_temp_c")
    known = sum(any(unit_in(f"({cell})", kind) for kind in kinds) for cell in cells)
    return bool(cells) and known * 2 >= len(cells) and all(len(cell) <= 8 for cell in cells)


def _named(
    header: list[str], width: int, sample: list[list[str]], stated: list[str], notes: list[tuple[str, str]]
) -> tuple[str, ...]:
    """A name for every column; a comma that is missing in the header is put back where only one place will do."""
    names = [harmless(clean_text(cell)) for cell in header]
    while len(names) > width and not names[-1]:
        names.pop()
    blank_end = all(not row[-1].strip() for row in sample)
    if header and len(names) == width - 1 and not blank_end and (parted := _parted(names, stated)):
        at, names = parted
        notes.append(("header", f"a separator is missing between {names[at]} and {names[at + 1]}: taken as two"))
    elif header and len(names) != width and not (len(names) == width - 1 and blank_end):
        notes.append(("header", f"names {len(names)} columns, the rows have {width}"))
    names = [*names, *[""] * (width - len(names))][:width]
    seen: Counter[str] = Counter()
    for at, name in enumerate(names):
        name = name or f"column {at + 1}"
        seen[name.casefold()] += 1
        names[at] = name if seen[name.casefold()] == 1 else f"{name} ({seen[name.casefold()]})"
    return tuple(names)


def _parted(names: list[str], stated: list[str]) -> tuple[int, list[str]] | None:
    """The header with one name parted in two, where just one place gives two names of columns we know."""
    found = []
    for at, name in enumerate(names):
        for cut in range(1, len(name)):
            left, right = name[:cut].strip(" _;"), name[cut:].strip(" _;")
            whole = name[cut - 1] in " _;" or name[cut] in " _;"
            if left and right and len(suggested([left, right])) == 2:
                others = set(suggested(names[:at] + names[at + 1 :], stated))
                new = set(suggested([left, right]))
                if not new & others:
                    found.append((not _is_column(left) or not _is_column(right), not whole, at, cut, left, right))
    if not found:
        return None
    *_, at, _, left, right = min(found)
    return at, [*names[:at], left, right, *names[at + 1 :]]


def _is_column(name: str) -> bool:
    return name.casefold() in COLUMNS


def _signs(sample: list[list[str]]) -> tuple[str, str]:
    """The decimal sign, and one that only parts thousands: a comma is decimal unless a point is."""
    numbers = [cell for row in sample for cell in map(str.strip, row) if NUMBER.fullmatch(cell)]
    commas, points = any("," in cell for cell in numbers), any("." in cell for cell in numbers)
    both = [cell for cell in numbers if "," in cell and "." in cell]
    if both:
        decimal = "," if both[0].rfind(",") > both[0].rfind(".") else "."
        return decimal, "." if decimal == "," else ","
    return ("," if commas and not points else "."), ("," if commas and points else "")
