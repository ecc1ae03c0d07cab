"""The newest bench session: how well the tester repeats itself now, and whether it drifts. Second part of Runs."""

from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.widgets.paint import Line, fitted, line
from pitbench.app.widgets.scale import sparkline
from pitbench.app.widgets.table import Cell, Column, Table, number
from pitbench.desk.bench.session_view import CheckLine, FigureScatter, SessionAnswer, session_answer
from pitbench.records.keys import key_for
from pitbench.records.spoken import FIGURES
from pitbench.words.bench import session_title, session_words, warnings

COLUMNS: tuple[Column[FigureScatter], ...] = (
    Column("one reading|scatters by", 17, lambda f: _name(f)),
    Column("clips|left on", 7, lambda f: _cell(f, f.sigma), "right"),
    Column("nine in|ten", 13, lambda f: _between(f, f.low90, f.high90), "right"),
    Column("before|", 7, lambda f: _cell(f, f.sigma_before), "right"),
    Column("clamped|anew", 7, lambda f: _cell(f, f.clamping), "right"),
    Column("nine in|ten", 13, lambda f: _between(f, f.clamping_low90, f.clamping_high90), "right"),
    Column("repeats|", 7, lambda f: str(f.repeats), "right", from_width=88),
    Column("motors|% of it", 7, lambda f: number(f.shares and f.shares[0], 0), "right", from_width=108),
    Column("sessions|% of it", 8, lambda f: number(f.shares and f.shares[1], 0), "right", from_width=108),
)


class BenchSessionScreen(ListScreen):
    """Words and warnings first, then the scatter of every figure, then the check motor against its history."""

    SHOWN = BACK = "runs"
    EXPLAINS = "clips left on, clamped anew"
    FOOTER = ("next-part=bench plan", "add-bench-run", "explain-figure", "go-back=the runs", "show-keys")
    AFTER = "bench-plan"
    BEFORE = "runs"

    def ask(self) -> None:
        key = ("bench session",)
        found = self.asking.answer_to(key, session_answer)
        if found is None:
            self.pane.say_waiting(key)
        elif found.value is None:
            self.pane.say(
                f"No bench run yet, so nothing is known of your tester. {key_for('add-bench-run')} logs the first one."
            )
            self.pane.show()
            self.pane.below()
        else:
            self._show_answer(found.value)

    def _show_answer(self, answer: SessionAnswer) -> None:
        rows: list[Line] = [line((session_title(answer, self.pit.clock()), "strong"))]
        rows += self.pane.folded(*(f"! {warning}" for warning in warnings(answer)), role="warn")
        self.pane.say_lines([*rows, *self.pane.folded(*session_words(answer, self.pit.clock()))])
        table = Table(COLUMNS, self.size.width)
        drawn = [table.row(figure) for figure in answer.figures]
        self.pane.show([figure.name for figure in answer.figures], drawn.__getitem__, table.heads())
        self.pane.below(self._checks(answer.checks))

    @staticmethod
    def _checks(checks: list[CheckLine]) -> list[Line]:
        if not checks:
            return []
        rows: list[Line] = [
            line(("   CHECK MOTOR", "strong"), ("   this session against those before, and its limit", "quiet"))
        ]
        for check in checks:
            odd = check.found.off or check.found.drifting
            name = f"   {'! ' if odd else ''}{check.motor}, {FIGURES[check.name].removeprefix('no-load ')}"
            shift = f"{check.found.shift:+.1f} % of ±{check.found.shift_limit:.1f} %"
            drift = f"drift {check.found.drift:+.1f} of ±{check.found.drift_limit:.1f} %"
            rows.append(
                line(
                    (f"{fitted(name, 26)}  ", "warn" if odd else "text"),
                    (fitted(sparkline(check.means_pct), 10), "accent"),
                    f"{shift}   {drift}",
                )
            )
        return rows


def _name(figure: FigureScatter) -> Cell:
    return (f"! {FIGURES[figure.name]}", "warn") if figure.noisier else FIGURES[figure.name]


def _between(figure: FigureScatter, low: float | None, high: float | None) -> str:
    return "·" if low is None else f"{_cell(figure, low)} to {_cell(figure, high)}"


def _cell(figure: FigureScatter, value: float | None) -> str:
    return number(value, 1 if figure.unit == "rpm/V" else 2)
