"""What the forms of runs have in common: a doubtful number is shown with its cause before it is saved, F4 puts the one
that was meant, and the caution folds away.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, ClassVar, Protocol

from pitbench.app.screens.form_screen import FormScreen
from pitbench.app.widgets.paint import Line

if TYPE_CHECKING:
    from pitbench.desk.bench_side import FieldSuspect


class Doubts(Protocol):
    """What a form's side found: suspects and problems by field."""

    @property
    def suspects(self) -> Mapping[str, FieldSuspect]: ...

    @property
    def problems(self) -> Mapping[str, str]: ...


class DoubtfulForm(FormScreen):
    """A subclass says what is doubtful, and under which name the hands remember that its caution was read."""

    CAUTION_READ: ClassVar[str] = ""

    def doubts(self) -> Doubts:
        """What was found in the values as they stand."""
        raise NotImplementedError

    def mark_doubts(self) -> None:
        """Mark the fields that are doubtful or wrong."""
        found = self.doubts()
        self.marks = {**dict.fromkeys(found.suspects, "warn"), **dict.fromkeys(found.problems, "bad")}

    def doubt_lines(self) -> list[Line]:
        """What is wrong or doubtful here, else elsewhere: one sentence, and what the keys do about it."""
        found = self.doubts()
        doubted = [n for n in (self.field.name, *found.suspects, *found.problems) if n in self.marks]
        if not doubted:
            return []
        name = doubted[0]
        if name in found.problems:
            return self.marked(found.problems[name], "bad")
        suspect = found.suspects[name]
        put = f"F4 puts {suspect.suggested}. " if suspect.suggested else ""
        typed = self.values.get(name, "")
        keeps = f"Enter goes on and keeps {typed} as typed." if len(typed) <= 12 else "Enter goes on and keeps it."
        return [*self.marked(suspect.sentence, "warn"), *self.folded(f"{put}{keeps}", "warn", 3)]

    def suggestion(self) -> str:
        """The number F4 would put; empty if there is none."""
        name = self._suggested_field()
        return self.doubts().suspects[name].suggested if name else ""

    def _suggested_field(self) -> str | None:
        found = self.doubts().suspects
        names = (self.field.name, *found)
        return next((name for name in names if name in found and found[name].suggested), None)

    def action_take_suggestion(self) -> None:
        name = self._suggested_field()
        if name is None:
            return
        suspect = self.doubts().suspects[name]
        self.values[name] = suspect.suggested
        self.value_changed()
        self.body.put_input(self.at, self.value)
        self.draw()
        self.say(f"{suspect.suggested} put in place of {suspect.typed}.")

    def caution_read(self) -> bool:
        """Whether the caution has been folded away."""
        return bool(self.pit.hands.get(self.CAUTION_READ))

    def action_mark_caution_read(self) -> None:
        self.pit.hands.keep(self.CAUTION_READ, True)
        self.draw()
