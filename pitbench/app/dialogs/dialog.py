"""What all dialogs have in common: a box over the lower part of the screen, so that what it is about goes on standing
above it, and Esc leaves it."""

from typing import TYPE_CHECKING, cast

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import ModalScreen, ScreenResultType

from pitbench.app.actions import bindings
from pitbench.app.widgets.paint import Line, Lines, line, wrapped

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp

WIDEST = 80


class Dialog(ModalScreen[ScreenResultType | None]):
    """A subclass says what its box holds, mostly rows; it returns None when left."""

    BINDINGS = bindings(("leave-form", "quit-app"))
    DEFAULT_CSS = """
    Dialog { align: center bottom; padding-bottom: 1; }
    Dialog > #box { width: 100%; max-width: 80; height: auto; background: $pit-bars; padding: 1 2; }
    Dialog:ansi > #box { border: round ansi_default; padding: 0 1; }
    """

    def compose(self) -> ComposeResult:
        with Vertical(id="box"):
            yield from self.contents()

    def contents(self) -> ComposeResult:
        """What stands in the box."""
        yield Lines(self.rows())

    def rows(self) -> list[Line]:
        raise NotImplementedError

    @property
    def room(self) -> int:
        """Columns a row has."""
        return max(20, min(WIDEST, self.app.size.width) - 4)

    def action_leave_form(self) -> None:
        self.dismiss(None)

    def action_quit_app(self) -> None:
        cast("PitbenchApp", self.app).leave(self._warn)

    def _warn(self, words: str) -> None:
        """In the box: no message line is to be seen."""
        self.query_one("#box").mount(Lines([line((row, "warn")) for row in wrapped(words, self.room)]))
