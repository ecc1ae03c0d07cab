"""A logbook that cannot be opened: why, in one sentence, and what can be done."""

from typing import ClassVar

from textual.binding import Binding

from pitbench.app.dialogs.dialog import Dialog
from pitbench.app.widgets.paint import Line, line, wrapped


class Refused(Dialog[str]):
    """ACCEPT a hand edit knowingly, or RESTORE the newest good backup; None: leave, and the file is not touched."""

    ACCEPT, RESTORE = "accept", "restore"
    BINDINGS: ClassVar = [
        Binding("y", "accept", "accept", show=False, id="accept-edit"),
        Binding("r", "restore", "restore", show=False, id="restore-backup"),
    ]

    def __init__(self, sentence: str, can_accept: bool, can_restore: bool) -> None:
        super().__init__()
        self._sentence, self._can_accept, self._can_restore = sentence, can_accept, can_restore

    def rows(self) -> list[Line]:
        rows = [line(text) for text in wrapped(self._sentence, self.room)]
        ways = "   ".join(
            [
                *(["y accepts the file as it is"] if self._can_accept else []),
                *(["r brings the newest good backup back"] if self._can_restore else []),
                "Esc leaves pitbench",
            ]
        )
        return [line(("This logbook was not opened.", "bad")), (), *rows, (), line((ways, "quiet"))]

    def action_accept(self) -> None:
        if self._can_accept:
            self.dismiss(self.ACCEPT)

    def action_restore(self) -> None:
        if self._can_restore:
            self.dismiss(self.RESTORE)

    def action_quit_app(self) -> None:
        self.dismiss(None)
