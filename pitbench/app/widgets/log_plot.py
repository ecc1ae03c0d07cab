"""A load log as a plot: one column against another, each sample a point; a second log or column over the first."""

from collections.abc import Sequence
from functools import partial

from textual.app import ComposeResult
from textual_plot import HiResMode

from pitbench.app.widgets.paint import Line, Lines, Role, fitted
from pitbench.app.widgets.plot import QuietPlot, ends_of
from pitbench.app.widgets.plot_box import PlotBox

Points = Sequence[tuple[float, float]]
MARKS: tuple[tuple[str, Role], ...] = (("·", "accent"), ("×", "warn"))
"""What samples of the first and the second are drawn with: told apart without colour."""


class LogPlot(PlotBox):
    """What is drawn upwards and along stands above it, in one line with whose samples these are."""

    def compose(self) -> ComposeResult:
        yield Lines(id="axis-name")
        yield QuietPlot(named=False)

    def show(self, series: Sequence[tuple[str, Points]], x_name: str, y_name: str) -> None:
        """Draw them, each with its name; one alone needs none, and is drawn finer."""
        self.draw_with(partial(self._samples, series, x_name, y_name))

    def _samples(self, series: Sequence[tuple[str, Points]], x_name: str, y_name: str) -> None:
        plot = self.query_one(QuietPlot)
        every = [point for _, points in series for point in points]
        xs, ys = zip(*every, strict=True)
        plot.begin(ends_of([(x, x, x) for x in xs], _least(xs)), ends_of([(y, y, y) for y in ys], _least(ys)))
        name: Line = ((f"   {y_name}, along: {x_name}", "quiet"),)
        drawn = list(zip(series, MARKS, strict=False))
        for (_, points), (mark, role) in reversed(drawn):
            x, y = zip(*points, strict=True)
            if len(drawn) == 1:
                plot.scatter(list(x), list(y), marker_style=plot.ink(role), hires_mode=HiResMode.BRAILLE)
            else:
                plot.scatter(list(x), list(y), marker=mark, marker_style=plot.ink(role))
        if len(drawn) > 1:
            for (said, _), (mark, role) in drawn:
                name = (*name, (f"   {mark}", role), (f" {fitted(said, min(len(said), 16))}", "text"))
        self.query_one("#axis-name", Lines).show([name])


def _least(values: Sequence[float]) -> float:
    """How far apart the ends are at least."""
    return max(map(abs, values)) / 100 or 1.0
