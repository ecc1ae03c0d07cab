"""What stands below the table of motors side by side: every run of the marked figure, or of all where there is room."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from pitbench.app.widgets.paint import Line, line
from pitbench.app.widgets.run_grid import Block, grid, row_of_runs
from pitbench.desk.answers import RunRead, SideBySide
from pitbench.records.stamps import moment
from pitbench.records.units import Units
from pitbench.words import side_by_side as words
from pitbench.words.side_by_side import READ, Shown

IN_COLUMNS = 100
"""Width from which on every run has a column."""
LONGEST_NAME = 16
HEADS = 3
"""Lines of a grid that are no row of it."""


def runs_below(
    found: SideBySide, marked: Shown, units: Units, now: datetime, size: tuple[int, int], as_read: bool
) -> list[Line]:
    """As read, or as they compare; size: columns and lines there are."""
    width, room = size
    bench = [each for each in READ if each.figure not in words.ON_THE_TRACK]
    track = [each for each in READ if each.figure in words.ON_THE_TRACK]
    first, second = (track, bench) if marked in track else (bench, track)
    rows = _about(first, marked, room - HEADS)
    if width < IN_COLUMNS or len(rows) < 2:
        return [_head(words.runs_title(marked, as_read)), *_lines(found, marked, units, width, as_read)]

    def runs(rows: Sequence[Shown]) -> list[Line]:
        blocks = [_block(found, name, rows, units, now, as_read) for name in found.answer.motors]
        labels = [words.label_with_unit(each, units, of_runs=True) for each in rows]
        return grid(labels, blocks, width, rows.index(marked) if marked in rows else None)

    lines = [_head(words.every_run_title(as_read)), *runs(rows)]
    both = room >= len(rows) + len(second) + 2 * HEADS
    told = any(_runs(found, each, name) for each in second for name in found.answer.motors)
    return [*lines, (), *runs(second)] if both and told else lines


def _head(title: str) -> Line:
    return line((f"   {title.upper()}", "quiet"))


def _about(rows: Sequence[Shown], marked: Shown, count: int) -> Sequence[Shown]:
    """So many of them at most, the marked one among them."""
    at = rows.index(marked) if marked in rows else 0
    first = max(0, min(at - count // 2, len(rows) - count))
    return rows[first : first + max(0, count)]


def _lines(found: SideBySide, marked: Shown, units: Units, width: int, as_read: bool) -> list[Line]:
    if marked not in READ:
        return [line(f"   {words.NOT_READ}")]
    names = min(LONGEST_NAME, max(len(name) for name in found.answer.motors))
    return [
        row_of_runs(name, [_text(run, marked, units, as_read) for run in _runs(found, marked, name)], width - 4, names)
        for name in found.answer.motors
    ]


def _runs(found: SideBySide, shown: Shown, name: str) -> Sequence[RunRead]:
    return found.runs.get(shown.figure, {}).get(name, ())


def _text(run: RunRead | None, shown: Shown, units: Units, as_read: bool) -> str:
    if run is None:
        return "·"
    return words.number_text(shown, run.read if as_read or run.compared is None else run.compared, units)


def _block(found: SideBySide, name: str, rows: Sequence[Shown], units: Units, now: datetime, as_read: bool) -> Block:
    """All runs that read any of these figures, in their order."""
    of_figures = [{(run.at, run.run_id): run for run in _runs(found, shown, name)} for shown in rows]
    runs = sorted({key for own in of_figures for key in own}, key=lambda key: (key[0], key[1] or ""))
    both = zip(rows, of_figures, strict=True)
    texts = [[_text(own.get(key), shown, units, as_read) for key in runs] for shown, own in both]
    return Block(name, [_made(at, now) for at, _ in runs], texts)


def _made(at: str, now: datetime) -> tuple[str, str]:
    """Day and time; a reading that is written on the motor itself has neither."""
    if not at:
        return "noted", ""
    when = moment(at)
    day = f"{when.day} {when:%b}" if when.year == now.year else f"{when:%b} '{when:%y}"
    return day, f"{when:%H:%M}" if "T" in at else ""
