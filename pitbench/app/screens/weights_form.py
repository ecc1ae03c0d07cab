"""Weights and margins of the figures, the ranking following when they are saved."""

from __future__ import annotations

from collections.abc import Iterable

from pitbench.app.screens.form_screen import FormScreen
from pitbench.app.widgets.form import Field
from pitbench.app.widgets.paint import Line, line


class WeightsForm(FormScreen):
    """One weight and one margin a figure; blank is as by default."""

    TITLE_WORDS = "Weights and margins"
    FOOTER = ("next-field=next", "save-record", "explain-field", "leave-form")

    def begin(self) -> None:
        from pitbench.desk.weights import weight_fields, weight_texts

        self.fields = [Field(f.name, f.label, f.unit, f.meaning) for f in weight_fields()]
        self.values = weight_texts(self.pit.snapshot)
        self.value_changed()

    def value_changed(self) -> None:
        from pitbench.desk.weights import weight_problems

        self._problems = weight_problems(self.values)
        self.marks = dict.fromkeys(self._problems, "bad")

    def above(self) -> list[Line]:
        text = "Power at load is the score; a figure counts besides if you give it weight."
        return [line((f" {text}", "quiet"))]

    def below(self) -> list[Line]:
        here = [self._problems[n] for n in (self.field.name, *self._problems) if n in self._problems]
        if here:
            return self.marked(here[0], "bad")
        return self.folded(self.field.meaning)

    def store(self) -> str:
        from pitbench.desk.weights import save_weights

        return save_weights(self.pit.book, self.values)

    def wrong_fields(self) -> Iterable[str]:
        return self._problems
