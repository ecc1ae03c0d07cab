"""The card for the main: motor, gears, timing, forecast, what speaks against it, what changes. Tab from Rankings."""

from dataclasses import replace
from functools import partial
from typing import ClassVar

from pitbench.app.actions import GEARING, TEMPERATURE, bindings_for
from pitbench.app.lists.plan_keys import ForecastKeys
from pitbench.app.widgets.paint import Line, Role, fitted, line, wrapped
from pitbench.desk.forecasting.heat import Heat, learned_heat
from pitbench.desk.forecasting.temperature import last_run, standings, warm_start
from pitbench.desk.forecasting.temperature_plan import plan_answer
from pitbench.desk.lists.motors import motor_named
from pitbench.records.units import units_of
from pitbench.words.main_card import MainCard, last_run_words, main_card

LABEL_WIDTH = 12
AROUND = 5
"""Lines of the screen that are no line of the card; without room for all, its blocks stand close."""


class MainCardScreen(ForecastKeys):
    """Of one class; the plan is that of Temperature, changed with the same keys."""

    SHOWN = BACK = "rankings"
    EXPLAINS = "comes in at, half of them, nine in ten"
    FOOTER = (
        "pinion-up=pinion",
        "spur-up=spur",
        "timing-mark-up=mark",
        "next-part=bench, track",
        "go-back",
        "show-keys",
    )
    BINDINGS: ClassVar = bindings_for(GEARING, TEMPERATURE)

    _class: str | None = None
    _motor: str | None = None

    def show_class(self, class_: str | None) -> None:
        """The class whose leader it is about."""
        self._class = class_
        if self.pit.logbook is not None and self.is_mounted:
            self.ask()

    def stands(self) -> None:
        for name in ("#columns", "#list"):
            self.query_one(name).display = False

    # asking

    def ask(self) -> None:
        ranked = self.asking.ranking(self._class)
        if ranked is None:
            self.pane.say_waiting(self.pit.answers.ranking_key(self._class))
            return
        self._motor = motor_named(self.pit.snapshot, ranked.answer.leader)
        class_id = (self.pit.snapshot.row("motor", self._motor) or {}).get("class_id") if self._motor else None
        found = self.asking.answer_to(("forecast", class_id), partial(learned_heat, class_id=class_id))
        if found is None:
            self.pane.say_waiting(("forecast", class_id))
            return
        heat: Heat = found.value
        self.pit.plans.begin(self.pit.snapshot, heat)
        self._ranked, self._heat, self._class_id = ranked, heat, class_id
        self._show()

    # showing

    def _show(self) -> None:
        self.pane.footer(self.FOOTER)
        card = self._card()
        if card is None:
            self.pane.say("No card yet: nothing is ranked. 3 shows what is missing.")
            self.pane.below()
            return
        self.pane.say_lines([line((card.title, "strong"))])
        self.pane.below(list(self._lines(card)))

    def _card(self) -> MainCard | None:
        snapshot, now = self.pit.snapshot, self.pit.clock()
        start, motor = self.pit.plans.start(snapshot, now), self._motor or ""
        standing = next(
            (s for s in standings(snapshot, self._heat, self._class_id, now, start.at) if s.motor_id == motor), None
        )
        plan, team = self.pit.plans.of(motor), snapshot.team()
        planned = None
        if plan is not None and team.ceiling_c > plan.ambient_c:
            plan = replace(plan, start_c=warm_start(standing))
            planned = plan_answer(snapshot, self._heat, plan, team.ceiling_c)
        answer = self._ranked.answer
        last = last_run(snapshot, self._heat, now)
        return main_card(answer, last, start, standing, plan, planned, team, units_of(snapshot))

    def _lines(self, card: MainCard) -> list[Line]:
        width = max(20, self.size.width - LABEL_WIDTH - 4)
        lines: list[Line] = []
        for label, text in card.facts:
            for nth, row in enumerate(wrapped(text, width)):
                role: Role = "accent" if label == "motor" and nth == 0 else "text"
                lines.append(line("   ", (fitted("" if nth else label, LABEL_WIDTH), "quiet"), (row, role)))
        for title, sentences, role in (
            ("AGAINST IT", card.against, "warn"),
            (self._changes_title(), card.changes, "text"),
            ("STILL TO TEST", card.tests, "text"),
        ):
            lines += [(), *self._block(title, sentences, role)]
        return lines if len(lines) <= self.size.height - AROUND else [each for each in lines if each]

    def _changes_title(self) -> str:
        now = self.pit.clock()
        since = last_run_words(last_run(self.pit.snapshot, self._heat, now), now)
        return f"CHANGES from {since}" if since else "CHANGES"

    def _block(self, title: str, sentences: list[str], role: Role) -> list[Line]:
        lines = [line((f"   {title}", "strong"))]
        mark = "! " if role == "warn" else ""
        for text in sentences or ["nothing"]:
            for nth, row in enumerate(wrapped(text, max(20, self.size.width - 4 - len(mark)))):
                lead = mark if sentences and nth == 0 else " " * len(mark)
                lines.append(line("   ", (f"{lead}{row}", role if sentences else "quiet")))
        return lines

    # keys

    def action_step_plan(self, name: str, by: int) -> None:
        if self._motor is not None:
            self.pit.plans.step(self._motor, name, by)
            self._show()

    def marked_motor(self) -> str | None:
        return self._motor

    def action_next_part(self) -> None:
        self.pit.routes.go_to("link").show_class(self._class)

    def action_previous_part(self) -> None:
        self.action_go_back()
