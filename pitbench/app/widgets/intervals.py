"""Interval bars drawn with characters: best guess, half of the chance, nine tenths, on a scale with round points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pitbench.app.widgets.paint import Line, Role, Span, fitted
from pitbench.app.widgets.scale import Scale

if TYPE_CHECKING:
    from pitbench.desk.answers import FigureOf, Spread

NAME_WIDTH = 12
LIMIT = "¦"
LEGEND = "█ best guess   ▄ half of the chance   ▁ nine tenths"


@dataclass(frozen=True)
class Interval:
    """One bar: its name and five points of its spread, ascending but for `mean` inside."""

    name: str
    low90: float
    low50: float
    mean: float
    high50: float
    high90: float


def ends(figure: FigureOf | Spread | None) -> tuple[float, float, float] | None:
    """Mean and both ends of a figure, nine times in ten; None for one that is not known."""
    if figure is None or figure.mean is None or figure.low90 is None or figure.high90 is None:
        return None
    return figure.mean, figure.low90, figure.high90


def interval_bars(title: str, intervals: Sequence[Interval], width: int) -> list[Line]:
    """A line of scale, then one line a bar."""
    scale = Scale([end for i in intervals for end in (i.low90, i.high90)], width - NAME_WIDTH - 4)
    title = f"   {title}"
    first: Line = ((fitted(title, max(len(title) + 1, NAME_WIDTH + 3)), "strong"),)
    shift, head = len(first[0][0]) - NAME_WIDTH - 3, scale.head
    lines: list[Line] = [(*first, (head[shift:], "quiet"))] if not head[:shift].strip() else [first, _scale(head)]
    for interval in intervals:
        lines.append((("   ", "text"), (fitted(interval.name, NAME_WIDTH), "text"), *interval_bar(interval, scale)))
    return lines


def _scale(head: str) -> Line:
    return ((" " * (NAME_WIDTH + 3), "text"), (head, "quiet"))


def interval_bar(interval: Interval, scale: Scale, limit: float | None = None, role: Role = "accent") -> list[Span]:
    """One bar on its scale, its best guess in a role, with a limit as an upright stroke."""
    drawn = list(scale.ground)
    for start, end, character in (
        (interval.low90, interval.high90, "▁"),
        (interval.low50, interval.high50, "▄"),
        (interval.mean, interval.mean, "█"),
    ):
        for at in range(scale.cell(start), scale.cell(end) + 1):
            drawn[at] = character
    middle = scale.cell(interval.mean)
    if limit is not None and scale.cell(limit) != middle:
        drawn[scale.cell(limit)] = LIMIT
    text = "".join(drawn)
    return [(text[:middle], "quiet"), (text[middle], role), (text[middle + 1 :], "quiet")]


def share_bar(share: float, most: int) -> str:
    """A bar of a share of one, at most so many cells long, to half a cell; a point where that is none.

    >>> share_bar(0.8, 10), share_bar(0.25, 10), share_bar(0.01, 10)
    ('████████', '██▌', '·')
    """
    halves = round(2 * share * most)
    return "█" * (halves // 2) + "▌" * (halves % 2) or "·"
