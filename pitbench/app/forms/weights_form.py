"""Weights and margins of the figures; the ranking beside them follows each key."""

from collections.abc import Mapping
from functools import partial

from pitbench.app.answers import Key
from pitbench.app.forms.drafts import TeamsDraft
from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.widgets.form import Field
from pitbench.app.widgets.paint import Line, Role, fitted, line, wrapped
from pitbench.desk.classes import class_choices
from pitbench.desk.comparing.ranked import compared, offers_of
from pitbench.desk.comparing.ranking import Compared, WeightOrder
from pitbench.desk.comparing.weights import (
    raced,
    save_weights,
    typed_weights,
    weight_fields,
    weight_problems,
    weight_texts,
)
from pitbench.records.keys import key_for
from pitbench.records.numbers import shown
from pitbench.records.spoken import FIGURES
from pitbench.words.ranking import chance_number

MOST = 9
"""More motors than that do not fit beside the fields."""


class WeightsForm(FormScreen):
    """One weight and one margin a figure; blank is as by default."""

    KIND = "weights"
    DRAFT = TeamsDraft
    TITLE_WORDS = "Weights and margins"

    def __init__(self, class_name: str) -> None:
        super().__init__()
        self._class = class_name
        self._others: list[str] = []
        self._ranking: list[Line] = []

    def begin(self) -> None:
        self._others = [name for name in class_choices(self.pit.snapshot) if name != self._class]
        self.fields = [Field(f.name, f.label, f.unit, f.meaning) for f in weight_fields(raced(self.pit.snapshot))]
        self.values = weight_texts(self.pit.snapshot)
        self.value_changed()

    def answer_ready(self, key: Key) -> None:
        """The draws have come."""
        if key in self._keys():
            self.value_changed()
            self.draw()

    def on_unmount(self) -> None:
        for key in self._keys():
            self.pit.answers.drop(key)

    def _keys(self) -> list[Key]:
        return [_key(name) for name in (self._class, *self._others)]

    def _compared(self, class_name: str) -> Compared | None:
        """Draws of a class, which stay here as long as the form does."""
        drawn = self.pit.answers.ask(_key(class_name), partial(compared, class_name=class_name))
        return drawn.value if drawn else None

    def value_changed(self) -> None:
        self.mark_wrong(weight_problems(self.values), blank_too=True)
        self._ranking = self._tried()

    def _tried(self) -> list[Line]:
        """The ranking with what is typed so far."""
        compared = self._compared(self._class)
        if compared is None:
            failed = self.pit.answers.failed(_key(self._class))
            waits = "The ranking could not be worked out." if failed else "Working out the ranking …"
            return [line((waits, "warn" if failed else "quiet"))]
        if self.problems:
            return [line(("WITH THESE", "strong")), line(("The ranking waits for a number.", "quiet"))]
        weights, margins = typed_weights(self.pit.snapshot.settings(), self.values)
        answer = compared.answer(weights, margins)
        rows: list[Line] = [line(("WITH THESE", "strong"), ("        score %   chance", "quiet"))]
        for motor in answer.motors[:MOST]:
            role: Role = "accent" if motor.place == 1 else "text"
            name = fitted(f"{motor.place} {motor.motor}", 18)
            rows.append(line((name, role), f"{motor.score_pct:+6.1f}", f"{chance_number(motor.chance_best):>10}"))
        order = self._order_words(compared.weights_order(weights, margins), answer.leader)
        elsewhere = self._elsewhere(weights, margins)
        return [*rows, (), *order, *([(), *elsewhere] if elsewhere else [])]

    def _elsewhere(self, weights: Mapping[str, float], margins: Mapping[str, float]) -> list[Line]:
        """Other classes that get another leader: weights hold for all of them."""
        rows: list[Line] = []
        for name in self._others:
            compared = self._compared(name)
            now, then = (compared.leader(), compared.leader(weights, margins)) if compared else (None, None)
            if now != then:
                words = f"{name or 'No class named'}: {then} leads then, not {now}."
                rows += [line((row, "warn")) for row in wrapped(words, self.body.side_room - 4)]
        return rows

    @staticmethod
    def _order_words(orders: Mapping[str, WeightOrder], leader: str | None) -> list[Line]:
        """Which weights decide who leads: those whose half or double puts another motor first."""
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

    def _offered(self) -> str:
        """The weight the bench-to-track link offers for this field, where it is another than stands there."""
        compared = self._compared(self._class)
        what, name = self.field.name.split()
        if compared is None or what != "weight":
            return ""
        put = next((shown(each.weight) for each in offers_of(compared) if each.figure == name), "")
        return "" if put == self.value.strip() else put

    def footer(self) -> tuple[str, ...]:
        put = self._offered()
        return (*self.FOOTER[:1], f"take-suggestion=put {put}", *self.FOOTER[1:]) if put else self.FOOTER

    def action_take_suggestion(self) -> None:
        put = self._offered()
        if put:
            self.values[self.field.name] = put
            self.body.put_input(self.at, put)
            self.value_changed()
            self.draw()

    def above(self) -> list[Line]:
        text = "Power at load is the score; a figure counts besides if you give it weight."
        if self._others:
            text = "Power at load is the score; what you give weight counts too, in all classes."
        return [line((f" {text}", "quiet"))]

    def below(self) -> list[Line]:
        put = self._offered()
        words = (
            f"{key_for('take-suggestion')} puts {put}, which the link to the track offers."
            if put
            else self.field.meaning
        )
        return self.wrong_lines() or self.body.folded(words)

    def store(self) -> str:
        return save_weights(self.pit.book, self.values)


def _key(class_name: str) -> Key:
    """The question for draws of a class; its words are said where it fails."""
    return ("ranking with other weights", class_name)
