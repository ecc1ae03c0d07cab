"""Timing sweeps of a motor: what a degree of timing brings and costs. Second part of the motor page."""

from functools import partial
from typing import ClassVar

from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.pages.sweep_table import sweep_table
from pitbench.app.widgets.paint import Line, line, wrapped
from pitbench.desk.bench.sweep import SweepAnswer, sweeps
from pitbench.records.keys import key_for
from pitbench.words.bench import slope_words, sweep_title, sweep_words

AROUND = 14
"""Lines of the screen besides the runs and the sweeps."""


class SweepScreen(ListScreen):
    """One line a sweep; the marked one in words and as a table above them."""

    SHOWN = "motors"
    FOOTER = ("next-part=load logs", "add-bench-run", "explain-figure", "go-back", "show-keys")
    EXPLAINS: ClassVar[str] = "speed per amp"

    def __init__(self, motor_id: str) -> None:
        super().__init__()
        self._motor_id = motor_id
        self._sweeps: list[SweepAnswer] = []

    def ask(self) -> None:
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

    @property
    def _motor_name(self) -> str:
        return str((self.pit.snapshot.row("motor", self._motor_id) or {}).get("name", "this motor"))

    def mark_moved(self) -> None:
        if self.pane.key is None:
            return
        sweep = self._sweeps[int(self.pane.key)]
        width = max(20, self.size.width - 2)
        told = sweep_words(sweep, self._motor_name, self.pit.clock())
        words = [line(row) for text in told for row in wrapped(text, width)]
        self.pane.say_lines([*words, (), *self._table(sweep)])
        self.pane.fit()

    def _table(self, sweep: SweepAnswer) -> list[Line]:
        """The runs, and what one degree more does to them."""
        most = max(3, self.size.height - AROUND - min(3, len(self._sweeps)))
        table, width = sweep_table(sweep, self.size.width, most), max(20, self.size.width - 4)
        costs = [line((f"   {row}", "quiet")) for text in slope_words(sweep) for row in wrapped(text, width)]
        return [*table, (), *costs] if costs else table

    def action_next_part(self) -> None:
        self.pit.routes.motor_part(self._motor_id, "sweeps")

    def action_previous_part(self) -> None:
        self.pit.routes.motor_part(self._motor_id, "sweeps", -1)

    def marked_motor(self) -> str | None:
        return self._motor_id
