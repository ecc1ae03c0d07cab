"""Interval bars drawn with characters: best guess, half of the chance, nine tenths, on a scale with round points."""

from collections.abc import Sequence
from dataclasses import dataclass

from pitbench.app.widgets.paint import Line, Span, fitted
from pitbench.app.widgets.scale import Scale

NAME_WIDTH = 12
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


def interval_bars(title: str, intervals: Sequence[Interval], width: int) -> list[Line]:
    """A line of scale, then one line a bar."""
    scale = Scale([end for i in intervals for end in (i.low90, i.high90)], width - NAME_WIDTH - 4)
    title = f"   {title}"
    first: Line = ((fitted(title, max(len(title) + 1, NAME_WIDTH + 3)), "strong"),)
    shift, head = len(first[0][0]) - NAME_WIDTH - 3, scale.head
    lines: list[Line] = [(*first, (head[shift:], "quiet"))] if not head[:shift].strip() else [first, _scale(head)]
    for interval in intervals:
        lines.append((("   ", "text"), (fitted(interval.name, NAME_WIDTH), "text"), *_bar(interval, scale)))
    return lines


def _scale(head: str) -> Line:
    return ((" " * (NAME_WIDTH + 3), "text"), (head, "quiet"))


def _bar(interval: Interval, scale: Scale) -> list[Span]:
    drawn = list(scale.ground)
    for start, end, character in (
        (interval.low90, interval.high90, "▁"),
        (interval.low50, interval.high50, "▄"),
        (interval.mean, interval.mean, "█"),
    ):
        for at in range(scale.cell(start), scale.cell(end) + 1):
            drawn[at] = character
    middle = scale.cell(interval.mean)
    text = "".join(drawn)
    return [(text[:middle], "quiet"), (text[middle], "accent"), (text[middle + 1 :], "quiet")]
