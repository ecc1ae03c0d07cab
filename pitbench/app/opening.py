"""Opening the logbook behind the first frame: in a thread, its records checked after it, a refusal asked about."""

from __future__ import annotations

from asyncio import to_thread
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp
    from pitbench.desk import Logbook

CHECKED_AFTER_S = 0.3
FOLLOW_EVERY_S = 1.0

DEMO = "A demo: an invented weekend. Change what you like, this copy is gone when you leave."


class Opening:
    """Gives the app its logbook, or ends it with the sentence that says why not."""

    def __init__(self, app: PitbenchApp) -> None:
        self._app = app
        self.begun = False
        self.under_way = True
        """From the start on until the logbook stands, but for the time a refusal is asked about."""

    def begin(self, accept_hand_edit: bool = False) -> None:
        """Open in a thread; the screens are told when the logbook stands."""
        self.begun = True
        self._app.run_worker(partial(self._open, accept_hand_edit), thread=True, exclusive=True, group="open")

    def _open(self, accept_hand_edit: bool) -> None:
        try:
            logbook = self._app.open_logbook(accept_hand_edit)
        except Refusal as refusal:
            self._app.call_from_thread(self._refused, refusal, self._can_restore(refusal))
        else:
            self._app.call_from_thread(self._opened, logbook)

    def _can_restore(self, refusal: Refusal) -> bool:
        from pitbench.desk.checking import has_good_backup

        return bool(getattr(refusal, "can_restore", False)) and has_good_backup(Path(self._app.path))

    def _restore(self) -> None:
        from pitbench.desk.checking import restore
        from pitbench.words.backups import restored_words

        path = Path(self._app.path)
        try:
            words = restored_words(path, *restore(path, "newest"))
        except Refusal as refusal:
            self._app.call_from_thread(self._refused, refusal, False)
        else:
            self._app.call_from_thread(self._app.say, words)
            self._open(accept_hand_edit=False)

    def _opened(self, logbook: Logbook) -> None:
        self._app.take(logbook)
        self.under_way = False
        if self._app.demo:
            self._app.say(DEMO)
        else:
            self._offer_drafts(logbook)
        if logbook.read_only_why:
            self._app.say(logbook.read_only_why, trouble=True)
            self._app.set_interval(FOLLOW_EVERY_S, self._follow)
        self._look_through_soon()

    def _offer_drafts(self, logbook: Logbook) -> None:
        """Who lost power while typing is told that it is there still."""
        from pitbench.desk.entry.half_filled import About, kept
        from pitbench.words.drafts import GO_ON, offered_words

        for about in (About(kind, becomes="") for kind in GO_ON):
            draft = kept(logbook, about)
            if draft is not None:
                self._app.say(offered_words(about, draft))
                return

    def _look_through_soon(self) -> None:
        self._app.set_timer(CHECKED_AFTER_S, lambda: self._app.run_worker(self._look_through(), group="check"))

    async def _look_through(self) -> None:
        """The seal vouches for the file and its list stands: now the records are checked."""
        from pitbench.desk.checking import flaw

        book, snapshot = self._app.book, self._app.snapshot
        await to_thread(snapshot.share_numbers)
        if not book.unchecked:
            return
        try:
            book.take_check(snapshot.revision, await self._app.answers.work(flaw, snapshot, apart=True))
        except Refusal as refusal:
            self._app.say(str(refusal), trouble=True)
        except Exception as error:  # the first save checks them once more
            self._app.say(f"The records were not checked: {self._app.written_down(error)}", trouble=True)

    def _follow(self) -> None:
        """A read-only start reads again when the other one has saved."""
        try:
            if self._app.book.reread():
                self._look_through_soon()
        except Refusal as refusal:
            self._app.say(str(refusal), trouble=True)

    def _refused(self, refusal: Refusal, can_restore: bool) -> None:
        from pitbench.app.dialogs.refused import Refused

        self.under_way = False
        self._app.keys.drop()  # they were meant for something else

        def answered(way: str | None) -> None:
            self.under_way = True  # keys from here on are meant for the logbook again
            if way == Refused.ACCEPT:
                self.begin(accept_hand_edit=True)
            elif way == Refused.RESTORE:
                self._app.run_worker(self._restore, thread=True, exclusive=True, group="open")
            else:
                self._app.exit(return_code=refusal.status, message=str(refusal))

        can_accept = bool(getattr(refusal, "can_accept", False))
        self._app.push_screen(Refused(str(refusal), can_accept, can_restore), answered)
