"""Motors: what do I own, what is it built from, how does each stand?"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from textual import events

from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.widgets.paint import Line, fitted, labelled, line
from pitbench.app.widgets.table import Cell, Column, Table, number, with_margin

if TYPE_CHECKING:
    from pitbench.desk.answers import FigureOf, OddRun, RankAnswer
    from pitbench.desk.comparing.worn import MotorWear
    from pitbench.desk.lists.motors import MotorLine

FIRST_START = (
    "",
    "1   m   Write down a motor. Its name is enough; turns and parts can wait.",
    "",
    "2   b   Log a bench run of it: KV and no-load current are enough.",
    "        a  does it again, everything filled in but the numbers.",
    "",
    "3       Do the same for a second motor, then press 3: Rankings.",
    "        With two runs each it will say how sure that is, and what to do next.",
    "",
    "",
    "Figures already in a sheet?   Leave with Ctrl+Q, then:  pitbench load FILE",
    "Want to look round first?     pitbench demo  opens an invented club weekend.",
    "",
    "",
    "Your logbook is one file:  {path}",
    "Everything typed is saved at once. u takes back the last change.",
)


class MotorsScreen(ListScreen):
    """The list of motors, or three first steps when there is none."""

    SHOWN = "motors"
    LINES_REST_ON_ANSWERS = False
    FOOTER = ("add-bench-run", "repeat-bench-run", "add-track-run", "open-record", "find-records", "show-keys")
    FIRST_FOOTER = ("add-motor", "add-bench-run", "show-keys", "open-palette", "quit-app")

    def __init__(self) -> None:
        super().__init__()
        self._motors: dict[str, MotorLine] = {}

    def on_screen_resume(self, event: events.ScreenResume) -> None:
        """This screen stands first; what it asks for here runs after the handlers of its base, which paint it."""
        self.call_later(self.pit.open_file)

    def ask(self) -> None:
        from pitbench.desk.classes import NO_CLASS
        from pitbench.desk.lists.motors import class_names, motor_lines
        from pitbench.words.motors import motors_words

        ranks: dict[str | None, RankAnswer | None] = {}
        odd: list[OddRun] = []
        wear: dict[str, MotorWear] = {}
        for name in set(class_names(self.pit.snapshot).values()):
            ranked = self.asking.ranking(name or NO_CLASS)
            ranks[name] = ranked.answer if ranked else None
            odd += ranked.odd_runs if ranked else ()
            wear |= ranked.wear if ranked else {}
        lines = motor_lines(self.pit.snapshot, ranks, odd, wear)
        self._motors = {m.id: m for m in lines}
        if not lines:
            self._show_first_start()
            return
        self.pane.say(*motors_words(lines, ranks, self.pit.clock(), odd))
        raced = any(motor.track_runs for motor in lines)
        self._show_list(lines, Table(columns(raced, self.pit.clock()), self.size.width))
        self.mark_moved()
        self.pane.footer(self.FOOTER)

    def _show_list(self, lines: list[MotorLine], table: Table[MotorLine]) -> None:
        keys: list[str | None] = []
        drawn: list[Line] = []
        for motor in lines:
            keys.append(motor.id)
            drawn.append(table.row(motor))
            if motor.check_motor:
                keys.append(None)
                drawn.append(line(("  check motor, run in every bench session", "quiet")))
        self.pane.show(keys, drawn.__getitem__, table.heads())

    def _show_first_start(self) -> None:
        self.pane.say("An empty logbook. Three steps to your first ranking, about two minutes:")
        drawn = [line(text.format(path=self.pit.path)) for text in FIRST_START]
        self.pane.show([None] * len(drawn), drawn.__getitem__)
        hint = "Colours hard to read in the sun?  Ctrl+P, then: theme"
        if self.pit.book.journal.may_redo():
            hint = "Taken back by mistake?  U does it again."
        self.pane.below([line((f" {hint}", "quiet"))])
        self.pane.footer(self.FIRST_FOOTER)

    def mark_moved(self) -> None:
        from pitbench.desk.lists.motors import raced_of
        from pitbench.words.motors import motor_block

        motor = self._motors.get(self.pane.key or "")
        if motor is None:
            self.pane.below()
            return
        block = motor_block(motor, raced_of(self.pit.snapshot, motor.id), self.pit.clock())
        labels = max(10, len(block[0][0]) + 2)
        lines = labelled(block, labels, max(20, self.size.width - labels - 4))
        note = "   KV and current as in the rankings. ± holds the true figure nine times in ten."
        self.pane.below([*lines, (), line((note, "quiet"))])

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


def columns(raced: bool, now: datetime) -> tuple[Column[MotorLine], ...]:
    """raced: whether any motor has a run on the track."""
    from pitbench.records.stamps import friendly_day

    both: Column[MotorLine] = Column("runs|bench track", 11, lambda m: f"{m.runs:>5} {m.track_runs:>5}")
    return (
        Column("motor", 10, lambda m: partial(_name, m)),
        Column("built from|", 11, lambda m: partial(_built, m)),
        both if raced else Column("runs|bench", 5, lambda m: str(m.runs), "right"),
        Column("KV at 25 °C|rpm/V", 11, lambda m: _ranged(m.kv), "right"),
        Column("current|A", 7, lambda m: _mean(m.current, 2), "right"),
        Column("timing|°", 6, lambda m: number(m.timing, 1), "right"),
        Column("last on|bench", 8, lambda m: "never" if m.last_on is None else friendly_day(m.last_on, now)),
        Column("winding|mΩ", 7, lambda m: _mean(m.resistance, 1), "right", from_width=92),
        Column("class|", 14, lambda m: m.class_name or "no class", from_width=110),
        Column("note|", 20, lambda m: m.note, from_width=136, grow=True),
    )


def _name(motor: MotorLine, room: int) -> Cell:
    return (marked(motor.name, room) if motor.doubtful else motor.name, "text" if motor.in_use else "quiet")


def _built(motor: MotorLine, room: int) -> Cell:
    return motor.parts if len(motor.parts) <= room else motor.named


def marked(name: str, room: int) -> str:
    """A name with the mark of doubt, which is never cut.

    >>> marked("Whio", 10), marked("Turnstone", 10), marked("Oystercatcher", 10)
    ('Whio !', 'Turnstone!', 'Oysterca…!')
    """
    return f"{name} !" if len(name) <= room - 2 else f"{fitted(name, room - 1)}!"


def _known(figure: FigureOf | None) -> tuple[float, float] | None:
    """Mean and margin, where it was measured."""
    if figure is None or figure.mean is None or figure.low90 is None or figure.high90 is None:
        return None
    return figure.mean, (figure.high90 - figure.low90) / 2


def _mean(figure: FigureOf | None, decimals: int) -> str:
    known = _known(figure)
    return number(known and known[0], decimals)


def _ranged(figure: FigureOf | None) -> str | Callable[[int], str]:
    known = _known(figure)
    return with_margin(f"{known[0]:.0f}", f"{known[1]:.0f}") if known else "·"
