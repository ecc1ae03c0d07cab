"""One figure of motors against another as a plot, each a letter with arms. The plot library is imported with this
module only.

The library cuts arms at its limits without a sign, so the limits come from the ends of the arms.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from math import ceil, floor, log10
from typing import Any, Literal

from textual.app import ComposeResult
from textual_plot import PlotWidget

from pitbench.app.widgets.letters import who_is_who
from pitbench.app.widgets.paint import Line, Lines, Role, refolded
from pitbench.app.widgets.plot_box import PlotBox


@dataclass(frozen=True)
class Point:
    """A motor: its letter, and both figures as (mean, low, high), arms nine times in ten where it has them."""

    name: str
    letter: str
    x: tuple[float, float, float]
    y: tuple[float, float, float]
    role: Role = "text"
    arms: bool = True


def ends_of(figures: Sequence[tuple[float, float, float]], least: float) -> tuple[float, float]:
    """Ends that hold every arm, with some air, at least `least` apart."""
    low, high = min(f[1] for f in figures), max(f[2] for f in figures)
    reach, middle = max(high - low, least) * 0.54, (low + high) / 2
    return middle - reach, middle + reach


def whole_cells(low: float, high: float, cells: int, apart: int) -> tuple[tuple[float, float], list[float]]:
    """Limits and round ticks such that every tick stands on a cell of its own, `apart` or a few more cells apart.

    Half a cell is left below the first tick, or rounding would shift some of them by one.
    """
    cells = max(cells, 2 * apart)
    step, gap = min(
        (
            (step, gap)
            for gap in range(apart, 2 * apart + 1)
            for step in _round_steps(high - low)
            if step / gap * (cells - 1) >= high - low
        ),
        key=lambda pair: pair[0] / pair[1],
    )
    cell = step / gap
    bottom = (floor(low / cell + 0.5) - 0.5) * cell
    top = bottom + cells * cell
    return (bottom, top), [round(i * step, 9) for i in range(ceil(bottom / step), floor(top / step) + 1)]


def _round_steps(span: float) -> list[float]:
    """Round steps from a hundredth of the span to the span."""
    power = floor(log10(span))
    return [factor * 10.0**exponent for exponent in range(power - 2, power + 2) for factor in (1, 2, 5)]


class QuietPlot(PlotWidget, can_focus=False):
    """A plot with two thin axes in place of the library's frame, its ticks on whole cells; nothing in it takes keys.

    Nothing is drawn before it has something to show: an empty frame would flash up first.
    """

    DEFAULT_CSS = """
    QuietPlot { height: 1fr; }
    QuietPlot > .plot--axis { color: $pit-quiet; }
    QuietPlot > .plot--tick { color: $pit-quiet; text-style: none; }
    QuietPlot > .plot--label { color: $pit-quiet; text-style: none; }
    """

    def __init__(self, id: str | None = None, *, named: bool = True) -> None:  # noqa: A002
        """named: what is drawn along stands under it, with an empty line; else it is said elsewhere."""
        super().__init__(id=id, allow_pan_and_zoom=False)
        self._under = 3 if named else 1
        self._begun = False
        self._ticks: tuple[Sequence[float], Sequence[float]] = (), ()
        self._ends = (0.0, 1.0), (0.0, 1.0)

    def on_resize(self) -> None:
        self.query_ancestor(PlotBox).draw_again()

    def begin(self, x_ends: tuple[float, float], y_ends: tuple[float, float], x_name: str = "") -> None:
        """An empty plot that holds these ends."""
        self.clear()
        self._begun = True
        self.margin_top, self.margin_bottom, self.margin_left = 0, self._under, 8
        canvas = self.query_one("#plot").size
        xs, x_ticks = whole_cells(*x_ends, canvas.width - 2, apart=10)
        ys, y_ticks = whole_cells(*y_ends, canvas.height - 2, apart=2)
        self.set_xlimits(*xs)
        self.set_ylimits(*ys)
        self.set_xticks(x_ticks)
        self.set_yticks(y_ticks)
        self.set_xlabel(x_name)
        self.set_ylabel("")
        self._ticks, self._ends = (x_ticks, y_ticks), (xs, ys)

    def _render_plot(self) -> None:
        """As the library draws it, then thin axes left and below over its frame."""
        if not self._begun:
            return
        super()._render_plot()
        canvas: Any = self.query_one("#plot")
        right, bottom = canvas.size.width - 1, canvas.size.height - 1
        if right < 1 or bottom < 1:
            return
        style = str(self.get_component_rich_style("plot--axis"))
        for y in range(bottom + 1):
            canvas.set_pixel(0, y, "│", style)
            canvas.set_pixel(right, y, " ", style)
        for x in range(1, right + 1):
            canvas.set_pixel(x, 0, " ", style)
            canvas.set_pixel(x, bottom, "─", style)
        canvas.set_pixel(0, bottom, "└", style)
        for tick in self._ticks[0]:
            canvas.set_pixel(self.get_pixel_from_coordinate(tick, 0)[0], bottom, "┬", style)
        for tick in self._ticks[1]:
            canvas.set_pixel(0, self.get_pixel_from_coordinate(0, tick)[1], "┤", style)

    @property
    def laid_out(self) -> bool:
        """Whether it has its place: before that nothing can be put on whole cells."""
        size = self.query_one("#plot").size
        return size.width > 2 and size.height > 2

    def centres(self, axis: Literal["x", "y"]) -> list[float]:
        """The middles of its cells along an axis."""
        canvas = self.query_one("#plot").size
        (low, high), cells = (self._ends[0], canvas.width - 2) if axis == "x" else (self._ends[1], canvas.height - 2)
        return [low + (high - low) * (nth + 0.5) / cells for nth in range(cells)]

    def ink(self, role: Role) -> str:
        """A theme colour as the plot library wants it; the terminal's own colours carry other names there."""
        colour = self.app.theme_variables[f"pit-{role}"]
        return colour if colour.startswith("#") else colour.removeprefix("ansi_") or "default"


