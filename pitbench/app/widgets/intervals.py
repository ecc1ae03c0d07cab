"""Interval bars drawn with characters: best guess, half of the chance, nine tenths, on a scale with round points."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from pitbench.app.widgets.paint import Line, Span, fitted

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


def round_step(span: float, most: int) -> float:
    """The least of 1, 2, 5 times a power of ten that gives at most `most` steps over `span`."""
    if span <= 0:
        return 1.0
    rough = span / most
    power: float = 10.0 ** floor(log10(rough))
    return next((factor * power for factor in (1, 2, 5) if factor * power >= rough), 10 * power)


def interval_bars(title: str, intervals: Sequence[Interval], width: int, unit: str = "") -> list[Line]:
    """A line of scale, then one line a bar."""
    room = width - NAME_WIDTH - 4
    low, high = min(i.low90 for i in intervals), max(i.high90 for i in intervals)
    margin = max((high - low) * 0.03, 1e-9)
    low, high = low - margin, high + margin

    def cell(value: float) -> int:
        return round((value - low) / (high - low) * (room - 1))

    step = round_step(high - low, 5)
    points = [i * step for i in range(ceil(low / step), floor(high / step) + 1)]
    decimals = max(0, -floor(log10(step)))
    scale = [" "] * room
    for point in points:
        text = f"{point:+.{decimals}f}" if abs(point) > step / 2 else "0"
        start = min(max(0, cell(point) - len(text) + 1), room - len(text))
        scale[start : start + len(text)] = text
    head = "".join(scale)
    title = f"   {title}"
    first: Line = ((fitted(title, max(len(title) + 1, NAME_WIDTH + 3)), "strong"),)
    shift = len(first[0][0]) - NAME_WIDTH - 3
    lines: list[Line] = [(*first, (head[shift:], "quiet"))] if not head[:shift].strip() else [first, _scale(head)]
    for interval in intervals:
        lines.append(
            (("   ", "text"), (fitted(interval.name, NAME_WIDTH), "text"), *_bar(interval, cell, points, room))
        )
    return lines


def _scale(head: str) -> Line:
    return ((" " * (NAME_WIDTH + 3), "text"), (head, "quiet"))


def _bar(interval: Interval, cell: Callable[[float], int], points: Sequence[float], room: int) -> list[Span]:
    drawn = [" "] * room
    for point in points:
        drawn[cell(point)] = "·"
    for start, end, character in (
        (interval.low90, interval.high90, "▁"),
        (interval.low50, interval.high50, "▄"),
        (interval.mean, interval.mean, "█"),
    ):
        for at in range(cell(start), cell(end) + 1):
            drawn[at] = character
    middle = cell(interval.mean)
    text = "".join(drawn)
    return [(text[:middle], "quiet"), (text[middle], "accent"), (text[middle + 1 :], "quiet")]
