"""Leaving a run out: why, and before it is done, what would change in the ranking of its class."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, cast

from textual.app import ComposeResult

from pitbench.app.dialogs.ask_text import AskText
from pitbench.app.widgets.paint import Lines, line, wrapped
from pitbench.desk.comparing.ranked import without_run
from pitbench.records.keys import key_for
from pitbench.words.left_out import without_words

if TYPE_CHECKING:
    from pitbench.app.answers import Key
    from pitbench.app.app import PitbenchApp

ROOM = 3
"""Lines kept for what would change, so that nothing moves when it is known."""


class LeaveOut(AskText):
    """Returns the reason, or None. The question stands at once; what would change follows when it is worked out."""

    NEEDED = "A word why is needed, nothing is left out yet."

    def __init__(self, run_id: str, class_: str, run: str) -> None:
        """run: which it is, in words."""
        super().__init__(
            f"{run}: leave this run out of every figure. Why?",
            f"It stays listed; {key_for('exclude-record')} takes it in again.",
        )
        self._run_id, self._class = run_id, class_

    def compose_more(self) -> ComposeResult:
        yield Lines(id="change")

    def on_mount(self) -> None:
        self._show()

    def answer_ready(self, key: Key) -> None:
        """The ranking, or what would change in it, has come."""
        if self.is_mounted:
            self._show()

    def _show(self) -> None:
        rows = wrapped(self._change(), self.room)
        lines = [line((row, "text")) for row in rows]
        self.query_one("#change", Lines).show([*lines, *[()] * (ROOM - len(lines)), ()])

    def _change(self) -> str:
        answers = cast("PitbenchApp", self.app).answers
        ranked = answers.ranking(self._class)
        if ranked is None or ranked.revision != cast("PitbenchApp", self.app).snapshot.revision:
            failed = answers.failed(answers.ranking_key(self._class))
        else:
            key = ("answer to what would change", self._run_id)
            asked = partial(without_run, class_name=self._class, run_id=self._run_id)
            found = answers.ask(key, asked, ranked, apart=True)
            if found is not None:
                return without_words(ranked.answer, found.value)
            failed = answers.failed(key)
        return "What would change could not be worked out." if failed else "Working out what would change …"
