"""A change written down: what, was, now, why, outcome; where and when stand above, filled in already."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from pitbench.app.screens.form_screen import FormScreen
from pitbench.app.widgets.form import field_of
from pitbench.app.widgets.paint import Line, line

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp
    from pitbench.desk.entry.setup_entry import Change

MOST_KNOWN = 12
ANSWERS = (
    ("+", "better", "better"),
    ("=", "no difference", "no difference"),
    ("-", "worse", "worse"),
    ('"', "", "in your own words"),
)
"""Keys no list screen with a track run under its mark has another use for: the question comes by itself after a save,
and a digit or letter pressed ahead, meant for a screen, must not answer it."""


class SetupForm(FormScreen):
    """New entry, or an edit of one; the cursor starts at what was changed, or at the outcome that is still open."""

    KIND = "setup_entry"
    FOOTER = ("next-field=next", "previous-field", "save-record", "explain-field", "leave-form")
    HELPED = ("next-field=next", "take-suggestion", "save-record", "explain-field", "leave-form")

    def __init__(self, entry_id: str | None = None, what: str = "") -> None:
        super().__init__()
        self._entry_id, self._what = entry_id, what
        self._filled = ""

    def begin(self) -> None:
        from pitbench.desk.entry.setup_entry import FIELDS, Before, edit_change, new_change

        snapshot = self.pit.snapshot
        self._before = Before(snapshot)
        self.title_words = "Edit setup entry" if self._entry_id else "New setup entry"
        if self._entry_id:
            self._entry = edit_change(snapshot, self._entry_id)
        else:
            self._entry = new_change(snapshot, self.pit.clock(), self._what)
        self.values = self.entry.texts
        self._filled = self.values["was"]
        self.fields = [field_of(name) for name in FIELDS]
        start = "what" if not self._entry_id or self.values["outcome"] else "outcome"
        self.at = FIELDS.index("now" if self._what else start)
        self.value_changed()

    @property
    def entry(self) -> Change:
        found: Change = self._entry
        return found

    def value_changed(self) -> None:
        from pitbench.desk.entry.setup_entry import setup_problems

        if self.values["was"] == self._filled and not self._entry_id:
            self.values["was"] = self._filled = self._before.was(self.entry)
        self._problems = setup_problems(self.entry, self.pit.snapshot, self.pit.clock())
        self.marks = {name: "bad" for name in self._problems if self.values.get(name, "").strip()}

    def above(self) -> list[Line]:
        return [line(("What is enough. The outcome can wait: it is asked for after the next run.", "quiet"))]

    def below(self) -> list[Line]:
        here = [name for name in (self.field.name, *self._problems) if name in self.marks]
        lines: list[Line] = [()]
        if here:
            lines += self.marked(self._problems[here[0]], "bad")
        else:
            lines += self.folded(f"{self.field.label}: {self.field.meaning}")
        return lines + self._help()

    def _help(self) -> list[Line]:
        """What may be meant, for F4; in the field of what was changed, what was changed before."""
        meant = self._meant()
        if self.field.name == "what":
            known = self._before.whats(self.value)[:MOST_KNOWN]
            lines = self.folded(f"Changed before: {', '.join(known)}.") if known else []
            return lines + (self.folded(f"F4 puts {meant}.") if meant else [])
        return self.folded(f"F4 puts {meant}.") if meant else []

    def _meant(self) -> str | None:
        from pitbench.desk.entry.setup_entry import suggestion

        if self.field.name != "what":
            return suggestion(self.entry, self.pit.snapshot, self.field.name) if self.value.strip() else None
        known = self._before.whats(self.value) if self.value.strip() else []
        return known[0] if known and known[0] != self.value else None

    def footer(self) -> tuple[str, ...]:
        return self.HELPED if self._meant() else self.FOOTER

    def action_take_suggestion(self) -> None:
        meant = self._meant()
        if meant:
            self.values[self.field.name] = meant
            self.body.put_input(self.at, meant)
            self.value_changed()
            self.draw()

    def store(self) -> str:
        from pitbench.desk.entry.setup_entry import save_change

        return save_change(self.pit.book, self.entry, self.pit.clock())

    def wrong_fields(self) -> Iterable[str]:
        return self._problems


def ask_outcome(pit: PitbenchApp, motor_id: str | None, car_id: str | None = None) -> None:
    """After a saved track run: what came of each change that is still open, the newest first; Esc ends the asking."""
    from pitbench.app.dialogs.ask_text import AskText
    from pitbench.app.dialogs.choose import Choose
    from pitbench.desk.entry.setup_entry import write_outcome
    from pitbench.desk.lists.setup_log import open_after
    from pitbench.words.setup import question_words

    waiting = open_after(pit.snapshot, motor_id, car_id)
    if not waiting:
        return
    entry_id, question = str(waiting[0]["id"]), question_words(waiting[0])

    def written(text: str | None) -> None:
        if text and pit.attempt(lambda: write_outcome(pit.book, entry_id, text)):
            ask_outcome(pit, motor_id, car_id)

    def answered(choice: str | None) -> None:
        if choice == "":
            pit.push_screen(AskText(question, "Enter without words leaves it open."), written)
        else:
            written(choice)

    pit.push_screen(Choose(question, ANSWERS, left="Esc leaves it open"), answered)
