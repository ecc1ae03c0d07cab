"""Motors over their speed, two figures side by side: a line a motor with its letter on it, the working range marked."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual_plot import HiResMode

from pitbench.app.widgets.letters import who_is_who
from pitbench.app.widgets.paint import Lines, Role
from pitbench.app.widgets.plot import QuietPlot, ends_of
from pitbench.app.widgets.plot_box import PlotBox

SIDES = ("left", "right")
LETTERS = 5
"""How often a motor's letter stands on its line."""


@dataclass(frozen=True)
class Drawn:
    """One motor: its name and letter, and (rpm / 1000, figure) along its line."""

    name: str
    letter: str
    role: Role
    line: Sequence[tuple[float, float]]


class ModelPlot(PlotBox):
    """Left one figure, right another."""

    def compose(self) -> ComposeResult:
        with Horizontal():
            for side in SIDES:
                with Vertical():
                    yield Lines(id=f"{side}-title")
                    yield QuietPlot(id=side)
        yield Lines(id="who")

    def show(self, figures: Sequence[tuple[str, Sequence[Drawn]]], work: tuple[float, float] | None) -> None:
        """Draw both figures, each under its title; work: from and to which speed, rpm / 1000, the first motor works."""
        self.draw_with(partial(self._both, figures, work))

    def _both(self, figures: Sequence[tuple[str, Sequence[Drawn]]], work: tuple[float, float] | None) -> None:
        for side, (title, motors) in zip(SIDES, figures, strict=True):
            self._figure(side, title, motors, work)
        _, motors = figures[0]
        who = who_is_who([(each.letter, each.name, each.role) for each in motors], self.size.width)
        marked = ((" ┊ ", "quiet"), ("at work", "text")) if work else ()
        self.query_one("#who", Lines).show([(*who[0], *marked), *who[1:]])

    def _figure(self, side: str, title: str, motors: Sequence[Drawn], work: tuple[float, float] | None) -> None:
        plot = self.query_one(f"#{side}", QuietPlot)
        self.query_one(f"#{side}-title", Lines).show([((f"   {title}", "quiet"),)])
        points = [point for motor in motors for point in motor.line]
        x_ends = (0.0, max(x for x, _ in points) * 1.03)
        y_ends = ends_of([(y, y, y) for _, y in points], 1.0)
        plot.begin(x_ends, (min(0.0, y_ends[0]), y_ends[1]), "rpm / 1000")
        top = max(y for _, y in points)
        for speed in work or ():
            for nth in range(15):
                plot.scatter([speed], [top * nth / 14], marker="┊", marker_style=plot.ink("quiet"))
        for motor in reversed(motors):  # the first over the other
            xs, ys = zip(*motor.line, strict=True)
            ink = plot.ink(motor.role)
            plot.plot(list(xs), list(ys), line_style=ink, hires_mode=HiResMode.BRAILLE)
        for nth, motor in enumerate(motors):
            for part in range(LETTERS):
                x, y = motor.line[int((part + 0.5 + 0.4 * nth) / LETTERS * len(motor.line)) % len(motor.line)]
                plot.scatter([x], [y], marker=motor.letter, marker_style=f"bold {plot.ink(motor.role)}")
