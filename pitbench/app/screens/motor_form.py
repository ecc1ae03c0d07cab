"""A motor: written down with its name alone, the rest when it is known."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from pitbench.app.screens.form_screen import FormScreen
from pitbench.app.widgets.form import field_of
from pitbench.app.widgets.paint import Line, line

if TYPE_CHECKING:
    from pitbench.desk.entry.motor_entry import MotorEntry


class MotorForm(FormScreen):
    """New motor, or an edit of one; other parts than before make a new build."""

    KIND = "motor"
    FOOTER = ("next-field=next", "save-record", "save-and-repeat=save, next", "explain-field", "leave-form")

    def __init__(self, motor_id: str | None) -> None:
        super().__init__()
        self._motor_id = motor_id

    def begin(self) -> None:
        from pitbench.desk.entry.motor_entry import motor_entry
        from pitbench.records.units import units_of

        self.title_words = "Edit motor" if self._motor_id else "New motor"
        self._entry = motor_entry(self.pit.snapshot, self._motor_id, self.pit.clock())
        self.values = self.entry.texts
        units = units_of(self.pit.snapshot)
        self.fields = [field_of(name, units) for name in self.entry.fields]
        self.at = 0
        self.value_changed()

    @property
    def entry(self) -> MotorEntry:
        found: MotorEntry = self._entry
        return found

    def value_changed(self) -> None:
        from pitbench.desk.entry.motor_entry import motor_problems

        self._problems = motor_problems(self.entry, self.pit.snapshot, self.pit.clock())
        self.marks = {name: "bad" for name in self._problems if self.values.get(name, "").strip()}

    def above(self) -> list[Line]:
        return [line((" A name is enough. Parts you have not named yet count as the motor's own.", "quiet"))]

    def below(self) -> list[Line]:
        lines: list[Line] = [()]
        here = [name for name in (self.field.name, *self._problems) if name in self.marks]
        if here:
            lines += self.marked(self._problems[here[0]], "bad")
        else:
            lines += self.folded(f"{self.field.label}: {self.field.meaning}")
        return lines

    def store(self) -> str:
        from pitbench.desk.entry.motor_entry import save_motor

        return save_motor(self.pit.book, self.entry, self.pit.clock())

    def wrong_fields(self) -> Iterable[str]:
        return self._problems

    def action_save_and_repeat(self) -> None:
        if self.save():
            kept = self.values.get("class", "")
            self._motor_id = None
            self.begin()
            self.values["class"] = kept
            self.drafts.begin()
            self.show_frame()
            self.body.put_input(0, "")
            self.draw()
            self.say(self.pit.message[0])  # without its hint: u is a letter here
