"""Whether a change of the engine made a table worse: two printed tables of one benchmark, row by row.

`python -m tests.benchmarks.calibration … > new.txt`, then `python -m tests.benchmarks.against
tests/benchmarks/tables/calibration.md new.txt` lists every number that moved by more than two standard errors (both
tables' together; without any, by a tenth) and says whether that is better or worse: a share that should be 90 or 50 in
100 is better nearer to it, errors and widths are better smaller, skills larger. Exit status 1 if anything got worse.
The same seeds lie behind both, so that two standard errors are rather too many than too few.
"""

import argparse
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path

SMALLER = ("error", "wrong", "crps", "off", "bias", "early", "÷", "width", "over")
LARGER = ("skill", "clear", "came", "advised", "right")
USUAL = 90.0
NUMBER = re.compile(r"[+-]?\d+(\.\d+)?(?=$|[ ,;(])|$")
"""How a cell begins that does not name its row: "12.3 ± 0.4" or nothing, not "12th run"."""
SAID = re.compile(r"(?P<value>-?\d+(?:\.\d+)?)(?: ?± ?(?P<error>\d+(?:\.\d+)?))?")


@dataclass(frozen=True)
class Cell:
    """One number of a table; error: its standard error, None where none is printed."""

    row: str
    column: str
    value: float
    error: float | None


@dataclass(frozen=True)
class Moved:
    """A number that is another one now; worse None: nobody said which way is better."""

    cell: Cell
    was: float
    worse: bool | None


def cells(text: str) -> Iterator[Cell]:
    """Every number of the tables in a text, named by the first cells of its row, up to a number, and the head of its
    column, where a head that stands there again is counted."""
    head: list[str] = []
    for line in text.splitlines():
        if not line.startswith("|"):
            head = []
            continue
        parts = [part.strip() for part in line.strip("|").split("|")]
        if not head:
            head = _told_apart(parts)
        elif not set(line) <= set("|-: "):
            names = 1 + sum(1 for _ in takewhile(lambda part: not NUMBER.match(part), parts[1:]))
            for column, part in zip(head[names:], parts[names:], strict=False):
                if said := SAID.search(part):
                    error = said["error"]
                    row, value = ", ".join(parts[:names]), float(said["value"])
                    yield Cell(row, column, value, None if error is None else float(error))


def _told_apart(heads: list[str]) -> list[str]:
    """Heads of columns, the second of a name as "name (2)"."""
    before = [heads[:place].count(each) for place, each in enumerate(heads)]
    return [f"{each} ({count + 1})" if count else each for each, count in zip(heads, before, strict=True)]


def moved(old: str, new: str) -> list[Moved]:
    """Numbers of rows and columns that stand in both, if they moved by more than what is left to chance."""
    before = {(cell.row, cell.column): cell for cell in cells(old)}
    found = []
    for cell in cells(new):
        was = before.get((cell.row, cell.column))
        if was is None:
            continue
        both = ((was.error or 0.0) ** 2 + (cell.error or 0.0) ** 2) ** 0.5
        if abs(cell.value - was.value) > (2 * both or 0.1 * abs(was.value)):
            found.append(Moved(cell, was.value, _worse(cell.column, was.value, cell.value)))
    return found


def _worse(column: str, was: float, now: float) -> bool | None:
    name = column.lower()
    if any(word in name for word in SMALLER):
        return now > was
    if any(word in name for word in LARGER):
        return now < was
    target = 50.0 if "50" in name else USUAL
    return abs(now - target) > abs(was - target) if max(was, now) > 1 else None


def main() -> int:
    """Print what moved."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("old", type=Path)
    asked.add_argument("new", type=Path)
    given = asked.parse_args()
    found = moved(*(path.read_text(encoding="utf-8") for path in (given.old, given.new)))
    words = {True: "worse", False: "better", None: "moved"}
    for each in found:
        print(f"{words[each.worse]}: {each.cell.row}, {each.cell.column}: {each.was:g} -> {each.cell.value:g}")
    print(f"{len(found)} numbers moved, {sum(each.worse is True for each in found)} of them for the worse")
    return int(any(each.worse for each in found))


if __name__ == "__main__":
    sys.exit(main())
