"""The caution of a form: its short lines always stand, F7 folds the long text, each form's own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.widgets.paint import Line, line
from pitbench.records.keys import key_for, with_keys

if TYPE_CHECKING:
    from pitbench.app.forms.form_screen import FormScreen


class FormCaution:
    """Of one form; one without a hazard has none."""

    def __init__(self, form: FormScreen) -> None:
        self._form, self._said = form, form.CAUTION

    @property
    def _kept_as(self) -> str:
        return f"{self._form.KIND}_caution_read"

    @property
    def is_read(self) -> bool:
        """Whether the long text has been folded away."""
        return self._said is None or bool(self._form.pit.hands.get(self._kept_as))

    def under(self) -> list[Line]:
        """What always stands over the footer."""
        return [] if self._form.CAUTION_BESIDE else self._lines(" ")

    def beside(self) -> list[Line]:
        """What always stands beside the fields, in a form that fills the screen."""
        return self._lines("") if self._form.CAUTION_BESIDE else []

    def _lines(self, indent: str) -> list[Line]:
        """Each hazard's line; the last names the key."""
        if self._said is None:
            return []
        rows = [line((indent + text, "warn")) for text in self._said.short]
        return [*rows[:-1], (*rows[-1], ("  ", "text"), (key_for("mark-caution-read"), "accent"))]

    def long(self) -> list[Line]:
        """What stands in place of a field's meaning until it is folded away."""
        return [] if self._said is None or self.is_read else self._form.body.folded(with_keys(self._said.long), "warn")

    def fold(self) -> None:
        """Fold the long text away, or out again."""
        if self._said is not None:
            self._form.pit.hands.keep(self._kept_as, not self.is_read)
            self._form.draw()
