"""A logbook that cannot be opened: why, in one sentence, and what can be done."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen

from pitbench.app.actions import bindings
from pitbench.app.widgets.paint import Lines, line, wrapped


class Refused(ModalScreen[bool | None]):
    """True: accept a hand edit knowingly; None: leave. The file is not touched either way."""

    BINDINGS: ClassVar = [
        *bindings(("leave-form", "quit-app")),
        Binding("y", "accept", "accept", show=False, id="accept-edit"),
    ]
    DEFAULT_CSS = """
    Refused { align: center middle; }
    Refused > #box { width: 100%; max-width: 80; height: auto; background: $pit-bars; padding: 1 2; }
    """

    def __init__(self, sentence: str, can_accept: bool) -> None:
        super().__init__()
        self._sentence, self._can_accept = sentence, can_accept

    def compose(self) -> ComposeResult:
        rows = [line(text) for text in wrapped(self._sentence, max(20, min(80, self.app.size.width) - 4))]
        ways = "y accepts the file as it is   Esc leaves it alone" if self._can_accept else "Esc leaves pitbench"
        with Vertical(id="box"):
            yield Lines([line(("This logbook was not opened.", "bad")), (), *rows, (), line((ways, "quiet"))])

    def action_accept(self) -> None:
        if self._can_accept:
            self.dismiss(True)

    def action_leave_form(self) -> None:
        self.dismiss(None)

    def action_quit_app(self) -> None:
        self.dismiss(None)