class MotorPlot(PlotBox):
    """The plot and the line that says which letter is whom."""

    def compose(self) -> ComposeResult:
        yield Lines(id="axis-name")
        yield QuietPlot(named=False)
        yield Lines(id="who")

    def show(
        self,
        points: Sequence[Point],
        x_name: str,
        y_name: str,
        told: Sequence[Line] = (),
        names_beside: bool = False,
    ) -> None:
        """Draw these motors; told: lines under the names, which are left out where they stand beside the plot and begin
        with their letters."""
        self.draw_with(partial(self._motors, points, (x_name, y_name), told, names_beside))

    def _motors(self, points: Sequence[Point], axes: tuple[str, str], told: Sequence[Line], names_beside: bool) -> None:
        plot = self.query_one(QuietPlot)
        if not plot.laid_out:
            return
        xs, ys = [p.x for p in points], [p.y for p in points]
        plot.begin(ends_of(xs, _least(xs)), ends_of(ys, _least(ys)))
        for p in (each for each in points if each.arms):
            plot.errorbar(
                [p.x[0]],
                [p.y[0]],
                xerr=[(p.x[2] - p.x[1]) / 2],
                yerr=[(p.y[2] - p.y[1]) / 2],
                marker_style=plot.ink("quiet"),
            )
        for p in reversed(points):  # letters over arms, the leader's over all
            plot.scatter([p.x[0]], [p.y[0]], marker=p.letter, marker_style=f"bold {plot.ink(p.role)}")
        named: Line = ((f"   {axes[1]}, by {axes[0]}", "quiet"),)
        self.query_one("#axis-name", Lines).show(refolded(named, self.size.width))
        plain = names_beside and all(p.name[0] == p.letter for p in points)
        who = [] if plain else who_is_who([(p.letter, p.name, p.role) for p in points], self.size.width)
        below = [row for each in told for row in refolded(each, self.size.width)]
        self.query_one("#who", Lines).show([*who, *below])


def _least(figures: Sequence[tuple[float, float, float]]) -> float:
    """How far apart the ends are at least: motors all alike are not drawn as if they differed."""
    return max(abs(mean) for mean, _, _ in figures) / 800 or 0.01
