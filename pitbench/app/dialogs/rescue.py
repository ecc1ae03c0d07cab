"""Offered when the file under the open logbook is none any more: to write what is held beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.dialogs.choose import Choose
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp

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
        app.push_screen(Choose(question, CHOICES, left="Esc leaves it"), answered)
