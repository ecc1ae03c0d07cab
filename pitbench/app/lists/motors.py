"""Motors: what do I own, what is it built from, how does each stand?"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from textual import events

from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.widgets.intervals import ends, share_bar
from pitbench.app.widgets.paint import Line, Role, fitted, labelled, line, wrapped
from pitbench.app.widgets.table import GAP, Cell, Column, Table, number, with_margin
from pitbench.records.keys import key_for, with_keys

if TYPE_CHECKING:
    from pitbench.desk.answers import FigureOf
    from pitbench.desk.comparing.ranked import Ranked
    from pitbench.desk.lists.motors import ClassLine, MotorLine

NUMBER_WIDTH = 8
"""Cells beside the longest bar, for a chance as long as it is ever said."""

FIRST_START = (
    "",
    "1   {add-motor}   Write down a motor. Its name is enough; turns and parts can wait.",
    "",
    "2   {add-bench-run}   Log a bench run of it: KV and no-load current are enough.",
    "        {repeat-bench-run}  does it again, everything filled in but the numbers.",
    "",
    "3       Do the same for a second motor, then press {go-rankings}: Rankings.",
    "        With two runs each it will say how sure that is, and what to do next.",
    "",
    "",
    "Figures already in a sheet?   Leave with {quit-app}, then:  pitbench load FILE",
    "Want to look round first?     pitbench demo  opens an invented club weekend.",
    "",
    "",
)
SAVED = "Everything typed is saved at once. {undo-change} takes back the last change."


class MotorsScreen(ListScreen):
    """The list of motors, or three first steps when there is none."""

    SHOWN = "motors"
    LINES_REST_ON_ANSWERS = False
    FOOTER = ("add-bench-run", "repeat-bench-run", "add-track-run", "open-record", "put-beside", "show-keys")

    def __init__(self) -> None:
        super().__init__()
        self._motors: dict[str, MotorLine] = {}
        self._ranked: dict[str | None, Ranked | None] = {}

    def on_screen_resume(self, event: events.ScreenResume) -> None:
        """This screen stands first; what it asks for here runs after the handlers of its base, which paint it."""
        self.call_later(self.pit.open_file)

    def ask(self) -> None:
        from pitbench.desk.classes import NO_CLASS
        from pitbench.desk.lists.motors import class_names, motor_lines
        from pitbench.words.motors import motors_words

        names = set(class_names(self.pit.snapshot).values())
        self._ranked = {name: self.asking.ranking(name or NO_CLASS) for name in names}
        lines = motor_lines(self.pit.snapshot, self._ranked)
        self._motors = {m.id: m for m in lines}
        if not lines:
            self._show_first_start()
            return
        self.pane.say(*motors_words(lines, self._ranked))
        self._show_list(lines)
        self.mark_moved()
        self.pane.footer(self.FOOTER)

    def _show_list(self, lines: list[MotorLine]) -> None:
        """Every motor under the head of its class; the mark passes over heads."""
        from pitbench.desk.lists.motors import ClassLine, with_heads

        table, heads = tables(self.size.width, self.pit.clock())
        shown = with_heads(lines, self._ranked)
        keys = [None if isinstance(each, ClassLine) else each.id for each in shown]
        drawn = [heads.row(each) if isinstance(each, ClassLine) else table.row(each) for each in shown]
        self.pane.show(keys, drawn.__getitem__, table.heads())

    def _show_first_start(self) -> None:
        self.pane.say("An empty logbook. Three steps to your first ranking, about two minutes:")
        drawn = [
            line(text)
            for text in (*map(with_keys, FIRST_START), f"Your logbook is one file:  {self.pit.path}", with_keys(SAVED))
        ]
        self.pane.show([None] * len(drawn), drawn.__getitem__)
        hint = f"Colours hard to read in the sun?  {key_for('open-palette')}, then: theme"
        if self.pit.book.journal.may_redo():
            hint = f"Taken back by mistake?  {key_for('redo-change')} does it again."
        self.pane.below([line((f" {hint}", "quiet"))])
        self.pane.footer(self.FIRST_FOOTER)

    def mark_moved(self) -> None:
        from pitbench.desk.lists.motors import raced_of
        from pitbench.records.units import units_of
        from pitbench.words.motors import list_notes, motor_block
        from pitbench.words.ranking import odd_words

        motor, now = self._motors.get(self.pane.key or ""), self.pit.clock()
        if motor is None:
            self.pane.below()
            return
        width = max(20, self.size.width - 4)
        block = block_lines(motor_block(motor, raced_of(self.pit.snapshot, motor.id), now), width)
        others = [m.odd_run for m in self._motors.values() if m.odd_run and m is not motor]
        elsewhere = wrapped(odd_words(others, now), width - 2)
        odd = [line(("     " if nth else "   ! ", "warn"), row) for nth, row in enumerate(elsewhere)]
        notes = list_notes([*self._motors.values()], motor, self._ranked, now, units_of(self.pit.snapshot))
        self.pane.below([*block, *odd, (), *self.pane.indented(*notes)])

    def marked_motor(self) -> str | None:
        return self.pane.key

    def action_open_record(self) -> None:
        motor = self.marked_motor()
        if motor:
            self.pit.routes.open("motor-page", motor)

    def action_edit_record(self) -> None:
        if self.marked_motor():
            self.pit.routes.open_form("motor-form", self.marked_motor())

    def action_delete_record(self) -> None:
        from pitbench.app.dialogs.bin_motor import bin_motor_asked

        motor = self.marked_motor()
        if motor in self._motors:
            bin_motor_asked(self, motor)


def tables(width: int, now: datetime) -> tuple[Table[MotorLine], Table[ClassLine]]:
    """The table of motors and, in the same columns, that of the heads of their classes."""
    from pitbench.records.stamps import friendly_day

    columns: list[Column[MotorLine]] = [
        Column("motor|", 10, lambda m: partial(_name, m)),
        Column("chance of being best|", 21, lambda m: partial(_chance, m), grow=True),
        Column("KV against|class, rpm/V", 14, lambda m: partial(_against, m)),
        Column("KV at 25 °C|rpm/V", 11, lambda m: _ranged(m.kv), "right", from_width=110),
        Column("current|A", 7, lambda m: _mean(m.current, 2), "right"),
        Column("timing|°", 6, lambda m: number(m.timing, 1), "right", from_width=88),
        Column("winding|mΩ", 7, lambda m: _mean(m.resistance, 1), "right", from_width=97),
        Column("runs|b   t", 6, lambda m: f"{m.runs or '·':>2} {m.track_runs or '·':>3}"),
        Column("last on|bench", 8, lambda m: "never" if m.last_on is None else friendly_day(m.last_on, now)),
        Column("built from|", 11, lambda m: partial(_built, m), from_width=123),
        Column("note|", 20, lambda m: m.note, from_width=145, grow=True),
    ]
    means: dict[str, Callable[[ClassLine], Cell]] = {
        "KV against|class, rpm/V": lambda c: number(c.kv, 0).rjust(8) if c.kv is not None else "",
        "current|A": lambda c: number(c.current, 2) if c.current is not None else "",
    }
    first: Column[ClassLine] = Column("", 10 + len(GAP) + 21, _class, grow=True)
    others = [Column(c.head, c.width, means.get(c.head, _blank), c.align, c.from_width, c.grow) for c in columns[2:]]
    return Table(columns, width), Table([first, *others], width)


def block_lines(block: list[tuple[str, str]], width: int) -> list[Line]:
    """The marked motor: its name and facts, then what to look at and what else, each with its label."""
    from pitbench.words.motors import DOUBTS

    labels = max(10, len(block[0][0]) + 2)
    told = [(f"! {label}" if label in DOUBTS else label, text) for label, text in block]
    drawn = labelled(told, labels, width - labels)
    return [(each[0], (each[1][0], "warn"), *each[2:]) if each[1][0].startswith("! ") else each for each in drawn]


def _class(head: ClassLine) -> Cell:
    return ("NOT IN USE" if head.name is None else head.name.upper() or "NO CLASS", "strong")


def _blank(head: ClassLine) -> Cell:
    return ""


def _name(motor: MotorLine, room: int) -> Cell:
    role: Role = "accent" if motor.leads else "text" if motor.in_use else "quiet"
    return (marked(motor.name, room) if motor.doubtful else motor.name, role)


def _chance(motor: MotorLine, room: int) -> Cell:
    """A bar as long as the chance, and the number; why there is none; dots as long as it is worked out."""
    from pitbench.words.motors import NOT_RANKED
    from pitbench.words.ranking import chance_number

    if motor.chance is None:
        coming = "" if motor.ranking or not motor.in_use or not motor.runs else "…"
        return (NOT_RANKED.get(motor.not_ranked, coming), "quiet")
    said = f"{'check, ' if motor.check_motor else ''}{chance_number(motor.chance)}"
    drawn = share_bar(motor.chance, room - NUMBER_WIDTH)
    if len(drawn) + len(said) >= room:
        said = chance_number(motor.chance)
    return (drawn + said.rjust(room - len(drawn)), "accent" if motor.leads else "text")


def _against(motor: MotorLine, room: int) -> Cell:
    """The difference with its range, and that the motor was worked on."""
    known = ends(motor.against)
    if known is None:
        return "·".rjust(8) if motor.ranking and motor.in_use else ""
    mean, low, high = known
    told = with_margin(f"{mean:+z.0f}", f"{(high - low) / 2:.0f}")(room).rjust(8)
    return f"{told} since" if motor.since and len(told) + 6 <= room else told


def _built(motor: MotorLine, room: int) -> Cell:
    return motor.parts if len(motor.parts) <= room else motor.named


def marked(name: str, room: int) -> str:
    """A name with the mark of doubt, which is never cut.

    >>> marked("Whio", 10), marked("Turnstone", 10), marked("Oystercatcher", 10)
    ('Whio !', 'Turnstone!', 'Oysterca…!')
    """
    return f"{name} !" if len(name) <= room - 2 else f"{fitted(name, room - 1)}!"


def _mean(figure: FigureOf | None, decimals: int) -> str:
    known = ends(figure)
    return number(known and known[0], decimals)


def _ranged(figure: FigureOf | None) -> str | Callable[[int], str]:
    known = ends(figure)
    return with_margin(f"{known[0]:.0f}", f"{(known[2] - known[1]) / 2:.0f}") if known else "·"
