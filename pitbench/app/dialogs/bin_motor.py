"""A motor goes to the bin, and its runs with it: one that has runs is named and asked about first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.dialogs.choose import Choose
from pitbench.desk.entry.run_entry import bin_question, put_in_bin
from pitbench.records.keys import key_for

if TYPE_CHECKING:
    from pitbench.app.lists.list_screen import ListScreen


def bin_motor_asked(screen: ListScreen, motor_id: str) -> None:
    """Put a motor into the bin, at once if it has no runs; a key meant for something else must not take them."""

    def answered(choice: str | None) -> None:
        if choice:
            screen.pit.writing(lambda: put_in_bin(screen.pit.book, motor_id))

    if not screen.pit.writing.may():
        return
    question = bin_question(screen.pit.snapshot, motor_id)
    if question:
        choices = (("y", "bin", f"put them into the bin; {key_for('show-bin')} on Runs shows it"),)
        screen.pit.push_screen(Choose(question, choices), answered)
    else:
        answered("bin")
