"""What is said in the message line of whatever screen is shown: a sentence, gone after a while unless it is trouble."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.records.keys import key_for

if TYPE_CHECKING:
    from textual.timer import Timer

    from pitbench.app.app import PitbenchApp

STAYS_S = 12.0


class Saying:
    """Called with a sentence, the app says it."""

    def __init__(self, app: PitbenchApp) -> None:
        self._app = app
        self.said: tuple[str, str, bool] = ("", "", False)
        """The sentence, a hint, and whether it is trouble."""
        self.saved_at: int | None = None
        """The revision the sentence tells of."""
        self._silence: Timer | None = None

    def __call__(self, what: str, hint: str = "", trouble: bool = False) -> None:
        self.said, self.saved_at = (what, hint, trouble), None
        if self._silence is not None:
            self._silence.stop()
        self._silence = self._app.set_timer(STAYS_S, self._hush) if what and not trouble else None
        screen = self._app.screen
        show = getattr(screen, "show_message", None)
        if show is not None and screen.is_mounted:  # one that is being put together shows it once it stands
            show()

    def _hush(self) -> None:
        """What was said has been read; a form keeps its own words. The app may just have ended."""
        self.said = ("", "", False)
        if not self._app.screen_stack:
            return
        if getattr(self._app.screen, "SHOWN", ""):
            self("")

    def saved(self, words: str, since: int) -> None:
        """Say what was saved since this revision, when, and how it is taken back; u would take back another change
        where nothing was."""
        if self._app.book.revision == since:
            self(f"It stood so already, nothing was saved: {words}.")
        else:
            self(f"Saved {self._app.clock():%H:%M}: {words}.", f"{key_for('undo-change')} takes it back")
            self.saved_at = self._app.book.revision
