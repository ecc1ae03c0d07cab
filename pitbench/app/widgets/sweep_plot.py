"""A timing sweep as two plots side by side: KV and no-load current against timing, each run a point, and the line."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual_plot import HiResMode

from pitbench.app.widgets.paint import Lines
from pitbench.app.widgets.plot import QuietPlot, ends_of

Points = Sequence[tuple[float, float]]


class SweepPlot(Horizontal):
    """Left KV, right current."""

    DEFAULT_CSS = "SweepPlot { height: 1fr; }"

    def compose(self) -> ComposeResult:
        for name, title in (("kv", "   KV, rpm/V"), ("current", "   no-load current, A")):
            with Vertical():
                yield Lines([((title, "quiet"),)])
                yield QuietPlot(id=name)

    def show(self, name: str, points: Points, line: Points, x_name: str) -> None:
        """Draw one of the two, `kv` or `current`: runs as points, and the line through them."""
        plot = self.query_one(f"#{name}", QuietPlot)
        both = [*points, *line]
        x_ends = ends_of([(x, x, x) for x, _ in both], 1.0)
        plot.begin(x_ends, ends_of([(y, y, y) for _, y in both], 5.0 if name == "kv" else 0.05), x_name)
        if line:
            xs, ys = [x for x, _ in line], [y for _, y in line]
            plot.plot(xs, ys, line_style=plot.ink("quiet"), hires_mode=HiResMode.BRAILLE)
        for x, y in points:
            plot.scatter([x], [y], marker="●", marker_style=plot.ink("accent"))
