"""A motor over its whole speed at a stated voltage, another one over it. Part of the motor page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from pitbench.app.actions import bindings
from pitbench.app.pages.motor_part import MotorPart
from pitbench.app.widgets.letters import letters
from pitbench.app.widgets.paint import Line, Role, Span, fitted, line
from pitbench.app.widgets.table import Column, Table, number
from pitbench.desk.classes import NO_CLASS
from pitbench.desk.lists.motor_model import (
    LEAST_V,
    MOST_V,
    STEP_V,
    At,
    LaidOut,
    Model,
    Models,
    NoModel,
    at_current,
    at_speeds,
    laid_out,
    models_of,
    speeds_of,
)
from pitbench.desk.lists.motors import class_of
from pitbench.records.kinds import Row
from pitbench.words.motor_model import beside_words, conditions_words, made_of_words, model_words, no_model_words

if TYPE_CHECKING:
    from pitbench.app.widgets.model_plot import Drawn

BOTH_FIT = 38
"""Lines of the screen from which table and plot stand together."""
LINES, WITH_PLOT = 18, 28
"""Speeds listed without a plot; lines that all else takes beside one."""
FIGURES: dict[str, tuple[str, Callable[[At], float]]] = {
    "power": ("power at the shaft, W", lambda at: at.power),
    "efficiency": ("efficiency, %", lambda at: 100 * at.efficiency),
    "torque": ("torque, mN·m", lambda at: 1000 * at.torque),
    "current": ("current, A", lambda at: at.current),
}
PLOTS = (("power", "efficiency"), ("torque", "current"))
Speed = tuple[float, tuple[At | None, ...]]
"""One speed in rpm, and every motor there."""


class MotorModelPage(MotorPart):
    """A line a speed, fastest first; `v` draws it."""

    CSS = "MotorModelPage.both #more { height: auto; margin-bottom: 1; }"
    PART = "motor-model"
    EXPLAINS = "motor model"
    FOOTER = ("voltage-up=voltage", "put-beside", "next-plot=plot", "next-part=motor page", "go-back", "show-keys")
    BINDINGS = bindings(("voltage-up", "voltage-down", "put-beside", "take-away", "next-plot"))

    def __init__(self, motor_id: str) -> None:
        super().__init__(motor_id)
        self._models: Models | None = None
        self._voltage: float | None = None
        self._beside: str | None = None
        self._view = 0
        self._marked = False

    # asking

    def ask_of(self, motor: Row) -> None:
        class_ = class_of(self.pit.snapshot, self._motor_id) or NO_CLASS
        ranked = self.asking.ranking(class_)
        if ranked is None:
            self.pane.say_waiting(self.pit.answers.ranking_key(class_))
            return
        key = ("motor model", class_)
        asked = partial(models_of, class_name=class_, rank=ranked.answer)
        found = self.asking.answer_to(key, asked, ranked.revision)
        if found is None:
            self.pane.say_waiting(key)
            return
        if self._models is None:
            self._beside = _first_beside(found.value, self._motor_name)
        self._models = found.value
        self._show()

    # showing

    def _show(self) -> None:
        models = self._models
        assert models is not None
        voltage = self._volts(models)
        shown = self._shown(models)
        if not shown:
            found = models.motors.get(self._motor_name)
            self.pane.say(*no_model_words(found if isinstance(found, NoModel) else None, self._motor_name, voltage))
            self.pane.show()
            self.pane.below()
            self._draw([])
            return
        laid = [laid_out(model, voltage, models.at_work) for model in shown]
        said = model_words(laid[0], voltage, models)
        if len(laid) > 1:
            said.append(self._beside_words(laid[0], shown[1], models))
        self.pane.say(*said)
        self.set_class(self._tall, "both")
        self._show_table(laid, models)
        self.pane.below(self._made_of(shown, models))
        self._draw(laid)

    def _show_table(self, laid: Sequence[LaidOut], models: Models) -> None:
        speeds = speeds_of(laid, self.size.height - WITH_PLOT if self._tall else LINES)
        rows: list[Speed] = [(speed, tuple(self._at(each, speed, models) for each in laid)) for speed in speeds]
        table = Table(_columns(laid), self.size.width)
        shown = not self._plotted or self._tall
        self.pane.stand(table=shown, below=shown)
        self.pane.show(
            [f"{speed:.0f}" for speed in speeds], lambda at: table.row(rows[at]), [_names(laid), *table.heads()]
        )
        if not self._marked:
            self._marked = True
            working = [f"{speed:.0f}" for speed, (first, *_) in rows if first is not None and first.works]
            self.pane.list.put_mark((working or [f"{speeds[0]:.0f}"])[len(working) // 2])

    def _made_of(self, shown: Sequence[Model], models: Models) -> list[Line]:
        units, now = self.units, self.pit.clock()
        facts = [made_of_words(model, models, units, now) for model in shown]
        wide = max(len(model.motor) for model in shown), max(len(kv) for kv, _ in facts)
        lines = [
            line("   ", fitted(model.motor, wide[0]), (f"  {fitted(kv, wide[1])}  {ohm}", "quiet"))
            for model, (kv, ohm) in zip(shown, facts, strict=True)
        ]
        return [*lines, *self.pane.indented(" ".join(conditions_words(shown, models, units)))]

    def _at(self, laid: LaidOut, speed: float, models: Models) -> At | None:
        found = at_speeds(laid.model, self._volts(models), [speed], models.at_work)
        return found[0] if found else None

    def _beside_words(self, laid: LaidOut, other: Model, models: Models) -> str:
        voltage = self._volts(models)
        if laid.work is None or models.at_work is None:
            return beside_words(laid, other, None, None)
        current, speed = sum(models.at_work) / 2, round(sum(at.rpm for at in laid.work) / 2, -2)
        drawing = [at_current(model, voltage, current) for model in (laid.model, other)]
        turning = [at_speeds(model, voltage, [speed], None) for model in (laid.model, other)]
        return beside_words(
            laid,
            other,
            (drawing[0], drawing[1]) if drawing[0] and drawing[1] else None,
            (turning[0][0], turning[1][0]) if turning[0] and turning[1] else None,
        )

    def _draw(self, laid: Sequence[LaidOut]) -> None:
        if not laid or not (self._plotted or self._tall):
            self.pane.no_plot()
            return
        from pitbench.app.widgets.model_plot import ModelPlot

        slow_fast = laid[0].work
        work = (slow_fast[0].rpm / 1000, slow_fast[1].rpm / 1000) if slow_fast else None
        figures = [(FIGURES[figure][0], _lines(laid, figure)) for figure in PLOTS[self._plot]]
        self.pane.plot(ModelPlot).show(figures, work)

    # what stands

    def _volts(self, models: Models) -> float:
        return models.voltage if self._voltage is None else self._voltage

    def _shown(self, models: Models) -> list[Model]:
        """The motor, and the one beside it; nothing where the motor cannot be laid out."""
        own = models.motors.get(self._motor_name)
        if not isinstance(own, Model):
            return []
        other = models.motors.get(self._beside or "")
        if own.log is not None:  # what logs told is set beside what logs told
            other = models.by_log.get(self._beside or "", other)
        return [own, other] if isinstance(other, Model) else [own]

    @property
    def _tall(self) -> bool:
        return self.size.height >= BOTH_FIT

    @property
    def _plotted(self) -> bool:
        return not self._tall and self._view % (1 + len(PLOTS)) > 0

    @property
    def _plot(self) -> int:
        return self._view % len(PLOTS) if self._tall else max(0, self._view % (1 + len(PLOTS)) - 1)

    # keys

    def action_step_voltage(self, by: int) -> None:
        if self._models is not None:
            self._voltage = min(max(round(self._volts(self._models) + by * STEP_V, 1), LEAST_V), MOST_V)
            self._show()

    def action_put_beside(self) -> None:
        """The next motor of the class that can be laid out, the best first; behind the last, none."""
        if self._models is not None:
            others = [*_others(self._models, self._motor_name), None]
            at = others.index(self._beside) if self._beside in others else -1
            self._beside = others[(at + 1) % len(others)]
            self._show()

    def action_take_away(self) -> None:
        self._beside = None
        if self._models is not None:
            self._show()

    def action_next_plot(self) -> None:
        self._view += 1
        if self._models is not None:
            self._show()


def _others(models: Models, name: str) -> list[str]:
    return [each for each, found in models.motors.items() if isinstance(found, Model) and each != name]


def _first_beside(models: Models, name: str) -> str | None:
    return next(iter(_others(models, name)), None)


def _names(laid: Sequence[LaidOut]) -> Line:
    """Above the table: whose columns these are."""
    spans: list[Span] = [(fitted("", 9), "quiet")]
    for nth, each in enumerate(laid):
        role: Role = "text" if nth else "accent"
        spans.append((f"  {fitted(each.model.motor, 28)}", role))
    return line(*spans)


def _columns(laid: Sequence[LaidOut]) -> list[Column[Speed]]:
    columns: list[Column[Speed]] = [Column("rpm", 6, lambda row: f"{row[0]:.0f}", "right")]
    for nth in range(len(laid)):
        columns += [
            Column("current|A", 7, partial(_cell, nth, "current", 1), "right"),
            Column("torque|mN·m", 6, partial(_cell, nth, "torque", 0), "right"),
            Column("power|W", 5, partial(_cell, nth, "power", 0), "right"),
            Column("eff.|%", 4, partial(_cell, nth, "efficiency", 0), "right"),
        ]
    columns.append(Column("", 7, _works))
    return columns


def _cell(nth: int, figure: str, decimals: int, row: Speed) -> tuple[str, Role]:
    at = row[1][nth]
    first = row[1][0]
    role: Role = "text" if first is not None and first.works else "quiet"
    return number(None if at is None else FIGURES[figure][1](at), decimals), role


def _works(row: Speed) -> tuple[str, Role]:
    first = row[1][0]
    return ("at work" if first is not None and first.works else ""), "accent"


def _lines(laid: Sequence[LaidOut], figure: str) -> list[Drawn]:
    from pitbench.app.widgets.model_plot import Drawn

    signs = letters([each.model.motor for each in laid])
    measure = FIGURES[figure][1]
    return [
        Drawn(
            each.model.motor,
            sign,
            "text" if nth else "accent",
            [(at.rpm / 1000, measure(at)) for at in each.line],
        )
        for nth, (each, sign) in enumerate(zip(laid, signs, strict=True))
    ]
