"""A logbook that cannot be opened: why, in one sentence, and what can be done."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen

from pitbench.app.actions import bindings
from pitbench.app.widgets.paint import Lines, line, wrapped


class Refused(ModalScreen[str | None]):
    """ACCEPT a hand edit knowingly, or RESTORE the newest good backup; None: leave, and the file is not touched."""

    ACCEPT, RESTORE = "accept", "restore"
    BINDINGS: ClassVar = [
        *bindings(("leave-form", "quit-app")),
        Binding("y", "accept", "accept", show=False, id="accept-edit"),
        Binding("r", "restore", "restore", show=False, id="restore-backup"),
    ]
    DEFAULT_CSS = """
    Refused { align: center middle; }
    Refused > #box { width: 100%; max-width: 80; height: auto; background: $pit-bars; padding: 1 2; }
    """

    def __init__(self, sentence: str, can_accept: bool, can_restore: bool) -> None:
        super().__init__()
        self._sentence, self._can_accept, self._can_restore = sentence, can_accept, can_restore

    def compose(self) -> ComposeResult:
        rows = [line(text) for text in wrapped(self._sentence, max(20, min(80, self.app.size.width) - 4))]
        ways = "   ".join(
            [
                *(["y accepts the file as it is"] if self._can_accept else []),
                *(["r brings the newest good backup back"] if self._can_restore else []),
                "Esc leaves pitbench",
            ]
        )
        with Vertical(id="box"):
            yield Lines([line(("This logbook was not opened.", "bad")), (), *rows, (), line((ways, "quiet"))])

    def action_accept(self) -> None:
        if self._can_accept:
            self.dismiss(self.ACCEPT)

    def action_restore(self) -> None:
        if self._can_restore:
            self.dismiss(self.RESTORE)

    def action_leave_form(self) -> None:
        self.dismiss(None)

    def action_quit_app(self) -> None:
        self.dismiss(None)
