"""Columns of a drawn table: which of them fit a width, their two lines of heads, and one row in place under them."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from rich.cells import cell_len

from pitbench.app.widgets.paint import Line, Role, Span, fitted

GAP = "  "
MARK_WIDTH = 3
MARGIN = 2
"""Cells right of a table: a scroll bar, and what keeps text from it."""
WHOLE = 1000
"""Room in which no cell is cut."""

Cell = str | Span
Row = TypeVar("Row")


def with_margin(mean: str, margin: str) -> Callable[[int], str]:
    """A figure and how far it may be off, whole; where there is no room the margin is left out, never cut short."""
    whole = f"{mean} ±{margin}"
    return lambda room: whole if len(whole) <= room else f"{mean} ±…"


def number(value: float | None, decimals: int, after: str = "") -> str:
    """A figure as cells show it: a point where it is not known."""
    return "·" if value is None else f"{value:.{decimals}f}{after}"


@dataclass(frozen=True)
class Column(Generic[Row]):
    """`head` is one or two lines; shown from `from_width` on; `grow` takes what is left over, or gives what lacks.

    `cell` makes the cell of a row: text, text in a role, or what makes either of the room there is.
    """

    head: str
    width: int
    cell: Callable[[Row], Cell | Callable[[int], Cell]]
    align: str = "left"
    from_width: int = 0
    grow: bool = False
    role: Role = "text"

    @property
    def heads(self) -> tuple[str, str]:
        upper, _, lower = self.head.partition("|")
        return upper, lower


class Table(Generic[Row]):
    """The columns that fit into a screen `width` cells wide, the mark's column left of them included."""

    def __init__(self, columns: Sequence[Column[Row]], width: int, gap: str = GAP, rows: Iterable[Row] = ()) -> None:
        """rows: whose cells get what is left over first, where they lack room, the least lacking before the others."""
        shown = [column for column in columns if column.from_width <= width]
        room = width - MARK_WIDTH - MARGIN - sum(column.width for column in shown) - len(gap) * (len(shown) - 1)
        wider = _wider(_lacking(shown, rows), room) if room > 0 else _narrower(shown, -room)
        more = max(0, room - sum(wider)) // max(1, sum(column.grow for column in shown))
        self._columns = [
            (column, column.width + by + (more if column.grow else 0)) for column, by in zip(shown, wider, strict=True)
        ]
        self._gap: Span = (gap, "text")
        self._two_lines = any(column.heads[1] for column in columns)

    def heads(self) -> list[Line]:
        """The heads, one line or two."""
        blank: Span = (" " * MARK_WIDTH, "quiet")
        return [
            (blank, *self._line((column.heads[at], "quiet") for column, _ in self._columns))
            for at in range(1 + self._two_lines)
        ]

    def row(self, row: Row) -> Line:
        """One row, drawn."""
        return self._line(_cell(column, row, width) for column, width in self._columns)

    def _line(self, cells: Iterable[Span]) -> Line:
        spans: list[Span] = []
        for (text, role), (column, width) in zip(cells, self._columns, strict=True):
            spans += ((fitted(text, width, column.align), role), self._gap)
        return tuple(spans[:-1])


def some_of(places: Sequence[int], count: int = 40) -> Sequence[int]:
    """Some places of a long list, spread over it: measuring the cells of all would be felt.

    >>> some_of(range(100), 4), some_of(range(3), 4)
    (range(0, 100, 25), range(0, 3))
    """
    return places[:: -(-len(places) // count) or 1]


def _lacking(columns: Sequence[Column[Row]], rows: Iterable[Row]) -> list[int]:
    """Cells that each column lacks for these rows."""
    lack = [0] * len(columns)
    for row in rows:
        for at, column in enumerate(columns):
            lack[at] = max(lack[at], cell_len(_cell(column, row, WHOLE)[0]) - column.width)
    return lack


def _wider(lack: Sequence[int], room: int) -> list[int]:
    """By how much each column is wider.

    >>> _wider([4, 0, 9, 3], 12), _wider([1, 5], 1)
    ([4, 0, 5, 3], [1, 0])
    """
    wider = [0] * len(lack)
    waiting = sorted((each, at) for at, each in enumerate(lack) if each)
    for nth, (each, at) in enumerate(waiting):
        wider[at] = min(each, -(-room // (len(waiting) - nth)))
        room -= wider[at]
    return wider


def _narrower(columns: Sequence[Column[Row]], lack: int) -> list[int]:
    """What each column gives, as less than nothing: those that grow, the widest first."""
    widths = [column.width if column.grow else 0 for column in columns]
    for _ in range(min(lack, sum(widths) - len(widths))):
        widths[widths.index(max(widths))] -= 1
    return [width - column.width if column.grow else 0 for width, column in zip(widths, columns, strict=True)]


def _cell(column: Column[Row], row: Row, width: int) -> Span:
    cell = column.cell(row)
    if callable(cell):
        cell = cell(width)
    return (cell, column.role) if isinstance(cell, str) else cell
