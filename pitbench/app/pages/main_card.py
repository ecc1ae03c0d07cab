"""The card for the main: motor, gears, timing, forecast, what speaks against it, what changes. Tab from Rankings."""

from dataclasses import replace
from functools import partial
from typing import ClassVar

from pitbench.app.actions import GEARING, TEMPERATURE, bindings_for
from pitbench.app.lists.plan_keys import ForecastKeys
from pitbench.app.pages.card_blocks import LEGEND_OF_HEAT, chance_lines, headed, heat_lines, sentences
from pitbench.app.widgets.bars import MessageLine
from pitbench.app.widgets.paint import Line, Span, beside, line
from pitbench.desk.answers import NextTest
from pitbench.desk.classes import NO_CLASS, class_choices
from pitbench.desk.comparing.ranked import Ranked, test_within
from pitbench.desk.forecasting.heat import Heat, learned_heat
from pitbench.desk.forecasting.temperature import last_run, standings, warm_start
from pitbench.desk.forecasting.temperature_plan import plan_answer
from pitbench.desk.lists.motors import motor_named
from pitbench.records.keys import key_for
from pitbench.records.laps import time_text
from pitbench.words import main_card as words
from pitbench.words.main_card import CAUTION, CardFor

FOLLOWS_S = 5.0
"""How often the clock is looked at."""
AROUND = 5
"""Lines of the screen that are no line of the card; without room for all, its blocks stand close."""
PIECE = 5
"""Minutes left to test in are counted in pieces of so many, so that not every minute asks anew."""
LEFT, LEAST_ROWS, MOST_ROWS, ROOMY = 36, 3, 7, 30
"""Cells of the left block at 80; pinions and motors shown, more of them where there is room; lines with a legend."""


