"""What came of a change: asked after the next track run of the motor or car."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.dialogs.ask_text import AskText
from pitbench.app.dialogs.choose import Choose
from pitbench.desk.entry.setup_entry import write_outcome
from pitbench.desk.lists.setup_log import open_after
from pitbench.words.setup import question_words

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp

ANSWERS = (
    ("+", "better", "better"),
    ("=", "no difference", "no difference"),
    ("-", "worse", "worse"),
    ('"', "", "in your own words"),
)
"""No digits and no letters: the question comes by itself after a save, and a key pressed ahead, meant for a screen,
must not answer it."""


def ask_outcome(pit: PitbenchApp, motor_id: str | None, car_id: str | None = None) -> None:
    """After a saved track run: what came of each change that is still open, the newest first; Esc ends the asking."""
    waiting = open_after(pit.snapshot, motor_id, car_id)
    if not waiting:
        return
    entry_id, question = str(waiting[0]["id"]), question_words(waiting[0])

    def written(text: str | None) -> None:
        if text and pit.writing.attempt(lambda: write_outcome(pit.book, entry_id, text)):
            ask_outcome(pit, motor_id, car_id)

    def answered(choice: str | None) -> None:
        if choice == "":
            pit.push_screen(AskText(question, "Enter without words leaves it open."), written)
        else:
            written(choice)

    pit.push_screen(Choose(question, ANSWERS, left="leaves it open"), answered)
