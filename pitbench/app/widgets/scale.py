"""Figures in character cells: a horizontal scale with its line of numbers, and a row of figures as bars."""

from collections.abc import Sequence
from math import ceil, floor, log10


def round_step(span: float, most: int) -> float:
    """The least of 1, 2, 5 times a power of ten that gives at most `most` steps over `span`."""
    if span <= 0:
        return 1.0
    rough = span / most
    power: float = 10.0 ** floor(log10(rough))
    return next((factor * power for factor in (1, 2, 5) if factor * power >= rough), 10 * power)


class Scale:
    """Holds all `values`, with a little air, in `room` cells. signed: its numbers are differences."""

    def __init__(self, values: Sequence[float], room: int, signed: bool = True) -> None:
        self._sign = "+" if signed else ""
        low, high = min(values), max(values)
        air = max((high - low) * 0.03, 0.01)  # equal values get numbers with few decimals too
        self._low, self._high, self._room = low - air, high + air, room
        step = round_step(self._high - self._low, 5)
        self._step = step
        self.points = [i * step for i in range(ceil(self._low / step), floor(self._high / step) + 1)]

    def cell(self, value: float) -> int:
        """The cell a value stands in, from 0."""
        return round((value - self._low) / (self._high - self._low) * (self._room - 1))

    @property
    def head(self) -> str:
        """The numbers, each ending over its point; at the left edge one may lack the room."""
        decimals = max(0, -floor(log10(self._step)))
        scale, free = [" "] * self._room, self._room
        for point in reversed(self.points):
            text = f"{point:{self._sign}.{decimals}f}" if abs(point) > self._step / 2 else "0"
            start = max(0, self.cell(point) - len(text) + 1)
            if start + len(text) < free or free == self._room:
                scale[start : start + len(text)] = text
                free = start
        return "".join(scale)

    @property
    def ground(self) -> str:
        """An empty row: a point wherever the scale has a number."""
        drawn = [" "] * self._room
        for point in self.points:
            drawn[self.cell(point)] = "·"
        return "".join(drawn)


SPARKS = "▁▂▃▄▅▆▇█"


def sparkline(values: tuple[float, ...]) -> str:
    """One character a value, from the least to the greatest; equal values lie in the middle."""
    low, high = min(values), max(values)
    if high == low:
        return SPARKS[3] * len(values)
    return "".join(SPARKS[round((value - low) / (high - low) * (len(SPARKS) - 1))] for value in values)
