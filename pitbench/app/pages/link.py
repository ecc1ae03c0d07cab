"""The bench-to-track link: which bench figures told about pace and finish temperature. Part of Rankings."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from pitbench.app.actions import bindings
from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.widgets.intervals import ends
from pitbench.app.widgets.letters import letters
from pitbench.app.widgets.table import Column, Table
from pitbench.desk.answers import LinkedFigure, LinkPage
from pitbench.desk.classes import class_choices
from pitbench.desk.comparing.ranked import link_of
from pitbench.records.spoken import FIGURES
from pitbench.records.units import Units
from pitbench.words.link import (
    TARGETS,
    brought_words,
    headline,
    luck_cell,
    margin_words,
    place_words,
    side_words,
    skill_cell,
)

if TYPE_CHECKING:
    from pitbench.app.widgets.plot import Point

BOTH_FIT = 34
"""Lines of the screen from which table and plot stand together."""


class LinkScreen(ListScreen):
    """Of one class: the answer in words, every figure a line for one target, and the motors by the marked figure."""

    SHOWN = BACK = "rankings"
    EXPLAINS = "bench and track"
    FOOTER = ("next-plot=plot, other table", "edit-weights", "next-part=rankings", "go-back", "show-keys")
    CLASSES_FOOTER = (*FOOTER[:2], "next-part=next class", *FOOTER[3:])
    BINDINGS = bindings(("next-plot", "edit-weights"))

    _class: str | None = None
    _page: LinkPage | None = None
    _view = 0

    def show_class(self, class_: str | None) -> None:
        """The class it is about."""
        if class_ != self._class:
            self._page = None
        self._class = class_
        self.asking.again()

    # asking

    def ask(self) -> None:
        key = ("bench-to-track link", self._class)
        found = self.asking.answer_to(key, partial(link_of, class_name=self._class), apart=True)
        if found is None:
            self.pane.say_waiting(key)
            return
        self._page = found.value
        self._show(found.value)

    # showing

    def _show(self, page: LinkPage) -> None:
        several = len(class_choices(self.pit.snapshot)) > 1
        footer = self.CLASSES_FOOTER if several else self.FOOTER
        self.pane.footer(footer if page.answer.enough else footer[1:])  # without figures every view is the same
        target, plotted = self._now
        first, *rest = headline(page, target)
        self.pane.say_close(first, *rest)
        figures, units = page.answer.targets[target], self.units
        self.pane.stand(table=not plotted, below=not figures)
        table = Table(_columns(page, target, units), self.size.width)
        drawn = [table.row(figure) for figure in figures]
        self.pane.show([figure.figure for figure in figures], drawn.__getitem__, table.heads() if drawn else [])
        self.mark_moved()

    def _views(self) -> list[tuple[str, bool]]:
        """What `v` steps through, target and whether as a plot: one of its own only where it does not fit below."""
        return [(target, plot) for target in TARGETS for plot in ([False] if self._tall else [False, True])]

    @property
    def _now(self) -> tuple[str, bool]:
        return self._views()[self._view % len(self._views())]

    @property
    def _tall(self) -> bool:
        return self.size.height >= BOTH_FIT

    def mark_moved(self) -> None:
        """The motors by the figure the mark stands on, drawn when it has its room."""
        (target, plotted), page, figure = self._now, self._page, self.pane.key
        units = self.units
        points = _points(page, target, figure, units) if page and figure and (plotted or self._tall) else []
        if figure is None or not points:
            self.pane.no_plot()
            return
        from pitbench.app.widgets.plot import MotorPlot

        axes = place_words(figure), place_words(target, units)
        self.pane.plot(MotorPlot).show(points, *axes)

    # keys

    def action_next_plot(self) -> None:
        before, _ = self._now
        self._view = (self._view + 1) % len(self._views())
        if self._page is None:
            return
        self._show(self._page)
        target, _ = self._now
        if target != before and self._page.answer.enough:
            self.pane.list.put_mark(self._page.answer.targets[target][0].figure)  # the one that told best
            self.mark_moved()

    def action_edit_weights(self) -> None:
        if self._page is not None:
            self.pit.routes.open_form("weights-form", self._page.class_ or "")

    def action_next_part(self) -> None:
        self.pit.routes.go_to("rankings").show_next_class()

    def action_previous_part(self) -> None:
        self.pit.routes.go_to("main-card").show_class(self._class)


def _points(page: LinkPage, target: str, figure: str, units: Units) -> list[Point]:
    """Every motor of which both the figure and the target are known."""
    from pitbench.app.widgets.plot import Point

    factor = units.per_kelvin if target == "finish_temp_c" else 1.0
    names = zip(page.motors, letters(page.motors), strict=True)
    known = zip(names, map(ends, page.figures[figure]), map(ends, page.levels[target]), strict=True)
    return [
        Point(name, letter, x, (factor * y[0], factor * y[1], factor * y[2]))
        for (name, letter), x, y in known
        if x and y
    ]


def _columns(page: LinkPage, target: str, units: Units) -> list[Column[LinkedFigure]]:
    """The figure, which side was better, how much better than guessing, luck alone, what a margin brought."""
    return [
        Column(f"{TARGETS[target].removeprefix('finish ')}|told by", 17, lambda each: FIGURES[each.figure], grow=True),
        Column("better|side", 6, side_words),
        Column("better|than guess", 10, lambda each: skill_cell(each.skill), "right"),
        Column("luck|alone", 10, lambda each: luck_cell(each.p_value), role="strong"),
        Column("a margin|more", 8, lambda each: margin_words(page, each.figure), "right"),
        Column("brought|on average", 14, lambda each: brought_words(page, target, each.figure, units)),
    ]
