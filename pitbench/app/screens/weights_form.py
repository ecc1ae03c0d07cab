"""Weights and margins of the figures; the ranking beside them follows each key."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import partial
from typing import TYPE_CHECKING

from pitbench.app.screens.form_screen import FormScreen
from pitbench.app.widgets.form import Field
from pitbench.app.widgets.paint import Line, Role, fitted, line

if TYPE_CHECKING:
    from pitbench.app.answers import Key
    from pitbench.desk import Compared
    from pitbench.desk.comparing.ranking import WeightOrder

MOST = 9
"""More motors than that do not fit beside the fields."""


class WeightsForm(FormScreen):
    """One weight and one margin a figure; blank is as by default."""

    TITLE_WORDS = "Weights and margins"
    FOOTER = ("next-field=next", "save-record", "explain-field", "leave-form")

    def __init__(self, class_name: str) -> None:
        super().__init__()
        self._class = class_name
        self._draws = ("draws to try weights on", class_name)
        self._ranking: list[Line] = []

    def begin(self) -> None:
        from pitbench.desk.comparing.weights import raced, weight_fields, weight_texts

        self.fields = [Field(f.name, f.label, f.unit, f.meaning) for f in weight_fields(raced(self.pit.snapshot))]
        self.values = weight_texts(self.pit.snapshot)
        self.value_changed()

    def answer_ready(self, key: Key) -> None:
        """The draws have come."""
        if key == self._draws:
            self.value_changed()
            self.draw()

    def on_unmount(self) -> None:
        self.pit.answers.drop(self._draws)

    def value_changed(self) -> None:
        from pitbench.desk.comparing.weights import weight_problems

        self._problems = weight_problems(self.values)
        self.marks = dict.fromkeys(self._problems, "bad")
        self._ranking = self._tried()

    def _tried(self) -> list[Line]:
        """The ranking with what is typed so far, from draws that stay here as long as the form does."""
        from pitbench.desk.comparing.ranking import compare
        from pitbench.desk.comparing.weights import typed_weights
        from pitbench.desk.words import chance_number

        drawn = self.pit.answers.ask(self._draws, partial(compare, class_name=self._class))
        if drawn is None:
            return [line(("Working out the ranking …", "quiet"))]
        compared: Compared = drawn.value
        weights, margins = typed_weights(self.pit.snapshot.settings(), self.values)
        answer = compared.answer(weights, margins)
        rows: list[Line] = [line(("WITH THESE", "strong"), ("        score %   chance", "quiet"))]
        for motor in answer.motors[:MOST]:
            role: Role = "accent" if motor.place == 1 else "text"
            name = fitted(f"{motor.place} {motor.motor}", 18)
            rows.append(line((name, role), f"{motor.score_pct:+6.1f}", f"{chance_number(motor.chance_best):>10}"))
        return [*rows, (), *self._order_words(compared.weights_order(weights, margins), answer.leader)]

    @staticmethod
    def _order_words(orders: Mapping[str, WeightOrder], leader: str | None) -> list[Line]:
        """Which weights decide who leads: those whose half or double puts another motor first."""
        from pitbench.desk.words import FIGURES

        decide = [
            FIGURES[figure]
            for figure, order in orders.items()
            if figure != "load_power_w" and {order.halved[0], order.doubled[0]} != {leader}
        ]
        if not orders.keys() - {"load_power_w"}:
            return []
        words = f"Half or double the weight of {decide[0]}" if decide else "No weight, halved or doubled,"
        role: Role = "warn" if decide else "quiet"
        return [line((words, role)), line(("puts another motor first.", role))]

    def side(self) -> list[Line]:
        return self._ranking

    def above(self) -> list[Line]:
        text = "Power at load is the score; a figure counts besides if you give it weight."
        return [line((f" {text}", "quiet"))]

    def below(self) -> list[Line]:
        here = [self._problems[n] for n in (self.field.name, *self._problems) if n in self._problems]
        if here:
            return self.marked(here[0], "bad")
        return self.folded(self.field.meaning)

    def store(self) -> str:
        from pitbench.desk.comparing.weights import save_weights

        return save_weights(self.pit.book, self.values)

    def wrong_fields(self) -> Iterable[str]:
        return self._problems
