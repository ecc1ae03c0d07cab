"""The newest bench session: how well the tester repeats itself now, and whether it drifts. Second part of Runs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.screens.list_screen import ListScreen
from pitbench.app.screens.motor_page import sparkline
from pitbench.app.widgets.paint import Line, Lines, fitted, line, wrapped
from pitbench.app.widgets.table import Column, Table

if TYPE_CHECKING:
    from pitbench.desk import Snapshot
    from pitbench.desk.bench.session_view import CheckLine, FigureScatter, SessionAnswer

COLUMNS = (
    Column("one reading|scatters by σ", 17),
    Column("σ|", 7, "right"),
    Column("nine in|ten", 13, "right"),
    Column("before|", 7, "right"),
    Column("two runs differ|by luck up to", 15, "right"),
    Column("repeats|", 7, "right"),
    Column("motors|% of it", 7, "right", from_width=104),
    Column("sessions|% of it", 8, "right", from_width=104),
)


class BenchSessionScreen(ListScreen):
    """Words and warnings first, then the scatter of every figure, then the check motor against its history."""

    SHOWN = "go-runs"
    FOOTER = ("next-part=bench plan", "add-bench-run", "explain-figure", "go-back=the runs", "show-keys")
    AFTER = "bench-plan"
    BEFORE = "runs"

    def ask(self) -> None:
        key = ("bench session",)
        found = self.answer_to(key, _question)
        if found is None:
            self.say_waiting(key)
        elif found.value is None:
            self.say_words(["No bench run yet, so nothing is known of your tester. b logs the first one."])
            self.show_list([], lambda index, width: ())
            self.show_below([])
        else:
            self._show_answer(found.value)

    def _show_answer(self, answer: SessionAnswer) -> None:
        from pitbench.words.session import session_words, title, warnings

        width = max(20, self.size.width - 2)
        rows: list[Line] = [line((title(answer, self.pit.clock()), "strong"))]
        for warning in warnings(answer):
            rows += [line((row, "warn")) for row in wrapped(f"! {warning}", width)]
        rows += [line(row) for words in session_words(answer) for row in wrapped(words, width)]
        self.query_one("#words", Lines).show(rows)
        table = Table(COLUMNS, self.size.width)
        self.query_one("#columns", Lines).show(table.heads())
        drawn = [self._row(figure, table) for figure in answer.figures]
        self.show_list([figure.name for figure in answer.figures], lambda index, _: drawn[index])
        self.show_below(self._checks(answer.checks))

    @staticmethod
    def _row(figure: FigureScatter, table: Table) -> Line:
        from pitbench.desk.answers import FIGURES

        decimals = 1 if figure.unit == "rpm/V" else 2

        def cell(value: float | None) -> str:
            return "·" if value is None else f"{value:.{decimals}f}"

        ten = "·" if figure.low90 is None else f"{cell(figure.low90)} to {cell(figure.high90)}"
        shares = figure.shares or (None, None, None)
        return table.row(
            [
                (f"{'! ' if figure.noisier else ''}{FIGURES[figure.name]}", "warn" if figure.noisier else "text"),
                cell(figure.sigma),
                ten,
                cell(figure.sigma_before),
                f"{cell(figure.limit)} {figure.unit}",
                str(figure.repeats),
                *("·" if share is None else f"{share:.0f}" for share in shares[:2]),
            ]
        )

    @staticmethod
    def _checks(checks: list[CheckLine]) -> list[Line]:
        from pitbench.desk.answers import FIGURES

        if not checks:
            return [line(("   No check motor of earlier sessions. e on Motors marks one: run it every time.", "quiet"))]
        rows: list[Line] = [
            line(("   CHECK MOTOR", "strong"), ("   this session against those before, and its limit", "quiet"))
        ]
        for check in checks:
            odd = check.off or check.drifting
            name = f"   {'! ' if odd else ''}{check.motor}, {FIGURES[check.name]}"
            shift = f"{check.shift_pct:+.1f} % of ±{check.shift_limit_pct:.1f} %"
            drift = f"drift {check.drift_pct:+.1f} of ±{check.drift_limit_pct:.1f} %"
            rows.append(
                line(
                    (fitted(name, 28), "warn" if odd else "text"),
                    (fitted(sparkline(check.means_pct), 10), "accent"),
                    f"{shift}   {drift}",
                )
            )
        return rows

    def action_go_back(self) -> None:
        self.pit.go_to("runs")


def _question(snapshot: Snapshot) -> SessionAnswer | None:
    from pitbench.desk.bench.session_view import session_answer

    return session_answer(snapshot)
