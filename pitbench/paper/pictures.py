"""A picture of intervals as inline SVG, drawn in black and grey so that it prints anywhere; the eye needs no colour.

Shapes and texts alone: no style sheet, script or font of its own, so that every browser draws it alike.
"""

from bisect import bisect
from collections.abc import Callable, Sequence
from html import escape
from itertools import accumulate
from math import ceil, floor, log10
from unicodedata import east_asian_width

from pitbench.paper.document import Bar, Picture

WIDE, LINE, TOP, LEFT, RIGHT = 400, 14, 30, 118, 82
"""Units of the drawing: its width, the height of a bar's line, of the scale, room for names and for what is said."""
NAME_ROOM = 19
INK, QUIET, FAINT = "#14181c", "#4d5a61", "#c3ccd1"
STEPS = (1.0, 2.0, 5.0, 10.0, 20.0)


def svg(picture: Picture, text: Callable[[str], str] = escape) -> str:
    """The picture; text: makes a text of the logbook harmless."""
    ends = [point for bar in picture.bars for point in bar.points]
    points = scale([*ends, *([] if picture.limit is None else [picture.limit])])
    low, high = points[0], points[-1]

    def across(value: float) -> str:
        return _number(LEFT + (value - low) / (high - low) * (WIDE - LEFT - RIGHT))

    height = TOP + LINE * len(picture.bars) + (12 if picture.limit is not None else 2)
    drawn = [
        f'<svg viewBox="0 0 {WIDE} {height}" role="img" font-family="sans-serif" font-size="10">',
        f"<title>{text(picture.title)}</title>",
        _text(0, 10, text(picture.title), "start", INK, bold=True),
        _text(WIDE, 10, text(picture.unit), "end", QUIET),
        *(_point(across(point), point, points, height) for point in points),
        *(part for nth, bar in enumerate(picture.bars) for part in _bar(bar, TOP + LINE * nth, across, text)),
    ]
    if picture.limit is not None:
        at = across(picture.limit)
        drawn.append(f'<path d="M{at} {TOP - 4}V{height - 10}" stroke="{INK}" stroke-dasharray="3 2"/>')
        drawn.append(_text(at, height - 1, text(picture.limit_called), "middle", INK))
    return "\n".join([*drawn, "</svg>"])


def scale(ends: Sequence[float], most: int = 6) -> list[float]:
    """Round points that hold all ends, at most so many apart.

    >>> scale([61.0, 78.5]), scale([-0.4, 0.9])
    ([60.0, 65.0, 70.0, 75.0, 80.0], [-0.5, 0.0, 0.5, 1.0])
    """
    low, high = min(ends), max(ends)
    wide = max(high - low, 1e-6)
    unit = 10.0 ** floor(log10(wide / most))
    step = next(unit * each for each in STEPS if ceil(high / (unit * each)) - floor(low / (unit * each)) <= most)
    first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
    return [nth * step for nth in range(first, max(last, first + 1) + 1)]


def _point(at: str, value: float, points: Sequence[float], height: int) -> str:
    places = max(0, -floor(log10(points[1] - points[0]) + 1e-9))
    line = f'<path d="M{at} {TOP - 6}V{height - 12}" stroke="{FAINT}" stroke-width=".6"/>'
    return line + _text(at, TOP - 9, f"{value:z.{places}f}", "middle", QUIET)


def _bar(bar: Bar, top: int, across: Callable[[float], str], text: Callable[[str], str]) -> list[str]:
    """A thin line over nine tenths, a thick one over half of the chance, a dot at the best guess."""
    middle = top + LINE // 2
    low90, low50, best, high50, high90 = (across(point) for point in bar.points)
    return [
        _text(0, middle + 3, text(shortened(bar.name)), "start", INK),
        f'<path d="M{low90} {middle}H{high90}" stroke="{QUIET}"/>',
        f'<path d="M{low50} {middle}H{high50}" stroke="{QUIET}" stroke-width="4"/>',
        f'<circle cx="{best}" cy="{middle}" r="3" fill="{INK}" stroke="#fff"/>',
        _text(WIDE, middle + 3, text(bar.said), "end", INK),
    ]


def _text(x: float | str, y: float, text: str, anchor: str, ink: str, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}" fill="{ink}"{weight}>{text}</text>'


def shortened(name: str) -> str:
    """A name as far as there is room for it; it stands whole in the table beside the picture.

    >>> shortened("Whio"), shortened("A motor with a very long name")
    ('Whio', 'A motor with a ver…')
    """
    reach = list(accumulate(2 if east_asian_width(letter) in "WF" else 1 for letter in name))
    if not reach or reach[-1] <= NAME_ROOM:
        return name
    return f"{name[: bisect(reach, NAME_ROOM - 1)].rstrip()}…"


def _number(value: float) -> str:
    return f"{value:.1f}"
