"""The planned run warming up and the last run cooling down, side by side: median, the middle nine tenths, readings."""

from collections.abc import Sequence
from functools import partial

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual_plot import HiResMode

from pitbench.app.widgets.paint import Lines
from pitbench.app.widgets.plot import QuietPlot, ends_of
from pitbench.app.widgets.plot_box import PlotBox
from pitbench.desk.forecasting.heat_picture import HeatPicture

Points = Sequence[tuple[float, float]]
BAND, FINISH, LIMIT = "░", "◆", "╌"


class HeatPlot(PlotBox):
    """Left the plan, right the run before."""

    def compose(self) -> ComposeResult:
        with Horizontal():
            for name in ("heating", "cooling"):
                with Vertical(id=f"{name}-side"):
                    yield Lines(id=f"{name}-title")
                    yield QuietPlot(id=name)
        yield Lines(id="legend")

    def show(self, picture: HeatPicture) -> None:
        """Draw both curves."""
        self.draw_with(partial(self._both, picture))

    def _both(self, picture: HeatPicture) -> None:
        if not self.query_one("#heating", QuietPlot).laid_out:
            return
        bands = (picture.heating_low, picture.heating, picture.heating_high)
        self._curve("heating", f"{picture.motor}, planned run, {picture.unit}", bands, (), picture, "length, min")
        bands = (picture.cooling_low, picture.cooling, picture.cooling_high)
        self._curve(
            "cooling",
            f"its last run cooling, {picture.unit}",
            bands,
            picture.readings,
            picture,
            "since the finish, min",
        )
        said = f"   line: expected   {BAND} nine in ten   {FINISH} planned finish   ● read   {LIMIT} your limit"
        self.query_one("#legend", Lines).show([((said, "quiet"),)])

    def _curve(
        self, name: str, title: str, bands: Sequence[Points], read: Points, picture: HeatPicture, axis: str
    ) -> None:
        plot = self.query_one(f"#{name}", QuietPlot)
        self.query_one(f"#{name}-title", Lines).show([((f"   {title}", "quiet"),)])
        self.query_one(f"#{name}-side").display = bool(bands[1])  # the other has all the room
        if not bands[1] or not plot.laid_out:
            return
        both = [*bands[0], *bands[2], *read]
        limit = (picture.limit,) if max(y for _, y in both) > picture.limit - 15 else ()
        x_ends = (0.0, max(x for x, _ in both) * 1.03)
        plot.begin(x_ends, ends_of([(y, y, y) for y in (*(y for _, y in both), *limit)], 10.0), axis)
        self._shade(plot, bands[0], bands[2])
        xs, ys = zip(*bands[1], strict=True)
        plot.plot(list(xs), list(ys), line_style=plot.ink("accent"), hires_mode=HiResMode.BRAILLE)
        steps = [x_ends[0] + (x_ends[1] - x_ends[0]) * nth / 30 for nth in range(31)]
        for level in limit:
            plot.scatter(steps, [level] * len(steps), marker=LIMIT, marker_style=plot.ink("warn"))
        for x, y in read:
            plot.scatter([x], [y], marker="●", marker_style=plot.ink("text"))
        if name == "heating":
            plot.scatter([xs[-1]], [ys[-1]], marker=FINISH, marker_style=f"bold {plot.ink('accent')}")

    def _shade(self, plot: QuietPlot, low: Points, high: Points) -> None:
        """Every cell that lies between both edges, or whose middle half reaches into what does."""
        levels = plot.centres("y")
        reach = (levels[1] - levels[0]) / 4
        cells = [
            (x, y)
            for x in plot.centres("x")
            if low[0][0] <= x <= low[-1][0]
            for y in levels
            if _at(low, x) - reach <= y <= _at(high, x) + reach
        ]
        if cells:
            xs, ys = zip(*cells, strict=True)
            plot.scatter(list(xs), list(ys), marker=BAND, marker_style=plot.ink("quiet"))


def _at(edge: Points, x: float) -> float:
    """An edge between its points, straight."""
    after = next(nth for nth, (at, _) in enumerate(edge) if at >= x)
    (x1, y1), (x2, y2) = edge[max(0, after - 1)], edge[after]
    return y2 if x2 == x1 else y1 + (y2 - y1) * (x - x1) / (x2 - x1)
