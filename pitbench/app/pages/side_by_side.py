"""Side by side: is that difference real, figure by figure; and every run of the marked figure."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from pitbench.app.actions import bindings
from pitbench.app.dialogs.choose import Choose
from pitbench.app.lists.beside import say_held
from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.pages.side_by_side_runs import runs_below
from pitbench.app.widgets.paint import Line, Lines, Role
from pitbench.app.widgets.table import Cell, Column, Table
from pitbench.desk.answers import SideBySide
from pitbench.desk.comparing.ranked import beside
from pitbench.desk.lists.motors import of_one_class
from pitbench.desk.named import name_of
from pitbench.records.spoken import listed
from pitbench.records.units import Units
from pitbench.words import side_by_side as words
from pitbench.words.side_by_side import SHOWN, Shown

MOST = 4
KEYS = "123456789abcdefghijklmnop"
WITH_VALUES = 116
"""Columns from which on three or four motors have room for what each has beside what lies between."""


class SideBySideScreen(ListScreen):
    """Shown on top of the list or page it was opened from."""

    SHOWN = "motors"
    EXPLAINS = "side by side"
    FOOTER = ("put-beside=another", "take-away=one less", "open-record=its runs", "next-plot", "go-back", "show-keys")
    BINDINGS: ClassVar = bindings(("next-plot",))

    def __init__(self, motor_ids: Sequence[str]) -> None:
        super().__init__()
        self._ids = list(motor_ids)
        self._found: SideBySide | None = None
        self._as_read = False

    # asking

    def ask(self) -> None:
        snapshot = self.pit.snapshot
        standing = {motor["id"] for motor in snapshot.rows("motor")}
        self._ids = [each for each in self._ids if each in standing]
        if len(self._ids) < 2:
            self.close()
            return
        key = ("comparison", *self._ids)
        found = self.asking.answer_to(key, partial(beside, names=self._names()), apart=True)
        if found is None:
            self._found = None
            self.pane.say_waiting(key)
        else:
            self._show(found.value)

    def _names(self) -> list[str]:
        return [name_of(self.pit.snapshot, "motor", each) for each in self._ids]

    # showing

    def _show(self, found: SideBySide) -> None:
        self._found = found
        units = self.units
        self.pane.say(" ".join(words.title(found, self.pit.clock())))
        names = found.answer.motors
        columns = of_two(found, units) if len(names) == 2 else of_many(found, units, self.size.width)
        table = Table(columns, self.size.width, "  " if self.size.width >= 100 else " ")
        self.pane.show([each.figure for each in SHOWN], lambda at: table.row(SHOWN[at]), table.heads())
        self.pane.footer(tuple(self._footer(entry) for entry in self.FOOTER))
        self.mark_moved()

    def _footer(self, entry: str) -> str:
        return f"next-plot={'compared' if self._as_read else 'as read'}" if entry == "next-plot" else entry

    def mark_moved(self) -> None:
        """The runs of the marked figure, as many lines as there is room for."""
        if self._found is None:
            return
        marked = next((each for each in SHOWN if each.figure == self.pane.key), SHOWN[0])
        notes = self._notes(self._found)
        above = len(self.query_one("#words", Lines).lines) + len(self.query_one("#columns", Lines).lines) + 2
        room = self.size.height - self.FRAME_LINES - above - len(SHOWN) - 1 - len(notes)
        size, now = (self.size.width, room), self.pit.clock()
        self.pane.below([*runs_below(self._found, marked, self.units, now, size, self._as_read), *notes])

    def _notes(self, found: SideBySide) -> list[Line]:
        told = words.conditions(found.answer.basis, self.units)
        if len(found.answer.motors) > 2:
            told = f"▲ better than {found.answer.motors[0]}, ▼ worse, 90 in 100 or surer. {told}"
        return self.pane.indented(told)

    # keys

    def marked_motor(self) -> str | None:
        return self._ids[0]

    def action_next_plot(self) -> None:
        self._as_read = not self._as_read
        if self._found is not None:
            self._show(self._found)

    def action_put_beside(self) -> None:
        """One of the others of the class; of very many it is marked in the list of motors."""
        others = [each for each in of_one_class(self.pit.snapshot, self._ids[0]) if each[0] not in self._ids]
        if len(self._ids) >= MOST:
            self.pit.say("Four motors stand side by side at most.")
        elif not others:
            self.pit.say("There is no other motor of this class.")
        elif len(others) > min(len(KEYS), self.size.height - 8):
            self.pit.held = list(self._ids)
            self.pit.routes.go_to("motors")
            say_held(self.pit)
        else:
            choices = [(key, each, name) for key, (each, name) in zip(KEYS, others, strict=False)]
            question = f"Which motor beside {listed(self._names())}?"
            self.pit.push_screen(Choose(question, choices, others[0][0]), self._put)

    def _put(self, motor: str | None) -> None:
        if motor:
            self._stand([*self._ids, motor])

    def action_take_away(self) -> None:
        if len(self._ids) == 2:
            self.pit.say("Two motors are the least.")
            return
        choices = [(key, each, name) for key, each, name in zip(KEYS, self._ids, self._names(), strict=False)]
        self.pit.push_screen(Choose("Which one less?", choices, self._ids[-1]), self._take)

    def _take(self, motor: str | None) -> None:
        if motor:
            self._stand([each for each in self._ids if each != motor])

    def _stand(self, ids: list[str]) -> None:
        self._ids = ids
        self.asking.again()

    def action_open_record(self) -> None:
        """The runs of one of the motors: of the bench, or of the track where the marked figure comes from there."""
        which = " track" if self.pane.key in words.ON_THE_TRACK else ""
        named = self._names()

        def answered(name: str | None) -> None:
            if name:
                self.pit.routes.go_to("runs").narrow_to(f"{name}{which}")

        choices = [(key, name, name) for key, name in zip(KEYS, named, strict=False)]
        self.pit.push_screen(Choose("Whose runs?", choices, named[0]), answered)


def of_two(found: SideBySide, units: Units) -> list[Column[Shown]]:
    """What each has, and what lies between."""
    one, other = found.answer.motors

    def better(shown: Shown) -> Cell:
        name, _ = words.better_words(found, shown.figure, one, other)
        return f" {name}", _role(found, shown, one, other)

    def chance(shown: Shown) -> Cell:
        return words.better_words(found, shown.figure, one, other)[1], _role(found, shown, one, other)

    return [
        _label(units),
        _value(found, one, units),
        _value(found, other, units),
        Column("difference", 12, lambda shown: words.difference_text(found, shown, one, other, units), "right"),
        Column(" better", 12, better),
        Column("in 100", 7, chance, "right"),
    ]


def of_many(found: SideBySide, units: Units, width: int) -> list[Column[Shown]]:
    """What the first has, and how far each other lies from it."""
    first, *others = found.answer.motors
    columns = [_label(units), _value(found, first, units)]
    for other in others:
        if width >= WITH_VALUES:
            columns.append(_value(found, other, units))
        columns.append(_against(found, first, other, units, "" if width >= WITH_VALUES else other))
    return columns


def _label(units: Units) -> Column[Shown]:
    return Column("figure", words.LABEL, lambda shown: words.label_with_unit(shown, units))


def _value(found: SideBySide, motor: str, units: Units) -> Column[Shown]:
    return Column(motor, 9, lambda shown: words.value_text(found, shown, motor, units), "right")


def _against(found: SideBySide, first: str, other: str, units: Units, head: str) -> Column[Shown]:
    def against(shown: Shown) -> Cell:
        better = found.answer.figures[shown.figure].between(first, other).better
        mark = {first: " ▼", other: " ▲"}.get(better or "", "  ")
        text = words.difference_text(found, shown, first, other, units, turned=True)
        return (f"{text}{mark}" if text else "·  "), "strong" if better else "text"

    return Column(f"{head}|less {first}", 13 if head else 14, against, "right")


def _role(found: SideBySide, shown: Shown, one: str, other: str) -> Role:
    between = found.answer.figures[shown.figure].between(one, other)
    if between.better:
        return "strong"
    return "text" if between.chance is not None and between.chance >= words.LEANING else "quiet"
