"""Rankings: which motor for the main, how sure, and what would settle it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from pitbench.app.actions import RANKINGS, bindings_for
from pitbench.app.screens.list_screen import ListScreen
from pitbench.app.screens.rankings_table import columns_of, rows_of
from pitbench.app.widgets.intervals import LEGEND, Interval, interval_bars
from pitbench.app.widgets.letters import LetterRow, letter_rows, letters, who_is_who
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import Lines, Role, line, wrapped
from pitbench.app.widgets.table import Table

if TYPE_CHECKING:
    from pitbench.desk import Ranked
    from pitbench.desk.answers import FigureOf, RankAnswer, RankedMotor
    from pitbench.desk.comparing.weights import Trial

LIMITS = (
    ("1", "none", "nothing: I could gear higher"),
    ("2", "heat", "motor temperature"),
    ("3", "rules", "the rules"),
    ("4", "gears", "my gears: I own no longer ones"),
    ("5", "unknown", "don't know"),
)


class RankingsScreen(ListScreen):
    """The answer in words, then the table with bars, the plot of KV against current, or the order by weight."""

    SHOWN = "go-rankings"
    FOOTER = ("set-gearing-limit", "edit-weights", "next-plot", "next-part=card", "open-record=motor", "show-keys")
    BINDINGS = bindings_for(RANKINGS)

    def __init__(self) -> None:
        super().__init__()
        self._ranked: Ranked | None = None
        self._class: str | None = None
        self._view = "table"
        self._trials: list[Trial] = []

    # asking

    def ask(self) -> None:
        if self._class not in self.class_choices():
            self._class = None  # its class is gone: that of the newest run then
        ranked = self.ranking(self._class)
        if ranked is not None:
            self._ranked = ranked
            self._show(ranked.answer)
        elif self._ranked is None:
            self.say_waiting(self.pit.answers.ranking_key(self._class))

    def _show(self, answer: RankAnswer) -> None:
        from pitbench.words.ranking import headline, odd_words

        first, *rest = headline(answer)
        odd = odd_words(self._ranked.odd_runs, self.pit.clock()) if self._ranked else ""
        self.say_words([first, " ".join([odd, *rest])])
        self.show_footer(self.FOOTER)
        view = self._view if self._view in self._views(answer) else "table"
        for name in ("#columns", "#list"):
            self.query_one(name).display = view in ("table", "weights")
        self.query_one("#more").display = view != "plot"
        if view == "weights":
            self._show_weights(answer)
        else:
            self._show_table(answer)
            self._show_bars(answer, view)
        if view == "plot":
            self._show_plot(answer)
        elif self.query("KvCurrentPlot"):
            self.query_one("KvCurrentPlot").display = False

    def _show_table(self, answer: RankAnswer) -> None:
        from pitbench.records.units import units_of

        table = Table(columns_of(answer, self.several_classes()), self.size.width)
        doubtful = self._ranked.doubtful if self._ranked else ()
        keys, drawn = rows_of(answer, table, units_of(self.pit.snapshot), doubtful)
        self.show_list(keys, lambda index, width: drawn[index])
        self.query_one("#columns", Lines).show(table.heads() if keys else [])

    def _views(self, answer: RankAnswer) -> list[str]:
        """What `v` steps through: bars of their own only where they do not fit under the table."""
        if len(answer.motors) < 2:
            return ["table"]
        return ["table", *([] if self._bars_fit(answer) else ["bars"]), "plot", "weights"]

    def _bars_fit(self, answer: RankAnswer) -> bool:
        words = self.query_one("#words", Lines).text.count("\n") + 1
        rows = len(answer.motors) + len(answer.not_ranked)
        return self.size.height >= 9 + words + rows + len(answer.motors)

    def _show_bars(self, answer: RankAnswer, view: str) -> None:
        from pitbench.desk.answers import GEARING
        from pitbench.words.ranking import score_name, weighed

        if len(answer.motors) < 2:
            self.show_below([])
            return
        if view == "table" and not self._bars_fit(answer):
            cap = GEARING[answer.gearing_limit]
            notes = [
                f"{cap[0].upper()}{cap[1:]}.",
                f"v shows bars of {'the score' if weighed(answer) else 'power at load'}, KV against current, "
                "the order by weight.",
            ]
            if self.several_classes():
                notes.append("Tab shows the card for the main, then the next class.")
            self.show_below([line((f"   {note}", "quiet")) for note in notes])
            return
        bars = [
            Interval(m.motor, m.score_low90, m.score_low50, m.score_pct, m.score_high50, m.score_high90)
            for m in answer.motors
        ]
        margin = answer.figures["load_power_w"].margin
        lines = interval_bars(f"{score_name(answer).upper()}, %", bars, self.size.width)
        self.show_below([*lines, line((f"   {LEGEND}   1 margin is {margin:g} %", "quiet"))])

    def _show_plot(self, answer: RankAnswer) -> None:
        from pitbench.app.widgets.plot import KvCurrentPlot, Point
        from pitbench.words.ranking import headline

        measured = [m for m in answer.motors if _known(m, "kv_rpm_per_v") and _known(m, "no_load_current_a")]
        self.say_words([headline(answer)[0], "Up and left is better. Arms hold the true figure nine times in ten."])
        if not measured:
            return
        points = []
        for motor, letter in zip(measured, letters([m.motor for m in measured]), strict=True):
            kv, current = motor.figures["kv_rpm_per_v"], motor.figures["no_load_current_a"]
            role: Role = "accent" if motor.place == 1 else "text"
            points.append(Point(motor.motor, letter, _ends(current), _ends(kv), role))
        if not self.query("KvCurrentPlot"):
            self.mount(KvCurrentPlot(), after="#more")
        plot = self.query_one(KvCurrentPlot)
        plot.display = True
        self.call_after_refresh(plot.show, points)

    def _show_weights(self, answer: RankAnswer) -> None:
        from pitbench.desk.comparing.ranked import tried
        from pitbench.desk.comparing.weights import leads_other, trials_words
        from pitbench.words.ranking import headline

        key = ("order by weight", self._shown_class())
        found = self.answer_to(key, partial(tried, class_name=key[1]), apart=True)
        if found is None:
            self.say_waiting(key)
            self.show_list([], lambda index, width: ())
            return
        self._trials = found.value
        self.say_words([headline(answer)[0], trials_words(self._trials)])
        names = [name for name, _ in self._trials[0].scores]
        letter_of = dict(zip(names, letters(names), strict=True))
        rows = [
            LetterRow(
                trial.label,
                "!" if leads_other(trial, self._trials) else "",
                [(letter_of[name], score) for name, score in trial.scores],
            )
            for trial in self._trials
        ]
        head, drawn = letter_rows("SCORE, %", "order", rows, self.size.width)
        self.query_one("#columns", Lines).show([head])
        self.show_list([trial.label for trial in self._trials], lambda index, width: drawn[index])
        self._show_trial()

    def _show_trial(self) -> None:
        """Who has which letter, and the marked row in words."""
        names = [name for name, _ in self._trials[0].scores]
        who = who_is_who(
            [(letter, name, "text") for letter, name in zip(letters(names), names, strict=True)], self.size.width
        )
        marked = next((t for t in self._trials if t.label == self.query_one(LineList).key), self._trials[0])
        scores = ", ".join(f"{name} {score:+z.1f}" for name, score in marked.scores)
        words = wrapped(f"{marked.label}: {scores} %", max(20, self.size.width - 4))
        self.show_below([*who, (), *(line(f"   {row}") for row in words)])

    def mark_moved(self) -> None:
        if self._view == "weights" and self._trials:
            self._show_trial()

    # keys

    def marked_motor(self) -> str | None:
        name = self.query_one(LineList).key
        if name is None:
            return None
        return next((m["id"] for m in self.pit.snapshot.rows("motor") if m["name"] == name), None)

    def action_open_record(self) -> None:
        from pitbench.app.screens.motor_page import MotorPage

        motor = self.marked_motor()
        if motor:
            self.pit.push_screen(MotorPage(motor))

    def class_choices(self) -> list[str]:
        from pitbench.desk.classes import class_choices

        return class_choices(self.pit.snapshot) if self.pit.logbook is not None else []

    def _shown_class(self) -> str:
        from pitbench.desk.classes import NO_CLASS

        return (self._ranked.answer.class_ if self._ranked else None) or NO_CLASS

    def several_classes(self) -> bool:
        return len(self.class_choices()) > 1

    def action_next_part(self) -> None:
        """The card for the main of this class; from there Tab goes on to the next class."""
        if self._ranked is not None:
            self.pit.go_to("main-card").show_class(self._class)

    def action_previous_part(self) -> None:
        self.action_next_part()

    def show_next_class(self) -> None:
        """The next class, where there are several."""
        classes = self.class_choices()
        if self._ranked is None or len(classes) < 2:
            return
        now = self._class if self._class is not None else self._shown_class()
        self._class = classes[(classes.index(now) + 1) % len(classes)] if now in classes else classes[0]
        self.ask()

    def action_next_plot(self) -> None:
        if self._ranked is not None:
            views = self._views(self._ranked.answer)
            self._view = views[(views.index(self._view) + 1) % len(views)] if self._view in views else "table"
            self._show(self._ranked.answer)

    def action_set_gearing_limit(self) -> None:
        from pitbench.app.dialogs.choose import Choose

        if self._ranked is None:
            return
        class_name = self._ranked.answer.class_

        def answered(limit: str | None) -> None:
            from pitbench.desk.entry.class_entry import set_gearing_limit

            if limit:
                self.write(lambda: set_gearing_limit(self.pit.book, class_name, limit))

        question = "What stops you gearing higher?"
        self.pit.push_screen(Choose(question, LIMITS, self._ranked.answer.gearing_limit), answered)

    def action_edit_weights(self) -> None:
        from pitbench.app.screens.weights_form import WeightsForm

        if self._ranked is not None:
            self.open_form(lambda: WeightsForm(self._shown_class()))


def _known(motor: RankedMotor, name: str) -> bool:
    return motor.figures[name].mean is not None


def _ends(figure: FigureOf) -> tuple[float, float, float]:
    """Mean and both ends of a figure that is known."""
    assert figure.mean is not None and figure.low90 is not None and figure.high90 is not None
    return figure.mean, figure.low90, figure.high90
