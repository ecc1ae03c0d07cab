"""Power at load against track minutes: bench sessions with arms, the line through them, its band."""

from collections.abc import Sequence
from functools import partial

from textual.app import ComposeResult
from textual_plot import HiResMode

from pitbench.app.widgets.paint import Lines, Role
from pitbench.app.widgets.plot import QuietPlot, ends_of
from pitbench.app.widgets.plot_box import PlotBox
from pitbench.desk.comparing.worn import PowerLine

NAME = "   power at load, % beside where it began   ● bench session   │ · nine in ten"
WORK = "   ┊ worked on: what that did is taken out"


class WearPlot(PlotBox):
    """Of one motor."""

    def compose(self) -> ComposeResult:
        yield Lines([((NAME, "quiet"),)])
        yield QuietPlot()
        yield Lines(id="work")

    def show(self, found: PowerLine) -> None:
        """Draw its sessions."""
        self.draw_with(partial(self._sessions, found))

    def _sessions(self, found: PowerLine) -> None:
        plot = self.query_one(QuietPlot)
        minutes = [x for x, *_ in found.along]
        held = [(y, y - arm, y + arm) for _, y, arm in found.sessions]
        held += [(y, low, high) for _, low, y, high in found.along]
        y_ends = ends_of(held, 1.0)
        plot.begin(ends_of([(x, x, x) for x in minutes], 10.0), y_ends, "track minutes")
        steps = [y_ends[0] + (y_ends[1] - y_ends[0]) * nth / 24 for nth in range(25)]
        for x in found.worked:
            _dots(plot, [x] * len(steps), steps, "┊", "quiet")
        for edge in (1, 3):
            _dots(plot, minutes, [at[edge] for at in found.along], "·", "quiet")
        for x, y, arm in found.sessions:
            plot.errorbar([x], [y], yerr=[arm], marker_style=plot.ink("quiet"))
        line = [at[2] for at in found.along]
        plot.plot(minutes, line, line_style=plot.ink("accent"), hires_mode=HiResMode.BRAILLE)
        _dots(plot, [x for x, *_ in found.sessions], [y for _, y, _ in found.sessions], "●", "accent")
        self.query_one("#work", Lines).show([((WORK, "quiet"),)] if found.worked else [])


def _dots(plot: QuietPlot, xs: Sequence[float], ys: Sequence[float], marker: str, role: Role) -> None:
    for x, y in zip(xs, ys, strict=True):
        plot.scatter([x], [y], marker=marker, marker_style=plot.ink(role))
