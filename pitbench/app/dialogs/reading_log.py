"""A load log while it is read in the second process: how far it is, and Esc stops it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from textual import events

from pitbench.app.actions import BY_ID, keys_of
from pitbench.app.answers import STOPPED, Progress
from pitbench.app.dialogs.dialog import Dialog
from pitbench.app.widgets.paint import Line, Lines, line
from pitbench.records.keys import key_for, key_name
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp
    from pitbench.desk import Question

LOOKS_AGAIN_S = 0.1
LENGTH = 40


class ReadingLog(Dialog[Any]):
    """Returns the answer to the question, which reads a log; None where it was stopped or refused, which was said."""

    def __init__(self, what: str, question: Question) -> None:
        super().__init__()
        self._what, self._question = what, question
        self._progress = Progress()
        self._came: tuple[Any] | None = None

    def rows(self) -> list[Line]:
        part = self._progress.part
        full = round(part * LENGTH)
        said = "working it out" if part >= 1 else f"{part:.0%}".replace("%", " %")
        bar = line(("█" * full, "accent"), ("░" * (LENGTH - full), "quiet"), f"  {said}")
        return [
            line((self._what, "strong")),
            (),
            bar,
            (),
            line((f"{key_for('leave-form')} stops it, nothing is stored then", "quiet")),
        ]

    def on_mount(self) -> None:
        self.set_interval(LOOKS_AGAIN_S, self._show)
        self.app.run_worker(self._read(), group="load log")  # of the app: keys wait for workers of a screen

    def _show(self) -> None:
        self.query_one(Lines).show(self.rows())

    def awaits(self, event: events.Key | events.Paste) -> bool:
        """What is pressed ahead is meant for the page that comes; only what stops it, or leaves, is taken at once."""
        ends = {key for name in ("leave-form", "quit-app") for key in keys_of(BY_ID[name], self._pit.hands.keymap)}
        return self._came is None and not (isinstance(event, events.Key) and key_name(event.key) in ends)

    @property
    def _pit(self) -> PitbenchApp:
        return cast("PitbenchApp", self.app)

    async def _read(self) -> None:
        pit, found, why = self._pit, None, ""
        try:
            found = await pit.answers.work(self._question, pit.snapshot, True, self._progress)
        except Refusal as refusal:
            why = str(refusal)
        except Exception as error:  # whatever is wrong with a file must not end an evening of typing
            why = f"The log was not read: {pit.written_down(error)}"
        if self._progress.stopped or not pit.is_running:
            return
        if why:
            pit.say(why, trouble=True)
        self._came = (found,)
        self._end()

    def on_screen_resume(self) -> None:
        self._end()

    def _end(self) -> None:
        """Give the answer, once nothing stands on top."""
        if self._came is not None and self.is_current:
            self.dismiss(*self._came)

    def action_leave_form(self) -> None:
        self._progress.stop()
        self._pit.say(STOPPED)
        self.dismiss(None)
