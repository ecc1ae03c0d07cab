"""Columns of a drawn table: which of them fit a width, their two lines of heads, and one row in place under them."""

from collections.abc import Sequence
from dataclasses import dataclass

from pitbench.app.widgets.paint import Line, Role, Span, fitted

GAP = "  "
MARK_WIDTH = 3


def with_margin(mean: str, margin: str, width: int) -> str:
    """A figure and how far it may be off, whole; where there is no room the margin is left out, never cut short."""
    whole = f"{mean} ±{margin}"
    return whole if len(whole) <= width else f"{mean} ±…"


@dataclass(frozen=True)
class Column:
    """`head` is one or two lines; shown from `from_width` on; `grow` takes what is left over."""

    head: str
    width: int
    align: str = "left"
    from_width: int = 0
    grow: bool = False
    role: Role = "text"

    @property
    def heads(self) -> tuple[str, str]:
        upper, _, lower = self.head.partition("|")
        return upper, lower


class Table:
    """The columns that fit into a screen `width` cells wide, the mark's column left of them included."""

    def __init__(self, columns: Sequence[Column], width: int, gap: str = GAP) -> None:
        self.shown = [i for i, column in enumerate(columns) if column.from_width <= width]
        self._columns, self._gap = columns, gap
        room = width - MARK_WIDTH - 1 - sum(columns[i].width for i in self.shown) - len(gap) * (len(self.shown) - 1)
        growing = [i for i in self.shown if columns[i].grow]
        self._widths = {i: columns[i].width + (max(0, room) // len(growing) if i in growing else 0) for i in self.shown}

    def width_of(self, column: int) -> int:
        """Cells a shown column has here."""
        return self._widths[column]

    def heads(self) -> list[Line]:
        """The heads, one line or two."""
        lines = [self._line([c.heads[row] for c in self._columns], "quiet") for row in (0, 1)]
        return lines if any(c.heads[1] for c in self._columns) else lines[:1]

    def _line(self, texts: Sequence[str], role: Role) -> Line:
        spans: list[Span] = [(" " * MARK_WIDTH, role)]
        return (*spans, *self.row([(text, role) for text in texts]))

    def row(self, cells: Sequence[str | Span]) -> Line:
        """One row: a cell a column, as text or as (text, role)."""
        spans: list[Span] = []
        for i in self.shown:
            column, cell = self._columns[i], cells[i]
            text, role = (cell, column.role) if isinstance(cell, str) else cell
            spans.append((fitted(text, self._widths[i], column.align), role))
            spans.append((self._gap, "text"))
        return tuple(spans[:-1])
