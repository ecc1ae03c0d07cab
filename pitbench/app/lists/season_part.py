"""The third part of the setup log: the season, a line a class and event, and under it the best gearing of its track."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.widgets.paint import fitted, line
from pitbench.app.widgets.table import Column, Table, number
from pitbench.desk.lists.season import SeasonLine, season
from pitbench.records.stamps import friendly
from pitbench.records.units import Units
from pitbench.words.season import best_gearing_words, season_words

if TYPE_CHECKING:
    from datetime import datetime

    from pitbench.app.lists.list_screen import ListScreen

FOOTER = ("edit-record=its run", "add-track-run", "next-part=the log", "explain-figure", "go-back", "show-keys")
BEST_LINES = 4


def columns(now: datetime, units: Units) -> list[Column[SeasonLine]]:
    return [
        Column("when", 8, lambda e: friendly(e.date, now)),
        Column("event", 11, lambda e: e.event, grow=True),
        Column("class", 12, lambda e: e.class_name, role="quiet", from_width=100),
        Column("motor", 8, lambda e: e.motor),
        Column("gears", 5, lambda e: e.gears),
        Column("lap s", 5, lambda e: number(e.average_lap_s, 2), "right"),
        Column(f"end °{units.temperature}", 6, lambda e: units.short("finish_reading_c", e.finish_c, 0), "right"),
        Column("pace s", 11, _pace, "right"),
        Column("result", 7, lambda e: e.result, grow=True),
    ]


def _pace(each: SeasonLine) -> str:
    if each.against is None:
        return "·"
    seconds = each.against.seconds
    return f"{seconds.mean:+z.2f} ±{(seconds.high90 - seconds.low90) / 2:.2f}"


class SeasonPart:
    """Of the screen that shows it."""

    def __init__(self, screen: ListScreen) -> None:
        self._screen = screen
        self._lines: dict[str, SeasonLine] = {}

    def show(self) -> None:
        """The list, once it was worked out."""
        screen, key = self._screen, ("season",)
        screen.pane.footer(FOOTER)
        found = screen.asking.answer_to(key, season)
        if found is None:
            screen.pane.say_waiting(key)
            return
        lines: list[SeasonLine] = found.value
        self._lines = {each.key: each for each in lines}
        screen.pane.say(season_words(lines))
        table = Table(columns(screen.pit.clock(), screen.units), screen.size.width, rows=lines)
        screen.pane.show([each.key for each in lines], lambda i: table.row(lines[i]), table.heads() if lines else [])
        self.show_best()

    def show_best(self) -> None:
        """The best gearing so far where the marked line was."""
        screen = self._screen
        marked = self._lines.get(screen.pane.key or "")
        if marked is None:
            screen.pane.below()
            return
        width = max(20, screen.size.width - 4)
        told = screen.pane.indented(*best_gearing_words(marked), role="text")
        note = "end: as read.  pace: against its day, at its own gears.  Of the last main."
        told += [()] * (BEST_LINES - len(told))
        screen.pane.below([*told, line("   ", (fitted(note, width), "quiet"))])
