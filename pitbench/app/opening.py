"""Opening the logbook behind the first frame: in a thread, its records checked between keys, a refusal asked about."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp
    from pitbench.desk import Logbook

CHECKED_AT_ONCE = 250
FOLLOW_EVERY_S = 1.0


class Opening:
    """Gives the app its logbook, or ends it with the sentence that says why not."""

    def __init__(self, app: PitbenchApp) -> None:
        self._app = app

    def begin(self, accept_hand_edit: bool = False) -> None:
        """Open in a thread; the screens are told when the logbook stands."""
        self._app.run_worker(partial(self._open, accept_hand_edit), thread=True, exclusive=True, group="open")

    def _open(self, accept_hand_edit: bool) -> None:
        try:
            logbook = self._app.open_logbook(accept_hand_edit)
        except Refusal as refusal:
            self._app.call_from_thread(self._refused, refusal)
        else:
            self._app.call_from_thread(self._opened, logbook)

    def _opened(self, logbook: Logbook) -> None:
        self._app.take(logbook)
        if logbook.read_only_why:
            self._app.say(logbook.read_only_why, trouble=True)
            self._app.set_interval(FOLLOW_EVERY_S, self._follow)
        self._app.set_timer(0.05, self._check_records)

    def _check_records(self) -> None:
        """The seal vouches for the file, its list stands: now the records are checked, some at a time between keys."""
        try:
            if not self._app.book.verify(CHECKED_AT_ONCE):
                self._app.set_timer(0.01, self._check_records)
        except Refusal as refusal:
            self._app.say(str(refusal), trouble=True)

    def _follow(self) -> None:
        """A read-only start reads again when the other one has saved."""
        try:
            self._app.book.reread()
        except Refusal as refusal:
            self._app.say(str(refusal), trouble=True)

    def _refused(self, refusal: Refusal) -> None:
        from pitbench.app.dialogs.refused import Refused

        def answered(accept: bool | None) -> None:
            if accept:
                self.begin(accept_hand_edit=True)
            else:
                self._app.exit(return_code=refusal.status, message=str(refusal))

        can_accept = bool(getattr(refusal, "can_accept", False))
        self._app.push_screen(Refused(str(refusal), can_accept=can_accept), answered)
