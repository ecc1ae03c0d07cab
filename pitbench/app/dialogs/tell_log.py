"""What was changed in a track run's form: offered for the setup log, so that nobody tells it twice."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from pitbench.app.dialogs.choose import Choose
from pitbench.desk.entry.track_told import tell_log, told_words, untold
from pitbench.records.spoken import capital

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp

CHOICES = (("+", "log", "write it into the setup log"),)
"""A key no screen with a track run under its mark uses, as for the outcome: it comes by itself after a save."""


def offer_for_log(pit: PitbenchApp, run_id: str, then: Callable[[], None]) -> None:
    """After a saved track run; `then` follows, whatever the answer."""
    changed = untold(pit.snapshot, run_id)
    if not changed:
        then()
        return

    def answered(choice: str | None) -> None:
        if choice:
            pit.writing.attempt(lambda: tell_log(pit.book, run_id))
        then()

    question = f"{capital(told_words(changed))}, changed for this run."
    pit.push_screen(Choose(question, CHOICES, left="leaves the log as it is"), answered)