class MainCardScreen(ForecastKeys):
    """Of one class after the other; the plan is that of Temperature, changed with the same keys."""

    SHOWN = BACK = "rankings"
    EXPLAINS = "comes in at, half of them, nine in ten"
    FOOTER = ("pinion-up=pinion", "timing-mark-up=mark", "next-start-later=start")
    AFTER_ALL, TO_NEXT = "next-part=bench, track", "next-part=next class"
    BINDINGS: ClassVar = bindings_for(GEARING, TEMPERATURE)

    _class: str | None = None
    _first: str | None = None
    _ranked: Ranked | None = None
    _motor: str | None = None
    _heat: Heat | None = None
    _minute = ""

    def show_class(self, class_: str | None) -> None:
        """The class whose leader it is about; Tab leads on from it over all others."""
        self._class = self._first = class_
        self.asking.again()

    def stands(self) -> None:
        self.pane.stand(table=False)
        self.set_interval(FOLLOWS_S, self._follow_clock)

    # asking

    def ask(self) -> None:
        ranked = self.asking.ranking(self._class)
        if ranked is None:
            self._wait(self.pit.answers.ranking_key(self._class))
            return
        self._motor = motor_named(self.pit.snapshot, ranked.answer.leader)
        class_id = (self.pit.snapshot.row("motor", self._motor) or {}).get("class_id") if self._motor else None
        found = self.asking.answer_to(("forecast", class_id), partial(learned_heat, class_id=class_id))
        if found is None:
            self._wait(("forecast", class_id))
            return
        self._ranked, self._heat, self._class_id = ranked, found.value, class_id
        self.pit.plans.begin(self.pit.snapshot, found.value)
        self._show()

    def _wait(self, key: tuple[object, ...]) -> None:
        self._ranked = None
        self.pane.say_waiting(key)

    def _follow_clock(self) -> None:
        if self._ranked is not None and self.is_current and f"{self.pit.clock():%H:%M}" != self._minute:
            self._show()

    def _test(self, minutes: float) -> NextTest | None:
        """What tells most in the minutes left: what tells most at all, if it fits, else what is asked for them."""
        assert self._ranked is not None
        known = self._ranked.answer.next_test
        if known is None or known.test == "session" or known.minutes <= minutes or minutes < PIECE:
            return known if minutes >= PIECE else None
        class_ = self._ranked.answer.class_ or NO_CLASS
        question = partial(test_within, class_name=class_, minutes=minutes)
        found = self.asking.answer_to(("next test", class_, minutes), question, apart=True)
        return found.value if found else None

    # showing

    def _show(self) -> None:
        assert self._ranked is not None
        self._minute = f"{self.pit.clock():%H:%M}"
        tab = self.TO_NEXT if self._next_class() is not None else self.AFTER_ALL
        self.pane.footer((*self.FOOTER, tab, "print-day=print", "show-keys", "length-up=length"))
        if self._ranked.answer.leader is None or self._motor is None:
            self.pane.say(f"No card yet: nothing is ranked. {key_for('go-rankings')} shows what is missing.")
            self.pane.below()
            return
        card = self._card(self._ranked)
        self.pane.say_lines([line((words.title(card), "strong"), "   ", (self.step_keys("next-start"), "accent"))])
        self.pane.below(self._lines(card))

    def _card(self, ranked: Ranked) -> CardFor:
        assert self._heat is not None and self._motor is not None
        snapshot, now, team = self.pit.snapshot, self.pit.clock(), self.pit.snapshot.team()
        start = self.pit.plans.start(snapshot, now)
        stand = standings(snapshot, self._heat, self._class_id, now, start.at)
        standing = next((each for each in stand if each.motor_id == self._motor), None)
        plan, planned = self.pit.plans.of(self._motor), None
        if plan is not None and team.ceiling_c > plan.ambient_c:
            plan = replace(plan, start_c=warm_start(standing))
            planned = plan_answer(snapshot, self._heat, plan, team.ceiling_c, self._rows)
        return CardFor(ranked.answer, ranked.odd_runs, start, now, standing, plan, planned, team, self.units)

    @property
    def _rows(self) -> int:
        return max(LEAST_ROWS, min(MOST_ROWS, LEAST_ROWS + (self.size.height - 24) // 3))

    def _lines(self, card: CardFor) -> list[Line]:
        assert self._heat is not None
        width = max(40, self.size.width)
        last = last_run(self.pit.snapshot, self._heat, card.now)
        finish = self._heat.finishes.get(last.run["id"]) if last else None
        minutes = min(card.team.test_minutes, card.minutes // PIECE * PIECE)
        blocks = [
            [*self._facts(card), line("   ", words.sure(card))],
            self._bars(card, width),
            sentences("AGAINST IT", words.against(card), width),
            [
                row
                for text in (
                    words.since(card, last, finish.temp_c if finish else None),
                    words.to_test(card, minutes, self._test(minutes)),
                )
                for row in (headed(text, width) if text else [])
            ],
            [line((f" {CAUTION}", "quiet"))],
        ]
        lines: list[Line] = [row for block in blocks for row in (*block, ())][:-1]
        message = self.query_one(MessageLine)
        room = self.size.height - AROUND - (len(message.lines) if message.display else 0)
        for at in reversed([at for at, each in enumerate(lines) if not each]):
            if len(lines) > room:
                del lines[at]
        return lines if len(lines) <= room else [*lines[: room - 1], lines[-1]]  # the caution stays

    def show_message(self) -> None:
        """What is said takes room, but none of the caution's."""
        super().show_message()
        if self._ranked is not None:
            self._show()

    def _facts(self, card: CardFor) -> list[Line]:
        """What is bolted in, with the keys that change it."""
        facts: list[Span] = [("   ", "text"), (card.leader.motor.upper(), "accent")]
        if card.plan is not None:
            facts += [("   ", "text"), (words.gears(card.plan), "strong"), (f" {self.step_keys('pinion')}", "accent")]
            if words.mark(card.plan):
                facts += [("   ", "text"), (words.mark(card.plan), "strong")]
                facts += [(f" {self.step_keys('timing-mark')}", "accent")]
            facts += [(f"   {words.rollout_and_tyre(card.plan, card.units)}", "text")]
        return [tuple(facts)]

    def _bars(self, card: CardFor, width: int) -> list[Line]:
        """Chances left, finish temperatures right, and what else those hang on."""
        left_width = LEFT + (width - 80) // 4
        left = chance_lines(words.shares(card.rank, self._rows), left_width) if card.rank.verdict else []
        if card.planned is None or card.plan is None:
            return left
        right = heat_lines(card.planned, card.team.ceiling_c, card.units, width - left_width - 1)
        right.append(
            line(
                f"  length {time_text(int(card.plan.length_s))} ",
                (self.step_keys("length"), "accent"),
                f"   ambient {card.units.degrees(card.plan.ambient_c)} ",
                (self.step_keys("ambient"), "accent"),
            )
        )
        legend = [line((f"   {LEGEND_OF_HEAT}", "quiet"))] if self.size.height >= ROOMY else []
        return [*beside(left, right, left_width), *legend]

    # keys

    def action_step_plan(self, name: str, by: int) -> None:
        if self._motor is not None and self._ranked is not None:
            self.pit.plans.step(self._motor, name, by)
            self._show()

    def marked_motor(self) -> str | None:
        return self._motor

    def _next_class(self) -> str | None:
        """The next class round the ring of all; None before the one the ring began with."""
        classes = class_choices(self.pit.snapshot)
        first = self.pit.answers.ranking_key(self._first)[1]
        now = self.pit.answers.ranking_key(self._class)[1]
        if first not in classes or now not in classes:
            return None
        following = classes[(classes.index(now) + 1) % len(classes)]
        return None if following == first else following

    def action_next_part(self) -> None:
        """The card of the next class; after the last one, bench and track."""
        following = self._next_class() if self.pit.logbook is not None else None
        if following is None:
            self.pit.routes.go_to("link").show_class(self._first)
            return
        self._class = following
        self.asking.again()

    def action_previous_part(self) -> None:
        self.action_go_back()

    def action_go_back(self) -> None:
        """The ranking of the class it shows."""
        self.pit.routes.go_to("rankings").show_class(self._class)
