"""Timing sweeps of a motor: what a degree of timing brings and costs. Second part of the motor page."""

from functools import partial

from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.widgets.paint import line
from pitbench.desk.bench.sweep import SweepAnswer, SweepLine, sweeps
from pitbench.words.bench import sweep_title, sweep_words


class SweepScreen(ListScreen):
    """One line a sweep; the marked one in words and as a plot."""

    SHOWN = "motors"
    FOOTER = ("next-part=load logs", "add-bench-run", "go-back", "show-keys")

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
        drawn = [line(sweep_title(sweep, now)) for sweep in self._sweeps]
        heads = [line(("   TIMING SWEEPS", "strong"))] if drawn else []
        self.pane.show([str(nth) for nth in range(len(drawn))], drawn.__getitem__, heads)
        self.mark_moved()

    def mark_moved(self) -> None:
        from pitbench.app.widgets.sweep_plot import SweepPlot

        key = self.pane.key
        if key is None:
            how = "Run the motor at three or more timing marks in one sitting: that makes a sweep."
            name = (self.pit.snapshot.row("motor", self._motor_id) or {}).get("name", "this motor")
            self.pane.say(f"No timing sweep of {name} yet.", how)
            return
        sweep = self._sweeps[int(key)]
        self.pane.say(*sweep_words(sweep))
        if not self.query(SweepPlot):
            self.query_one("#more").display = False
            self.mount(SweepPlot(), after="#list")
        self.call_after_refresh(self._draw, sweep)

    def _draw(self, sweep: SweepAnswer) -> None:
        from pitbench.app.widgets.sweep_plot import SweepPlot

        plot = self.query_one(SweepPlot)
        axis = "timing, °" if sweep.by_sensors else "timing mark, °"
        timings = [point.timing_deg for point in sweep.points]
        for name, fitted_line in (("kv", sweep.kv), ("current", sweep.current)):
            read = [(p.timing_deg, p.kv if name == "kv" else p.current) for p in sweep.points]
            points = [(x, y) for x, y in read if y is not None]
            if points:
                plot.show(name, points, _line(fitted_line, timings), axis)

    def action_next_part(self) -> None:
        self.pit.routes.motor_part(self._motor_id, "sweeps")

    def action_previous_part(self) -> None:
        self.pit.routes.motor_part(self._motor_id, "sweeps", -1)

    def marked_motor(self) -> str | None:
        return self._motor_id


def _line(fitted_line: SweepLine | None, timings: list[float]) -> list[tuple[float, float]]:
    """Both ends of the fitted line."""
    return [] if fitted_line is None else [(x, fitted_line.at(x)) for x in (min(timings), max(timings))]
