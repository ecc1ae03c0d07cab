"""A cooling reading that waits for an answer: right, another number, or to the bin. It has no form of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.dialogs.choose import Choose
from pitbench.desk.entry.cooling_entry import answer_reading, bin_reading, reading_question

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp
    from pitbench.records.kinds import Row


def ask_reading(pit: PitbenchApp, row: Row) -> None:
    """Ask about one reading."""
    if not pit.writing.may():
        return
    question, suggested = reading_question(pit.snapshot, row)
    put = [("p", "put", f"{suggested} was meant")] if suggested else []
    choices = [*put, ("k", "keep", "it is right: it counts"), ("d", "bin", "it is wrong: to the bin")]

    def answered(choice: str | None) -> None:
        if choice == "bin":
            pit.writing(lambda: bin_reading(pit.book, row["id"]))
        elif choice:
            pit.writing(lambda: answer_reading(pit.book, row["id"], put=choice == "put"))

    pit.push_screen(Choose(question, choices), answered)
