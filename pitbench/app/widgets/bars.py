"""Header and footer as one drawn line each: fast to paint, and their width is known, so nothing is clipped unseen."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from rich.cells import cell_len
from textual import events

from pitbench.app.actions import BY_ID, SCREENS, keys_of
from pitbench.app.widgets.paint import Line, Lines, Span, width_of, wrapped

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp


class HeaderLine(Lines):
    """All screens with their digit, the one shown marked; or the title of a form."""

    DEFAULT_CSS = "HeaderLine { height: 1; background: $pit-bars; }"

    def show_screens(self, shown: str) -> None:
        """Mark the main screen of this name."""
        spans: list[Span] = [(self._name_shown, "strong")]
        for nth, (name, title, _) in enumerate(SCREENS, 1):
            spans.append((f"▸{nth} {title} ", "shown") if name == shown else (f" {nth} {title} ", "text"))
        self.show([tuple(spans)])

    @property
    def _name_shown(self) -> str:
        """The name of the app; of the demo, that it is one."""
        return f" {'DEMO' if cast('PitbenchApp', self.app).demo else 'pitbench':<8} "

    def show_title(self, title: str, hint: str) -> None:
        """A form's title left, how to leave it right."""
        left: Line = ((self._name_shown, "strong"), (f"   {title}", "text"))
        gap = max(1, self.app.size.width - width_of(left) - len(hint) - 2)
        self.show([(*left, (" " * gap, "text"), (hint, "quiet"))])


class FooterLine(Lines):
    """Entries made from the action declarations, at most six, in a wide window seven; one that does not fit the width
    is left out whole."""

    DEFAULT_CSS = "FooterLine { height: 1; background: $pit-bars; dock: bottom; }"
    MOST, WIDE = 6, 100

    _entries: tuple[str, ...] = ()

    def show_actions(self, entries: tuple[str, ...]) -> None:
        """Entries are action ids, or `id=word` where the word is better said otherwise here."""
        self._entries = entries
        most = self.MOST + (self.app.size.width >= self.WIDE)
        spans: list[Span] = [(" ", "text")]
        for entry in entries[:most]:
            name, _, word = entry.partition("=")
            action = BY_ID[name]
            key = keys_of(action, cast("PitbenchApp", self.app).hands.keymap)[0]
            if width_of(tuple(spans)) + cell_len(f"{key} {word or action.footer}") <= self.app.size.width:
                spans += [(key, "accent"), (f" {word or action.footer}   ", "text")]
        self.show([tuple(spans)])

    def on_resize(self, event: events.Resize) -> None:
        self.show_actions(self._entries)


class MessageLine(Lines):
    """The line above the footer: what was just done, left, and how to take it back, right."""

    DEFAULT_CSS = "MessageLine { height: auto; max-height: 4; }"

    def __init__(self) -> None:
        super().__init__([()], id="message")
        self._said: tuple[str, str, bool] = ("", "", False)
        self.display = False

    def say(self, what: str, hint: str = "", trouble: bool = False) -> None:
        """Show one sentence until the next one."""
        self._said = (what, hint, trouble)
        self._draw()

    def on_resize(self, event: events.Resize) -> None:
        self._draw()

    def _draw(self) -> None:
        what, hint, trouble = self._said
        mark: Span = (" ! ", "bad") if trouble else (" ", "text")
        room = max(20, self.app.size.width - len(mark[0]) - 1)  # hidden, the line itself has no width
        self.display = bool(what)
        rows = wrapped(what, room) or [""]
        blank: Span = (" " * len(mark[0]), "text")
        lines: list[Line] = [
            (blank if nth else mark, (row, "bad" if trouble else "good")) for nth, row in enumerate(rows)
        ]
        gap = room - cell_len(rows[-1]) - len(hint)
        if hint and gap > 0:
            lines[-1] = (*lines[-1], (" " * gap, "text"), (hint, "quiet"))
        self.show(lines)
