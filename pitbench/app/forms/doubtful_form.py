"""What the forms of runs have in common: a doubtful number is shown with its cause before it is saved, F4 puts the one
that was meant.
"""

from collections.abc import Mapping
from typing import Protocol

from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.widgets.paint import Line, line, width_of
from pitbench.desk.entry.bench_side import FieldSuspect
from pitbench.desk.entry.half_filled import Written
from pitbench.records.keys import key_for
from pitbench.records.spoken import capital


class Doubts(Protocol):
    """What a form's side found: suspects and problems by field."""

    @property
    def suspects(self) -> Mapping[str, FieldSuspect]: ...

    @property
    def problems(self) -> Mapping[str, str]: ...


class DoubtfulForm(FormScreen):
    """A subclass says what is doubtful.

    A number that waits is answered for by Enter on it; saved without, it waits on.
    """

    asking: bool = False
    """Opened to answer for what waits: with the last answer it is saved."""

    def whose(self, title: str) -> Line:
        """A title over the side; without the motor's name, which stands above, where there is no room for it."""
        whole = line((title, "strong"))
        return whole if width_of(whole) <= self.body.side_room else line((title.rpartition("'S ")[2], "strong"))

    def doubts(self) -> Doubts:
        """What was found in the values as they stand."""
        raise NotImplementedError

    def mark_doubts(self) -> None:
        """Mark the fields that are doubtful or wrong."""
        found = self.doubts()
        self.marks = {**dict.fromkeys(found.suspects, "warn"), **dict.fromkeys(found.problems, "bad")}

    # numbers that wait

    @property
    def answers(self) -> Written:
        """Where it is remembered what was said to be right."""
        answers: Written = self.entry
        return answers

    def waits(self) -> list[str]:
        """Fields whose number waits as things stand."""
        found = self.doubts().suspects.items()
        return [name for name, suspect in found if suspect.waits and not self.answers.is_answered(name)]

    def kept_and_waiting(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Columns of doubtful numbers: those that are kept as they are saved, and those that wait."""
        waits, found = self.waits(), self.doubts().suspects.items()
        kept = (suspect.column for name, suspect in found if name not in waits and self.values.get(name, "").strip())
        return tuple(kept), tuple(suspect.column for name, suspect in found if name in waits)

    def ask_first(self) -> None:
        """Stand on the first number that waits."""
        waits = self.waits()
        self.at = next((at for at, field in enumerate(self.fields) if field.name in waits), self.at)

    def enter(self) -> None:
        """Enter on a number that waits says that it is right."""
        if self.field.name in self.waits():
            self.answers.answered[self.field.name] = self.value
            self.complete = True
        if not self.asking:
            super().enter()
        elif self.waits():
            self.ask_first()
            self.moves.to(self.at)
        else:
            self.action_save_record()

    @property
    def enter_entry(self) -> str:
        """Enter in the footer."""
        waits = self.waits()
        word = "keep" if self.field.name in waits else "save" if self.asking and not waits else "next"
        return f"next-field={word}"

    def doubt_lines(self) -> list[Line]:
        """What is wrong or doubtful here, else elsewhere: one sentence, and what the keys do about it."""
        found, name = self.doubts(), self._first_doubt()
        if name is None:
            return []
        if name in found.problems:
            return self.body.marked(found.problems[name], "bad")
        suspect = found.suspects[name]
        put = f"{key_for('take-suggestion')} puts {suspect.puts or suspect.suggested}. " if suspect.suggested else ""
        typed = self.values.get(name, "")
        typed = f"{typed} as typed" if len(typed) <= 12 else "it"
        goes_on = "" if self.asking else "goes on and "
        keeps = f"Enter {goes_on}keeps {typed}."
        if name != self.field.name and name in self.waits():
            keeps = f"It waits for your answer: Enter on it keeps {typed}."
        return [*self.body.marked(suspect.sentence, "warn"), *self.body.folded(f"{put}{keeps}", "warn", 3)]

    def suggestion(self) -> str:
        """The number F4 would put; empty if there is none."""
        suspect = self.doubts().suspects.get(self._first_doubt() or "")
        return suspect.puts or suspect.suggested if suspect and suspect.suggested else ""

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
        if self.naming.put():
            return
        name = self._first_doubt()
        suspect = self.doubts().suspects.get(name or "")
        if name is None or suspect is None or not suspect.suggested:
            return
        if suspect.other:
            self.values[suspect.other] = suspect.typed
        self.values[name] = suspect.suggested
        self.value_changed()
        self.body.put_input(self.at, self.value)
        self.draw()
        then = "" if not self.asking else " Enter goes to the next one." if self.waits() else " Enter saves."
        typed = "what was typed" if suspect.puts else suspect.typed
        self.say(f"{capital(suspect.puts or suspect.suggested)} put in place of {typed}.{then}")
