"""One motor: a line a bench session, its trend, and how it stands in the ranking."""

from __future__ import annotations

from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from pitbench.app.screens.list_screen import ListScreen
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import Line, Lines, Span, fitted, line, width_of, wrapped
from pitbench.app.widgets.table import Column, Table

if TYPE_CHECKING:
    from pitbench.app.answers import Ranked
    from pitbench.desk import Snapshot
    from pitbench.desk.motor_page import MotorAnswer, SessionLine

SPARKS = "▁▂▃▄▅▆▇█"


def columns(corrected: bool) -> tuple[Column, ...]:
    return (
        Column("bench session|", 22, grow=True),
        Column("KV at|25 °C" if corrected else "KV|as read", 10, "right"),
        Column("current|A", 7, "right"),
        Column("timing|°", 6, "right"),
        Column("spread|°", 6, "right"),
        Column("winding|mΩ", 7, "right"),
    )


class MotorPage(ListScreen):
    """Shown on top of the list it was opened from."""

    SHOWN = "go-motors"
    FOOTER = ("add-bench-run", "edit-record", "open-record=its runs", "next-part=sweeps", "go-back", "show-keys")

    def __init__(self, motor_id: str) -> None:
        super().__init__()
        self._motor_id = motor_id
        self._name = ""
        self._days: dict[str, str] = {}

    def ask(self) -> None:
        from pitbench.desk.classes import NO_CLASS
        from pitbench.desk.motors import class_of

        motor = self.pit.snapshot.row("motor", self._motor_id)
        if motor is None or "binned_at" in motor:
            self.pit.pop_screen()
            return
        self._name = motor["name"]
        ranked, now = self.ranking(class_of(self.pit.snapshot, self._motor_id) or NO_CLASS), self.pit.clock()
        key = ("motor page", self._motor_id, now.date())
        found = self.answer_to(key, partial(_question, self._motor_id, ranked, now), ranked)
        if found is None:
            self.say_waiting(key)
        elif found.value is not None:
            self._show(found.value)

    def _show(self, answer: MotorAnswer) -> None:
        self._show_words(answer)
        table = Table(columns(answer.corrected), self.size.width)
        self.query_one("#columns", Lines).show(table.heads() if answer.sessions else [])
        keys: list[str | None] = []
        drawn: list[Line] = []
        for session in answer.sessions:
            keys.append(session.day + str(len(keys)))
            drawn.append(self._row(session, table))
            for build in session.builds:
                keys.append(None)
                drawn.append(line((f"  {build}", "quiet")))
        self._days = dict(zip((k for k in keys if k), (s.day for s in answer.sessions), strict=True))
        self.show_list(keys, lambda index, width: drawn[index])
        self._show_trends(answer)

    def _show_words(self, answer: MotorAnswer) -> None:
        width = max(20, self.size.width - 2)
        title: Span = (answer.title, "strong")
        gap = width - width_of((title,)) - len(answer.standing)
        first = [line(title, " " * gap, (answer.standing, "accent"))] if gap > 0 else [line(title)]
        if gap <= 0 and answer.standing:
            first.append(line((answer.standing, "accent")))
        rows = [line(row) for text in answer.words for row in wrapped(text, width)]
        self.query_one("#words", Lines).show([*first, *rows])

    @staticmethod
    def _row(session: SessionLine, table: Table) -> Line:
        out = f", {session.left_out} left out" if session.left_out else ""
        plus = "" if session.kv_pm is None else f" ±{session.kv_pm:.0f}"
        return table.row(
            [
                f"{session.when}, {session.runs} run{'' if session.runs == 1 else 's'}{out}",
                "·" if session.kv is None else f"{session.kv:.0f}{plus}",
                _cell(session.current, 2),
                _cell(session.timing, 1),
                _cell(session.spread, 1),
                _cell(session.resistance, 1),
            ]
        )

    def _show_trends(self, answer: MotorAnswer) -> None:
        lines: list[Line] = []
        for trend in answer.trends:
            drawn = sparkline(trend.values)
            lines.append(line("   ", (fitted(trend.label, 9), "quiet"), (drawn, "accent"), f"   {trend.words}"))
        if lines:
            lines += [(), line(("   Bars: one a run, oldest left. ± holds the true mean nine times in ten.", "quiet"))]
        self.show_below(lines)

    def marked_motor(self) -> str | None:
        return self._motor_id

    def action_next_part(self) -> None:
        from pitbench.app.screens.sweep import SweepScreen

        self.pit.push_screen(SweepScreen(self._motor_id))

    def action_previous_part(self) -> None:
        self.action_next_part()

    def action_edit_record(self) -> None:
        from pitbench.app.screens.motor_form import MotorForm

        self.open_form(lambda: MotorForm(self._motor_id))

    def action_open_record(self) -> None:
        day = self._days.get(self.query_one(LineList).key or "", "")
        self.pit.go_to("runs").narrow_to(f"{self._name} {day}".strip())

    def action_delete_record(self) -> None:
        from pitbench.desk.motor_entry import bin_motor

        self.write(lambda: bin_motor(self.pit.book, self._motor_id))


def _question(motor_id: str, ranked: Ranked | None, now: datetime, snapshot: Snapshot) -> MotorAnswer | None:
    from pitbench.desk.motor_page import motor_answer

    answer, slope = (ranked.answer, ranked.compared.warmth_slope) if ranked else (None, None)
    return motor_answer(snapshot, motor_id, answer, now, slope)


def sparkline(values: tuple[float, ...]) -> str:
    """One character a value, from the least to the greatest; equal values lie in the middle."""
    low, high = min(values), max(values)
    if high == low:
        return SPARKS[3] * len(values)
    return "".join(SPARKS[round((value - low) / (high - low) * (len(SPARKS) - 1))] for value in values)


def _cell(value: float | None, decimals: int) -> str:
    return "·" if value is None else f"{value:.{decimals}f}"
