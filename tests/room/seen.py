"""What is wrong with a screen as it stands: text cut without a sign or though there is room, lines nobody can see,
text at a scroll bar, colours nobody can read.

Contrast is that of WCAG 2.2 (relative luminance and 1.4.3, 1.4.11), written down here from its text.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from itertools import groupby
from typing import Any

from rich.cells import cell_len
from rich.color import Color, ColorType
from rich.segment import Segment
from textual.containers import VerticalScroll
from textual.screen import Screen

from pitbench.app.widgets import paint
from pitbench.app.widgets.form import FormBody
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import Line, Lines, Painted
from pitbench.app.widgets.table import MARGIN, MARK_WIDTH

FEW = 4
"""Cells that are kept for lines that are not in sight."""
MANY_LINES = 300
"""Of a list: more are alike."""
DRAWN = set("▁▂▃▄▅▆▇█▏▎▍▌▋▊▉▔▕▖▗▘▙▚▛▜▝▞▟─│┌┐└┘├┤┬┴┼╭╮╯╰╶╷╴╵╌¦·●▸┏━┓┃┻┣┗┛┳┫╋") | {
    chr(at) for at in range(0x2800, 0x2900)
}
"""Characters that are seen as marks, not read: 3 is enough for them."""
TEXT, MARK, IN_THE_SUN = 4.5, 3.0, 7.0


def faults_of(screen: Screen[Any], said: bool = False) -> list[str]:
    """Everything but colours, one sentence each. said: something stands in the message line, for which the last lines
    may go where an ellipsis tells it."""
    found: list[str] = []
    shown = [widget for widget in screen.query(Painted) if _stands(widget)]
    for widget in shown:
        found += _cut(widget)
        if isinstance(widget, LineList):
            found += _cut_for_nothing(widget)
        elif isinstance(widget, Lines | FormBody) and not _scrolled(widget):
            found += [] if said and _goes_on(widget) else _out_of_sight(screen, widget)
    return found


def _stands(widget: Painted) -> bool:
    return widget.display and widget.size.width > 0 and all(parent.display for parent in widget.ancestors[:-1])


def _scrolled(widget: Painted) -> bool:
    return any(isinstance(parent, VerticalScroll) for parent in widget.ancestors)


def _name(widget: Painted) -> str:
    return f"{type(widget).__name__}{f'#{widget.id}' if widget.id else ''}"


def text_of(line: Line) -> str:
    return "".join(text for text, _ in line)


def lines_of(widget: Painted) -> list[Line]:
    """The lines a widget has to show, in sight or not."""
    if isinstance(widget, Lines):
        return widget.lines
    if isinstance(widget, LineList):
        indent: Line = (("   ", "text"),)
        return [(*indent, *widget._draw(at)) for at in range(min(MANY_LINES, widget.count))]
    if isinstance(widget, FormBody):
        drawn: list[Line] = []
        kept = widget.strip_of
        widget.strip_of = lambda spans, width, marked=False: drawn.append(spans) or kept(spans, width, marked)
        try:
            for y in range(widget.get_content_height(None, None, 0)):
                widget.render_line(y)
        finally:
            del widget.strip_of
        return drawn
    return []


def _cut(widget: Painted) -> list[str]:
    """Lines longer than the widget is wide, or that reach its scroll bar."""
    whole = widget.scrollable_content_region.width
    room = whole - (isinstance(widget, LineList) and widget.show_vertical_scrollbar)
    found = []
    for each in lines_of(widget):
        text = text_of(each).rstrip()
        if cell_len(text) > room:
            what = "reaches the scroll bar" if cell_len(text) <= whole else "is cut"
            found.append(f"{_name(widget)}: {what}: {text!r}")
    return found


def _goes_on(widget: Painted) -> bool:
    """Whether the last line that is seen says that others follow."""
    if not widget.size.height:
        return False
    last = "".join(segment.text for segment in widget.render_line(widget.size.height - 1))
    return last.rstrip().endswith("…")


def _out_of_sight(screen: Screen[Any], widget: Painted) -> list[str]:
    """Lines that are covered by something else, or have no place on the screen."""
    found, region = [], widget.region
    for y, each in enumerate(lines_of(widget)):
        at = region.y + y
        inside = y < widget.size.height and 0 <= at < screen.size.height
        if text_of(each).strip() and not (
            inside and screen.get_widget_at(region.x, at)[0] in {widget, *widget.children}
        ):
            found.append(f"{_name(widget)}: nobody sees: {text_of(each).rstrip()!r}")
    return found


def _cut_for_nothing(listed: LineList) -> list[str]:
    """Cells cut though blank columns of the list have the room that is missing."""
    found: list[str] = []
    drawn: list[str] = []
    cuts: list[tuple[str, int]] = []
    with _told_of_cuts(cuts):
        for at in range(min(MANY_LINES, listed.count)):
            drawn.append(text_of(listed._draw(at)))
    spare = _spare_cells(drawn, listed.screen.size.width - MARK_WIDTH - MARGIN)
    for text, missing in cuts:
        if missing + FEW <= spare:
            found.append(f"{_name(listed)}: cut though {spare} cells are blank: {text!r}")
    return found


@contextmanager
def _told_of_cuts(cuts: list[tuple[str, int]]) -> Iterator[None]:
    """Every text that is fitted with an ellipsis, and how many cells it lacks."""
    kept = paint.set_cell_size

    def told(text: str, size: int) -> str:
        cuts.append((text, cell_len(text) - size - 1))
        return kept(text, size)

    paint.set_cell_size = told
    try:
        yield
    finally:
        paint.set_cell_size = kept


def _spare_cells(rows: list[str], width: int) -> int:
    """Cells that are blank in all rows, but for two between columns."""
    tall = [row for row in rows if row.strip()]
    blank = [all(at >= len(row) or row[at] == " " for row in tall) for at in range(width)]
    return sum(max(0, len(list(run)) - 2) for is_blank, run in groupby(blank) if is_blank)


def unseen_words(screen: Screen[Any], words: str) -> list[str]:
    """Words of a sentence that do not stand on the screen."""
    strips = screen._compositor.render_strips()
    shown = " ".join(" ".join("".join(segment.text for segment in strip).split()) for strip in strips)
    return [] if words in shown else [f"nobody sees the message: {words!r}"]


# colours


def luminance(rgb: tuple[int, int, int]) -> float:
    """Relative luminance, WCAG 2.2."""
    red, green, blue = (c / 255 / 12.92 if c / 255 <= 0.04045 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in rgb)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(ink: tuple[int, int, int], ground: tuple[int, int, int]) -> float:
    """Contrast ratio, WCAG 2.2: 1 to 21."""
    darker, lighter = sorted((luminance(ink), luminance(ground)))
    return (lighter + 0.05) / (darker + 0.05)


def unreadable(screen: Screen[Any], theme: str) -> list[str]:
    """Text on the screen that is below its contrast, each pair of colours told once."""
    found: dict[object, str] = {}
    for y, strip in enumerate(screen._compositor.render_strips()):
        x = 0
        for segment in strip:
            behind = screen.is_modal and screen.get_widget_at(x, y)[0] is screen
            x += segment.cell_length
            if segment.text.strip() and not behind:  # what a question stands over is out of use
                said = _of_the_terminal(segment) if theme == "16 colours" else _of_hex(segment, theme)
                if said:
                    found.setdefault((str(segment.style), said), f"{said}: {segment.text.strip()!r}")
    return list(found.values())


def _of_hex(segment: Segment, theme: str) -> str:
    style = segment.style
    assert style is not None
    ink, ground = _rgb(style.color), _rgb(style.bgcolor)
    if ink is None or ground is None:
        return f"no colour of its own, {style}"
    least = IN_THE_SUN if theme == "sunlight" else TEXT
    if set(segment.text.replace(" ", "")) <= DRAWN:
        least = MARK
    ratio = contrast(ink, ground)
    unseen = ratio == 1 and least == MARK  # a frame that is not to be seen
    return "" if unseen or ratio >= least else f"{ratio:.2f} of {least}, {style.color.name} on {style.bgcolor.name}"


def _rgb(colour: Color | None) -> tuple[int, int, int] | None:
    return None if colour is None or colour.triplet is None else tuple(colour.triplet)


def _of_the_terminal(segment: Segment) -> str:
    """What a terminal makes of its own colours nobody knows: only its own ink on its own ground is sure, as it is or
    reversed, or two colours that are both named."""
    style = segment.style
    assert style is not None
    own = [colour is None or colour.type is ColorType.DEFAULT for colour in (style.color, style.bgcolor)]
    if all(own):
        return "dim" if style.dim else ""
    if any(own):
        return f"{style} on a ground nobody knows"
    return "" if style.color.type is ColorType.STANDARD else f"more than 16 colours: {style}"
