"""Writing into the open logbook from any screen: whether it may be, a refusal said in its own sentence, steps back."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from pitbench.records.keys import key_for
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp


class Writing:
    """Called with work that writes, it does it if that may be."""

    def __init__(self, app: PitbenchApp) -> None:
        self._app = app

    def __call__(self, work: Callable[[], str | None]) -> None:
        if self.may():
            self.attempt(work)

    def may(self) -> bool:
        """Whether the logbook may be written; says why not."""
        why = self._app.book.read_only_why
        if why:
            self._app.say(why, trouble=True)
        return not why

    def attempt(self, work: Callable[[], str | None]) -> bool:
        """Do something that writes, say its words; True when it went well."""
        since = self._app.book.revision
        try:
            words = work()
        except Refusal as refusal:
            from pitbench.app.dialogs.refused import offer_rescue

            self._app.say(str(refusal), trouble=True)
            offer_rescue(self._app, refusal)
            return False
        if words:
            self._app.say.saved(words, since)
        return True

    def undo(self) -> None:
        """One step back."""
        self(
            lambda: self._stepped(
                self._app.book.journal.undo(), "Taken back", f"{key_for('redo-change')} does it again"
            )
        )

    def redo(self) -> None:
        """One step forth again."""
        self(
            lambda: self._stepped(
                self._app.book.journal.redo(), "Done again", f"{key_for('undo-change')} takes it back"
            )
        )

    def _stepped(self, words: str | None, done: str, hint: str) -> None:
        nothing = f"There is nothing to {'take back' if done == 'Taken back' else 'do again'}."
        self._app.say(f"{done}: {words}." if words else nothing, hint if words else "")
