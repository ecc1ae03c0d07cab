"""What the forms of runs have in common: a doubtful number is shown with its cause before it is saved, F4 puts the one
that was meant, and the caution folds away.
"""

from collections.abc import Mapping
from typing import ClassVar, Protocol

from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.widgets.form import SIDE_AT
from pitbench.app.widgets.paint import Line, line, width_of
from pitbench.desk.entry.bench_side import FieldSuspect


class Doubts(Protocol):
    """What a form's side found: suspects and problems by field."""

    @property
    def suspects(self) -> Mapping[str, FieldSuspect]: ...

    @property
    def problems(self) -> Mapping[str, str]: ...


class DoubtfulForm(FormScreen):
    """A subclass says what is doubtful, and under which name the hands remember that its caution was read."""

    CAUTION_READ: ClassVar[str] = ""

    def whose(self, title: str) -> Line:
        """A title over the side; without the motor's name, which stands above, where there is no room for it."""
        whole = line((title, "strong"))
        room = (self.size.width or 80) - SIDE_AT - 1
        return whole if width_of(whole) <= room else line((title.rpartition("'S ")[2], "strong"))

    def doubts(self) -> Doubts:
        """What was found in the values as they stand."""
        raise NotImplementedError

    def mark_doubts(self) -> None:
        """Mark the fields that are doubtful or wrong."""
        found = self.doubts()
        self.marks = {**dict.fromkeys(found.suspects, "warn"), **dict.fromkeys(found.problems, "bad")}

    def doubt_lines(self) -> list[Line]:
        """What is wrong or doubtful here, else elsewhere: one sentence, and what the keys do about it."""
        found, name = self.doubts(), self._first_doubt()
        if name is None:
            return []
        if name in found.problems:
            return self.body.marked(found.problems[name], "bad")
        suspect = found.suspects[name]
        put = f"F4 puts {suspect.suggested}. " if suspect.suggested else ""
        typed = self.values.get(name, "")
        keeps = f"Enter goes on and keeps {typed} as typed." if len(typed) <= 12 else "Enter goes on and keeps it."
        return [*self.body.marked(suspect.sentence, "warn"), *self.body.folded(f"{put}{keeps}", "warn", 3)]

    def suggestion(self) -> str:
        """The number F4 would put; empty if there is none."""
        suspect = self.doubts().suspects.get(self._first_doubt() or "")
        return suspect.suggested if suspect else ""

    def _first_doubt(self) -> str | None:
        """The doubt that is spoken of: of this field, else one with a suggestion, else of the field left last."""
        found = self.doubts()
        names = [field.name for field in self.fields]
        upwards = [*names[self.at :: -1], *names[self.at + 1 :], *found.suspects, *found.problems]
        doubted = [name for name in upwards if name in self.marks]
        if doubted[:1] != [self.field.name]:
            doubted.sort(key=lambda name: name in found.problems or not found.suspects[name].suggested)
        return next(iter(doubted), None)

    def action_take_suggestion(self) -> None:
        name, suspect = self._first_doubt(), self.doubts().suspects.get(self._first_doubt() or "")
        if name is None or suspect is None or not suspect.suggested:
            return
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
