"""Rankings: which motor for the main, how sure, and what would settle it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.actions import RANKINGS, bindings_for
from pitbench.app.screens.list_screen import ListScreen
from pitbench.app.widgets.intervals import LEGEND, Interval, interval_bars
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import Line, Lines, Role, line
from pitbench.app.widgets.table import Column, Table

if TYPE_CHECKING:
    from pitbench.desk.answers import FigureOf, RankAnswer, RankedMotor

COLUMNS = (
    Column("power|at load %", 10, "right"),
    Column("KV|rpm/V", 6, "right"),
    Column("current|A", 7, "right"),
    Column("winding|mΩ", 7, "right"),
    Column("runs|", 4, "right"),
    Column("chance of|being best", 10, "right", role="strong"),
    Column("speed|per amp", 7, "right", from_width=100),
    Column("spread|°", 6, "right", from_width=108),
    Column("poles|uneven %", 8, "right", from_width=118),
    Column("Hall level|spread %", 10, "right", from_width=130),
)
LIMITS = (
    ("1", "none", "nothing: I could gear higher"),
    ("2", "heat", "motor temperature"),
    ("3", "rules", "the rules"),
    ("4", "gears", "my gears: I own no longer ones"),
    ("5", "unknown", "don't know"),
)
CAPS = {
    "none": "gearing is free",
    "heat": "temperature caps it",
    "rules": "rules cap gearing",
    "gears": "own gears cap it",
    "unknown": "gearing cap unknown",
}
MARKS = (("no_resistance", "! no R"), ("run_does_not_fit", "! run"), ("one_run", "! 1 run"), ("drift", "! drift"))


class RankingsScreen(ListScreen):
    """The answer in words, the table, and the bars or the plot."""

    SHOWN = "go-rankings"
    FOOTER = ("set-gearing-limit", "edit-weights", "next-plot", "open-record=motor", "add-bench-run", "show-keys")
    CLASSES_FOOTER = (*FOOTER[:3], "next-part=next class", "open-record=motor", "show-keys")
    BINDINGS = bindings_for(RANKINGS)

    _answer: RankAnswer | None = None
    _class: str | None = None
    _view = "table"

    # asking

    def ask(self) -> None:
        if self._class not in self.class_choices():
            self._class = None  # its class is gone: that of the newest run then
        ranked = self.ranking(self._class)
        if ranked is not None:
            self._answer = ranked.answer
            self._show()
        elif self._answer is None:
            self.say_waiting(self.pit.answers.ranking_key(self._class))

    def _show(self) -> None:
        from pitbench.desk.words import headline

        answer = self._answer
        assert answer is not None
        first, *rest = headline(answer)
        self.say_words([first, " ".join(rest)])
        table = Table(self._columns(answer), self.size.width)
        ranked, others = answer.motors, answer.not_ranked
        keys: list[str | None] = [m.motor for m in ranked] + [None] * len(others)
        drawn = [self._row(m, table, len(ranked) > 1) for m in ranked] + [self._other(n.motor, n.why) for n in others]
        self.show_list(keys, lambda index, width: drawn[index])
        self.query_one("#columns", Lines).show(table.heads() if keys else [])
        self.show_footer(self.CLASSES_FOOTER if self.several_classes() else self.FOOTER)
        view = self._view if self._view in self._views(answer) else "table"
        for name in ("#columns", "#list"):
            self.query_one(name).display = view == "table"
        self.query_one("#more").display = view != "plot"
        self._show_bars(answer, view)
        if view == "plot":
            self._show_plot(answer)
        elif self.query("KvCurrentPlot"):
            self.query_one("KvCurrentPlot").display = False

    def _views(self, answer: RankAnswer) -> list[str]:
        """What `v` steps through: bars of their own only where they do not fit under the table."""
        if len(answer.motors) < 2:
            return ["table"]
        return ["table", "plot"] if self._bars_fit(answer) else ["table", "bars", "plot"]

    def _bars_fit(self, answer: RankAnswer) -> bool:
        words = self.query_one("#words", Lines).text.count("\n") + 1
        rows = len(answer.motors) + len(answer.not_ranked)
        return self.size.height >= 9 + words + rows + len(answer.motors)

    def _columns(self, answer: RankAnswer) -> list[Column]:
        deg = answer.basis.timing_deg
        timing = "timing not equalised" if deg is None else f"all at {deg:.1f}° timing"
        upper = answer.class_ or "no class named" if self.several_classes() else CAPS[answer.gearing_limit]
        first = Column(f"{upper}|{timing}", 20, grow=True)
        return [first, *COLUMNS]

    def _row(self, motor: RankedMotor, table: Table, compared: bool) -> Line:
        figures = motor.figures
        half = (motor.score_high90 - motor.score_low90) / 2
        mark = next((words for flag, words in MARKS if flag in motor.flags), "")
        if not mark and "check_motor" in motor.flags:
            mark = "check"
        from pitbench.desk.words import chance_number

        name = f"{motor.place:<3}{motor.motor}"
        return table.row(
            [
                (f"{name} {mark}" if mark else name, "accent" if motor.place == 1 else "text"),
                f"{motor.score_pct:+z.1f} ±{half:.1f}",
                _number(figures["kv_rpm_per_v"], 0),
                _number(figures["no_load_current_a"], 2),
                _number(figures["resistance_mohm"], 1),
                str(figures["kv_rpm_per_v"].runs or figures["no_load_current_a"].runs),
                chance_number(motor.chance_best) if compared else "·",
                _number(figures["speed_per_amp"], 0),
                _number(figures["sensor_spread_deg"], 1),
                _number(figures["pole_imbalance_pct"], 1),
                _number(figures["hall_level_spread_pct"], 1),
            ]
        )

    @staticmethod
    def _other(motor: str, why: str) -> Line:
        from pitbench.desk.words import not_ranked_words

        return line((f"·  {motor}   not ranked: {not_ranked_words(why)}", "quiet"))

    def _show_bars(self, answer: RankAnswer, view: str) -> None:
        from pitbench.desk.words import GEARING

        if len(answer.motors) < 2:
            self.show_below([])
            return
        if view == "table" and not self._bars_fit(answer):
            cap = GEARING[answer.gearing_limit]
            notes = [f"{cap[0].upper()}{cap[1:]}.", "v shows bars of power at load, then KV against current."]
            if self.several_classes():
                notes.append("Tab shows the next class.")
            self.show_below([line((f"   {note}", "quiet")) for note in notes])
            return
        bars = [
            Interval(m.motor, m.score_low90, m.score_low50, m.score_pct, m.score_high50, m.score_high90)
            for m in answer.motors
        ]
        margin = answer.figures["load_power_w"].margin
        lines = interval_bars("POWER AT LOAD, %", bars, self.size.width)
        self.show_below([*lines, line((f"   {LEGEND}   1 margin is {margin:g} %", "quiet"))])

    def _show_plot(self, answer: RankAnswer) -> None:
        from pitbench.app.widgets.plot import KvCurrentPlot, Point, letters
        from pitbench.desk.words import headline

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

        return (self._answer.class_ if self._answer else None) or NO_CLASS

    def several_classes(self) -> bool:
        return len(self.class_choices()) > 1

    def action_next_part(self) -> None:
        """The next class, where there are several."""
        classes = self.class_choices()
        if self._answer is None or len(classes) < 2:
            return
        now = self._class if self._class is not None else self._shown_class()
        self._class = classes[(classes.index(now) + 1) % len(classes)] if now in classes else classes[0]
        self.ask()

    def action_previous_part(self) -> None:
        self.action_next_part()

    def action_next_plot(self) -> None:
        if self._answer is not None:
            views = self._views(self._answer)
            self._view = views[(views.index(self._view) + 1) % len(views)] if self._view in views else "table"
            self._show()

    def action_set_gearing_limit(self) -> None:
        from pitbench.app.dialogs.choose import Choose

        if self._answer is None:
            return
        class_name = self._answer.class_

        def answered(limit: str | None) -> None:
            from pitbench.desk.class_entry import set_gearing_limit

            if limit:
                self.write(lambda: set_gearing_limit(self.pit.book, class_name, limit))

        question = "What stops you gearing higher?"
        self.pit.push_screen(Choose(question, LIMITS, self._answer.gearing_limit), answered)

    def action_edit_weights(self) -> None:
        from pitbench.app.screens.weights_form import WeightsForm

        if self._answer is not None:
            self.open_form(lambda: WeightsForm(self._shown_class()))


def _known(motor: RankedMotor, name: str) -> bool:
    return motor.figures[name].mean is not None


def _ends(figure: FigureOf) -> tuple[float, float, float]:
    """Mean and both ends of a figure that is known."""
    assert figure.mean is not None and figure.low90 is not None and figure.high90 is not None
    return figure.mean, figure.low90, figure.high90


def _number(figure: FigureOf, decimals: int) -> str:
    return "·" if figure.mean is None else f"{figure.mean:.{decimals}f}"
