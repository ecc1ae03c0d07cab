"""A logbook that cannot be opened: why, in one sentence, and what can be done."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from pitbench.app.dialogs.choose import Choose
from pitbench.app.dialogs.dialog import Dialog
from pitbench.app.widgets.paint import Line, line, wrapped
from pitbench.records.keys import DEFAULTS, key_for
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp


class Refused(Dialog[str]):
    """ACCEPT a hand edit knowingly, or RESTORE the newest good backup; None: leave, and the file is not touched."""

    ACCEPT, RESTORE = "accept", "restore"
    BINDINGS: ClassVar = [
        Binding(DEFAULTS["accept-edit"], "accept", "accept", show=False, id="accept-edit"),
        Binding(DEFAULTS["restore-backup"], "restore", "restore", show=False, id="restore-backup"),
    ]

    def __init__(self, sentence: str, can_accept: bool, can_restore: bool) -> None:
        super().__init__()
        self._sentence, self._can_accept, self._can_restore = sentence, can_accept, can_restore

    def rows(self) -> list[Line]:
        rows = [line(text) for text in wrapped(self._sentence, self.room)]
        ways = [
            *([f"{key_for('accept-edit')} accepts the file as it is"] if self._can_accept else []),
            *([f"{key_for('restore-backup')} brings the newest good backup back"] if self._can_restore else []),
            f"{key_for('leave-form')} leaves pitbench",
        ]
        told = [line((text, "quiet")) for text in ways]
        return [line(("This logbook was not opened.", "bad")), (), *rows, (), *told]

    def action_accept(self) -> None:
        if self._can_accept:
            self.dismiss(self.ACCEPT)

    def action_restore(self) -> None:
        if self._can_restore:
            self.dismiss(self.RESTORE)

    def action_quit_app(self) -> None:
        self.dismiss(None)


CHOICES = [("w", "write", "writes what pitbench holds into a new file beside it")]


def offer_rescue(app: PitbenchApp, refusal: Refusal) -> None:
    """Ask, if that is why something was not saved; whatever is answered, the file stays as it is."""

    def answered(way: str | None) -> None:
        if way is not None:
            app.writing.attempt(write)

    def write() -> None:
        from pitbench.desk.checking import rescue
        from pitbench.words.backups import rescued_words

        app.say(rescued_words(rescue(app.book, app.clock())))

    if refusal.can_rescue:
        question = f"Nothing was saved, and all that was saved before is in this window alone. {refusal}"
        app.push_screen(Choose(question, CHOICES, left="leaves it"), answered)
