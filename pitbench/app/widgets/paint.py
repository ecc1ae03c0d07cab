"""Text in roles, and how roles become painted lines. All screens draw through here, so colour means one thing only.

A line is a tuple of spans (text, role). Text comes from files too: what would steer a terminal is shown as blanks, and
nothing is read as markup.
"""

from collections.abc import Iterable, Sequence
from itertools import zip_longest
from typing import Literal

from rich.cells import cell_len, set_cell_size
from rich.color import Color as RichColor
from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.strip import Strip
from textual.widget import Widget

from pitbench.records.harmless import harmless

Role = Literal["text", "quiet", "accent", "good", "warn", "bad", "strong", "shown"]
Span = tuple[str, Role]
Line = tuple[Span, ...]

INDENT = 3
"""Cells left of most lines; the first may hold a mark."""

ROLES: tuple[Role, ...] = ("text", "quiet", "accent", "good", "warn", "bad", "strong", "shown")
BOLD, BOLD_WITHOUT_INKS = ("accent", "strong"), ("warn", "bad")


def line(*parts: str | Span) -> Line:
    """A line from texts (in role text) and spans."""
    return tuple((part, "text") if isinstance(part, str) else part for part in parts)


def fitted(text: str, width: int, align: str = "left") -> str:
    """`text` in exactly `width` cells; what does not fit ends with an ellipsis, never without a word."""
    text = harmless(text)
    if cell_len(text) > width:
        return set_cell_size(text, max(0, width - 1)) + ("…" if width > 0 else "")
    blanks = " " * (width - cell_len(text))
    return blanks + text if align == "right" else text + blanks


def wrapped(text: str, width: int) -> list[str]:
    """Words folded into lines of at most `width` cells; a number keeps its % or ° beside it where that fits."""
    lines: list[str] = []
    for word in _together(text.split(), width):
        if lines and cell_len(lines[-1]) + 1 + cell_len(word) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def labelled(facts: Iterable[tuple[str, str]], labels: int, width: int) -> list[Line]:
    """Texts folded to `width`, each with its label left of its first line; the label of the first is strong."""
    lines: list[Line] = []
    for label, text in facts:
        head: Role = "quiet" if lines else "strong"
        for nth, row in enumerate(wrapped(text, width)):
            lines.append(line("   ", (fitted("" if nth else label, labels), head), row))
    return lines


def refolded(spans: Line, width: int) -> list[Line]:
    """A line as it is where it fits, else folded beside its indent, in the role of its end."""
    if width_of(spans) <= width:
        return [spans]
    text = "".join(text for text, _ in spans)
    lead: Span = (text[:INDENT], spans[0][1])
    rows = wrapped(text[INDENT:], max(20, width - INDENT - 1))
    return [line(lead if nth == 0 else " " * INDENT, (row, spans[-1][1])) for nth, row in enumerate(rows)]


def _together(words: list[str], width: int) -> list[str]:
    found: list[str] = []
    for word in words:
        if found and word[0] in "%°" and cell_len(found[-1]) + 1 + cell_len(word) <= width:
            found[-1] += f" {word}"
        else:
            found.append(word)
    return found


def width_of(spans: Line) -> int:
    """Cells a line takes."""
    return sum(cell_len(text) for text, _ in spans)


def beside(left: Sequence[Line], right: Sequence[Line], width: int) -> list[Line]:
    """Two blocks side by side, the right one from cell `width` on."""
    found: list[Line] = []
    for first, second in zip_longest(left, right, fillvalue=()):
        blank: Span = (" " * (width - width_of(first)), "text")
        found.append((*first, blank, *second) if second else first)
    return found


def going_on(spans: Line, width: int) -> Line:
    """A line after which others have no room: it ends with an ellipsis."""
    if width_of(spans) + 2 <= width:
        return (*spans, (" …", "text"))
    return line((fitted("".join(text for text, _ in spans) + " …", width), spans[0][1]))


def greyed(lines: list[Line]) -> list[Line]:
    """The same lines in grey."""
    return [line(("".join(text for text, _ in spans), "quiet")) for spans in lines]


class Painted(Widget):
    """A widget that draws lines of spans, in the inks of the theme. It asks the theme itself: a component class a role
    would have textual match nine more nodes a widget against all style sheets, at every screen that opens."""

    DEFAULT_CSS = "Painted { color: $pit-text; }"

    def __init__(self, **names: str) -> None:
        super().__init__(**names)  # type: ignore[arg-type]
        self._role_styles: dict[bool, dict[Role, Style]] = {}

    def strip_of(self, spans: Line, width: int, marked: bool = False) -> Strip:
        """One painted line of exactly `width` cells."""
        styles = self._styles_on(marked)
        segments = [Segment(harmless(text), styles[role]) for text, role in spans]
        return Strip(segments).adjust_cell_length(width, styles["text"]).simplify()

    def _styles_on(self, marked: bool) -> dict[Role, Style]:
        """The styles of all roles on one ground, looked up once until the style sheets change."""
        if marked not in self._role_styles:
            ground = self._ink("marked") if marked else self.rich_style.bgcolor
            self._role_styles[marked] = {role: self._style(role, ground) for role in ROLES}
        return self._role_styles[marked]

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._role_styles = {}

    def _style(self, role: Role, ground: RichColor | None) -> Style:
        """Without inks of its own, what a terminal shows alike is told apart by bold and reverse."""
        ansi = self.app.native_ansi_color
        if role == "shown":
            return Style(color=self._ink("shown"), bgcolor=self._ink("accent"), bold=True, reverse=ansi or None)
        bold = role in BOLD or (ansi and role in BOLD_WITHOUT_INKS)
        return Style(color=self._ink("text" if role == "strong" else role), bgcolor=ground, bold=bold or None)

    def _ink(self, name: str) -> RichColor:
        return Color.parse(self.app.theme_variables[f"pit-{name}"]).rich_color


class Lines(Painted):
    """A block of fixed lines; `show` replaces them. Its height follows unless the style sheet sets one."""

    DEFAULT_CSS = "Lines { height: auto; width: 1fr; }"

    def __init__(self, lines: Sequence[Line] = (), **names: str) -> None:
        super().__init__(**names)
        self._lines: list[Line] = list(lines)

    def show(self, lines: Iterable[Line]) -> None:
        """Draw these lines from now on; laid out again only when their number changes."""
        new = list(lines)
        if new != self._lines:
            taller = len(new) != len(self._lines)
            self._lines = new
            self.refresh(layout=taller)

    @property
    def lines(self) -> list[Line]:
        return self._lines

    @property
    def text(self) -> str:
        """What stands there, as plain text."""
        return "\n".join("".join(text for text, _ in spans) for spans in self._lines)

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        return len(self._lines)

    def render_line(self, y: int) -> Strip:
        spans = self._lines[y] if y < len(self._lines) else ()
        if y == self.size.height - 1 and any(map(width_of, self._lines[y + 1 :])):
            return self.strip_of(going_on(spans, self.size.width), self.size.width)
        return self.strip_of(spans, self.size.width)
