"""KV against current as a plot, each motor a letter with arms. The plot library is imported with this module only.

The library cuts arms at its limits without a sign, so the limits come from the ends of the arms.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import Vertical
from textual_plot import PlotWidget

from pitbench.app.widgets.intervals import round_step
from pitbench.app.widgets.paint import Line, Lines, Role, Span


@dataclass(frozen=True)
class Point:
    """A motor: its letter, and both figures as (mean, low, high), arms nine times in ten."""

    name: str
    letter: str
    current: tuple[float, float, float]
    kv: tuple[float, float, float]
    role: Role = "text"


def letters(names: Sequence[str]) -> list[str]:
    """One letter a name, its own first letter where that is free, else the next of its letters, else a digit."""
    given: list[str] = []
    for name in names:
        wishes = [c.upper() for c in name if c.isalpha()] + list("0123456789") + list("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
        given.append(next((c for c in wishes if c not in given), "*"))
    return given


def _limits(low: float, high: float, least: float) -> tuple[float, float]:
    span = max(high - low, least)
    middle = (low + high) / 2
    return middle - span * 0.56, middle + span * 0.56


class KvCurrentPlot(Vertical):
    """The plot and the line that says which letter is whom."""

    DEFAULT_CSS = """
    KvCurrentPlot { height: 1fr; }
    KvCurrentPlot PlotWidget { height: 1fr; }
    KvCurrentPlot PlotWidget > .plot--axis { color: $background; background: $background; }
    KvCurrentPlot PlotWidget > .plot--tick { color: $pit-quiet; text-style: none; }
    KvCurrentPlot PlotWidget > .plot--label { color: $pit-quiet; text-style: none; }
    """

    def compose(self) -> ComposeResult:
        yield Lines(id="axis-name")
        plot = PlotWidget(allow_pan_and_zoom=False)
        plot.can_focus = False
        yield plot
        yield Lines(id="who")

    def show(self, points: Sequence[Point]) -> None:
        """Draw these motors."""
        plot = self.query_one(PlotWidget)
        plot.clear()
        plot.margin_top, plot.margin_bottom, plot.margin_left = 0, 3, 8
        xs = _limits(min(p.current[1] for p in points), max(p.current[2] for p in points), 0.05)
        ys = _limits(min(p.kv[1] for p in points), max(p.kv[2] for p in points), 5.0)
        plot.set_xlimits(*xs)
        plot.set_ylimits(*ys)
        plot.set_xticks(_ticks(*xs, most=6))
        plot.set_yticks(_ticks(*ys, most=7))
        plot.set_xlabel("no-load current, A")
        plot.set_ylabel("")
        variables = self.app.theme_variables
        for p in points:
            plot.errorbar(
                [p.current[0]],
                [p.kv[0]],
                xerr=[(p.current[2] - p.current[1]) / 2],
                yerr=[(p.kv[2] - p.kv[1]) / 2],
                marker=p.letter,
                marker_style=_ink(variables.get(f"pit-{p.role}", "")),
            )
        self.query_one("#axis-name", Lines).show([(("   KV, rpm/V", "quiet"),)])
        who: list[Span] = [("   ", "text")]
        for p in points:
            who += [(p.letter, "accent" if p.role == "accent" else "strong"), (f" {p.name}   ", "text")]
        line: Line = tuple(who)
        self.query_one("#who", Lines).show([line])


def _ticks(low: float, high: float, most: int) -> list[float]:
    step = round_step(high - low, most)
    first = int(low // step) + 1
    return [round(i * step, 6) for i in range(first, int(high // step) + 1)]


def _ink(colour: str) -> str:
    """A theme colour as the plot library wants it; the terminal's own colours carry other names there."""
    return colour if colour.startswith("#") else colour.removeprefix("ansi_") or "default"
