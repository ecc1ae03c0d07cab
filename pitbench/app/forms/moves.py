"""Where the input of a form stands: it moves from field to field, and what is typed belongs to the field it is on."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pitbench.app.forms.form_screen import FormScreen


class Moves:
    """Of one form."""

    def __init__(self, form: FormScreen) -> None:
        self._form = form

    def to(self, at: int) -> None:
        """Leave this field for another."""
        form = self._form
        self.leave()
        form.at = max(0, min(len(form.fields) - 1, at))
        form.body.put_input(form.at, form.value)
        form.draw()

    def leave(self) -> None:
        """What was typed stands as it is meant."""
        self._form.naming.complete()
        self._form.field_left()

    def take_typed(self) -> None:
        """What stands in the input belongs to the field it is on."""
        form = self._form
        if form.fields and form.body.input.value != form.value:
            form.values[form.field.name] = form.body.input.value
            form.say("")  # what was said is of what stood there before
            form.value_changed()
            form.draw()

    def following(self, step: int) -> int | None:
        """The next field, or with -1 the one before, that makes sense now."""
        form, at = self._form, self._form.at + step
        while 0 <= at < len(form.fields):
            if not form.passed_over(form.fields[at].name):
                return at
            at += step
        return None

    def first_empty(self) -> int:
        """The field typing goes on in; the last, to which one adds, when all are filled."""
        form = self._form
        empty = (at for at, f in enumerate(form.fields) if not form.values.get(f.name, "").strip())
        return next((at for at in empty if not form.passed_over(form.fields[at].name)), len(form.fields) - 1)

    def begin_again(self) -> None:
        """What stood here was saved, and another one has begun."""
        form = self._form
        form.drafts.begin()
        form.body.put_input(form.at, form.value)
        form.draw()
        form.say(form.pit.say.said[0])  # without its hint: u is a letter here
