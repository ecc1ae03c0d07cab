"""Runs of several motors as in a spreadsheet: a column a run under its motor; narrower, a line of runs a motor."""

from collections.abc import Sequence
from dataclasses import dataclass

from pitbench.app.widgets.paint import Line, Role, Span, fitted, line

LABEL, CELL, APART = 21, 7, 2
"""Cells of a row's label, of a run with the blank before it, and between motors."""


@dataclass(frozen=True)
class Block:
    """A motor's runs, the oldest first: day and time of each, and a row of texts for every label; a dot where a run
    read nothing."""

    motor: str
    made: Sequence[tuple[str, str]]
    rows: Sequence[Sequence[str]]

    def newest(self, count: int) -> "Block":
        """The same with so many runs at most."""
        gone = max(0, len(self.made) - count)
        more = f"{self.motor}, {gone} older" if gone else self.motor
        return Block(more, self.made[gone:], [row[gone:] for row in self.rows])

    @property
    def heads(self) -> list[str]:
        """The day over the first run of it, the time over those that follow."""
        before = [("", ""), *self.made]
        return [
            time if day == last and time else day for (day, time), (last, _) in zip(self.made, before, strict=False)
        ]


def grid(labels: Sequence[str], blocks: Sequence[Block], width: int, strong: int | None) -> list[Line]:
    """Two lines of heads and a line a label; what has no room are the oldest runs. strong: the label that is marked."""
    room = (width - LABEL - 4 - APART * len(blocks)) // CELL
    shown = [block.newest(count) for block, count in zip(blocks, _shared_out(blocks, room), strict=True)]
    widths = [max(CELL * len(block.made), len(block.motor) + 1) for block in shown]

    def row(label: Span, cells: Sequence[Span]) -> Line:
        gap: Span = (" " * APART, "text")
        spans = [span for cell in cells for span in (cell, gap)]
        return line("   ", (fitted(label[0], LABEL), label[1]), *spans)

    def of_runs(texts: Sequence[str], room: int) -> str:
        return "".join(fitted(text, CELL, "right") for text in texts).ljust(room)

    names: list[Span] = [(f" {block.motor}".ljust(room), "strong") for block, room in zip(shown, widths, strict=True)]
    days: list[Span] = [(of_runs(block.heads, room), "quiet") for block, room in zip(shown, widths, strict=True)]
    lines = [row(("", "quiet"), names), row(("", "quiet"), days)]
    for at, label in enumerate(labels):
        role: Role = "accent" if at == strong else "text"
        both = zip(shown, widths, strict=True)
        lines.append(row((label, role), [(of_runs(block.rows[at], room), role) for block, room in both]))
    return lines


def _shared_out(blocks: Sequence[Block], room: int) -> list[int]:
    """So many columns for each motor: as many as it has runs, and none more than another while that one lacks some."""
    wanted, found = [len(block.made) for block in blocks], [0] * len(blocks)
    for _ in range(max(0, room)):
        short = [at for at, count in enumerate(found) if count < wanted[at]]
        if not short:
            break
        found[min(short, key=lambda at: found[at])] += 1
    return found


def row_of_runs(motor: str, texts: Sequence[str], room: int, names: int) -> Line:
    """A motor with its runs in one line, the newest last; how many older ones have no room stands before them."""
    free, shown = room - names - 1, list(texts)
    while shown and len("  ".join(_told(texts, shown))) > free:
        shown = shown[1:]
    return line("   ", (fitted(motor, names), "strong"), " ", "  ".join(_told(texts, shown)) or "·")


def _told(texts: Sequence[str], shown: Sequence[str]) -> list[str]:
    gone = len(texts) - len(shown)
    return [*([f"{gone} older,"] if gone else []), *shown]
