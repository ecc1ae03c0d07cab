"""A timing sweep as a table: every run a row, KV and current as numbers and as points on a scale, the best marked."""

from collections.abc import Callable, Sequence

from pitbench.app.widgets.paint import Line, line
from pitbench.app.widgets.table import Cell, Column, Table, number
from pitbench.desk.bench.sweep import SweepAnswer, SweepPoint
from pitbench.records.numbers import shown

POINT, END = "●", "·"
Figure = Callable[[SweepPoint], float | None]


def sweep_table(sweep: SweepAnswer, width: int, most: int) -> list[Line]:
    """The heads and at most so many runs, by timing."""
    table = Table(_columns(sweep, max(0, width - 80)), width)
    rows = [line("   ", *table.row(point)) for point in sweep.points[:most]]
    more = len(sweep.points) - len(rows)
    return [*table.heads(), *rows, *([line((f"   … {more} more", "quiet"))] if more else [])]


def _columns(sweep: SweepAnswer, spare: int) -> list[Column[SweepPoint]]:
    """spare: cells for longer scales."""
    for_kv, for_current = 16 + spare // 2, 11 + spare // 3
    kv, current = _scale(sweep.points, lambda p: p.kv), _scale(sweep.points, lambda p: p.current)
    best = next((point for point in sweep.points if point.mark_deg == sweep.best_mark_deg), None)
    return [
        Column("mark|°", 4, lambda p: shown(p.mark_deg), "right"),
        Column("timing|°", 6, lambda p: number(p.timing_deg if sweep.by_sensors else None, 1), "right"),
        Column("KV|rpm/V", 6, lambda p: number(p.kv, 0), "right"),
        Column(_head(kv, for_kv, 0), for_kv, lambda p: _dots(kv, p.kv)),
        Column("current|A", 7, lambda p: number(p.current, 2), "right"),
        Column(_head(current, for_current, 2), for_current, lambda p: _dots(current, p.current)),
        Column("speed|per amp", 7, lambda p: number(p.speed_per_amp, 0), "right"),
        Column("", 4, lambda p: ("best", "accent") if p is best else ""),
    ]


def _scale(points: Sequence[SweepPoint], figure: Figure) -> tuple[float, float] | None:
    """Both ends of a figure; None where none was read."""
    read = [value for point in points if (value := figure(point)) is not None]
    return (min(read), max(read)) if read else None


def _head(ends: tuple[float, float] | None, width: int, decimals: int) -> str:
    """The ends over their points, in the second line of the heads."""
    if ends is None:
        return ""
    low, high = (f"{end:.{decimals}f}" for end in ends)
    return f"|{low}{high:>{max(1, width - len(low))}}"


def _dots(ends: tuple[float, float] | None, value: float | None) -> Callable[[int], Cell]:
    """A point between both ends, which are told by small ones."""

    def drawn(room: int) -> Cell:
        if ends is None or value is None:
            return ""
        low, high = ends
        at = round((value - low) / (high - low) * (room - 1)) if high > low else 0
        cells = [END, *" " * (room - 2), END]
        cells[at] = POINT
        return "".join(cells), "text"

    return drawn
