"""The second part of the setup log: what is on the car now, a line a thing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.widgets.paint import line
from pitbench.app.widgets.table import Column, Table
from pitbench.desk.lists.on_car import CarLine, car_named, on_the_car
from pitbench.records.keys import key_for
from pitbench.words.setup import on_the_car_words

if TYPE_CHECKING:
    from pitbench.app.lists.list_screen import ListScreen

FOOTER = ("add-setup-entry=change it", "edit-record", "next-part=season", "undo-change", "print-day", "show-keys")
COLUMNS: tuple[Column[CarLine], ...] = (
    Column("what", 22, lambda t: t.what),
    Column("is now", 20, lambda t: t.now),
    Column("since", 12, lambda t: t.since),
    Column("motor", 10, lambda t: t.motor, role="quiet"),
)


class CarPart:
    """Of the screen that shows it."""

    def __init__(self, screen: ListScreen) -> None:
        self._screen = screen
        self._things: dict[str, CarLine] = {}

    def show(self) -> None:
        pit, pane = self._screen.pit, self._screen.pane
        things = on_the_car(pit.snapshot, pit.clock())
        self._things = {thing.key: thing for thing in things}
        pane.say(on_the_car_words(len(things), car_named(pit.snapshot)))
        table = Table(COLUMNS, self._screen.size.width, rows=things)
        rows = [table.row(thing) for thing in things]
        pane.show([*self._things], rows.__getitem__, table.heads() if things else [])
        note = f"   As the last of the two says, log or track run. {key_for('add-setup-entry')} changes the marked one."
        pane.below([line((note, "quiet"))] if things else [])
        pane.footer(FOOTER)

    def marked(self) -> CarLine | None:
        return self._things.get(self._screen.pane.key or "")
