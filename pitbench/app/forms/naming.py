"""Names in a form complete as they are typed: what was begun stands under the fields, F4 puts it, and leaving a field
whose names must be known puts the only one that begins so."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.widgets.paint import Line
from pitbench.desk.entry import known_names
from pitbench.records.keys import key_for

if TYPE_CHECKING:
    from pitbench.app.forms.form_screen import FormScreen

MOST_SHOWN = 8
OWN_WORDS = ("what",)
"""Fields in which something new is no slip."""


class Naming:
    """Of one form."""

    def __init__(self, form: FormScreen) -> None:
        self._form = form

    def begun(self) -> list[str]:
        """The names that begin as what stands in the field."""
        return known_names.begun(self._form.value, self._form.names())

    def meant(self) -> str | None:
        """What F4 puts."""
        if self._form.field.name in OWN_WORDS:
            return next(iter(self.begun()), None)
        return known_names.meant(self._form.value, self._form.names())

    def put(self) -> bool:
        """Put the name that is meant; False where none is."""
        meant = self.meant()
        if meant:
            self._take(meant)
            self._form.draw()
        return bool(meant)

    def complete(self) -> None:
        """The field is left: a name of which only the beginning was typed is written out."""
        found = self.begun() if self._form.field.name in self._form.KNOWN else []
        if len(found) == 1:
            self._take(found[0])

    def _take(self, name: str) -> None:
        form = self._form
        form.values[form.field.name] = name
        form.body.put_input(form.at, name)
        form.value_changed()

    def lines(self, wrong: list[Line] | None = None) -> list[Line]:
        """What is meant, said under the fields; `wrong`: what is said of a name that nothing known begins with."""
        found, meant = self.begun(), self.meant()
        if meant is None:
            return wrong or []
        puts = f"{key_for('take-suggestion')} puts {meant}"
        if len(found) > 1:
            return self._form.body.folded(
                f"{', '.join(found[:MOST_SHOWN])}: {key_for('take-suggestion')} puts {meant}."
            )
        enter = ", Enter too" if found and self._form.field.name in self._form.KNOWN else ""
        return [
            *(wrong if wrong and not found else []),
            *self._form.body.folded(f"{puts}{enter}."),
        ]
