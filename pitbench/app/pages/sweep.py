"""Timing sweeps of a motor: what a degree of timing brings and costs. Second part of the motor page."""

from functools import partial
from typing import ClassVar

from pitbench.app.pages.motor_part import MotorPart
from pitbench.app.pages.sweep_table import sweep_table
from pitbench.app.widgets.paint import Line, line
from pitbench.desk.bench.sweep import SweepAnswer, sweeps
from pitbench.records.keys import key_for
from pitbench.records.kinds import Row
from pitbench.words.bench import slope_words, sweep_title, sweep_words

AROUND = 14
"""Lines of the screen besides the runs and the sweeps."""


class SweepScreen(MotorPart):
    """One line a sweep; the marked one in words and as a table above them."""

    PART = "sweeps"
    FOOTER = ("next-part=load logs", "add-bench-run", "explain-figure", "go-back", "show-keys")
    EXPLAINS: ClassVar[str] = "speed per amp"

    def __init__(self, motor_id: str) -> None:
        super().__init__(motor_id)
        self._sweeps: list[SweepAnswer] = []

    def ask_of(self, motor: Row) -> None:
        slope, now = self.pit.answers.warmth_slope(self._motor_id), self.pit.clock()
        key = ("timing sweeps", self._motor_id)
        found = self.asking.answer_to(key, partial(sweeps, motor_id=self._motor_id, slope=slope), slope)
        if found is None:
            self.pane.say_waiting(key)
            return
        self._sweeps = found.value
        if not self._sweeps:
            mark = f"{key_for('edit-conditions')} in the form of a bench run sets the mark."
            how = f"Run the motor at three or more timing marks in one sitting: that makes a sweep. {mark}"
            self.pane.say(f"No timing sweep of {self._motor_name} yet.", how)
            self.pane.show()
            return
        drawn = [line(sweep_title(sweep, now)) for sweep in self._sweeps]
        heads = [line((f"   SWEEPS OF {self._motor_name.upper()}", "strong"))]
        self.pane.show([str(nth) for nth in range(len(drawn))], drawn.__getitem__, heads)
        self.mark_moved()

    def mark_moved(self) -> None:
        if self.pane.key is None:
            return
        sweep = self._sweeps[int(self.pane.key)]
        told = sweep_words(sweep, self._motor_name, self.pit.clock())
        self.pane.say_lines([*self.pane.folded(*told), (), *self._table(sweep)])
        self.pane.fit()

    def _table(self, sweep: SweepAnswer) -> list[Line]:
        """The runs, and what one degree more does to them."""
        most = max(3, self.size.height - AROUND - min(3, len(self._sweeps)))
        table, costs = sweep_table(sweep, self.size.width, most), self.pane.indented(*slope_words(sweep))
        return [*table, (), *costs] if costs else table
