"""Motors: what do I own, what is it built from, how does each stand?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.screens.list_screen import ListScreen
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import Line, Lines, Role, fitted, line, wrapped
from pitbench.app.widgets.table import Column, Table, with_margin

if TYPE_CHECKING:
    from pitbench.desk.answers import FigureOf, RankAnswer
    from pitbench.desk.comparing.odd_runs import OddRun
    from pitbench.desk.lists.motors import MotorLine

RUNS, RUNS_AND_RACED = Column("runs|bench", 5, "right"), Column("runs|bench track", 11)
COLUMNS = (
    Column("motor", 10),
    Column("built from|", 11),
    RUNS,
    Column("KV at 25 °C|rpm/V", 11, "right"),
    Column("current|A", 7, "right"),
    Column("timing|°", 6, "right"),
    Column("last on|bench", 8),
    Column("winding|mΩ", 7, "right", from_width=92),
    Column("class|", 14, from_width=110),
    Column("note|", 20, from_width=136, grow=True),
)

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

    SHOWN = "go-motors"
    FOOTER = ("add-bench-run", "repeat-bench-run", "add-track-run", "open-record", "find-records", "show-keys")
    FIRST_FOOTER = ("add-motor", "add-bench-run", "show-keys", "open-palette", "quit-app")

    def __init__(self) -> None:
        super().__init__()
        self._motors: dict[str, MotorLine] = {}

    def on_screen_resume(self) -> None:
        """This screen stands first; what it asks for here runs after the handlers of its base, which paint it."""
        self.call_later(self.pit.open_file)

    def ask(self) -> None:
        from pitbench.desk.classes import NO_CLASS
        from pitbench.desk.lists.motors import class_names, motor_lines, motors_words

        ranks: dict[str | None, RankAnswer | None] = {}
        odd: list[OddRun] = []
        for name in set(class_names(self.pit.snapshot).values()):
            ranked = self.ranking(name or NO_CLASS)
            ranks[name] = ranked.answer if ranked else None
            odd += ranked.odd_runs if ranked else ()
        lines = motor_lines(self.pit.snapshot, ranks, odd)
        self._motors = {m.id: m for m in lines}
        if not lines:
            self._show_first_start()
            return
        self.say_words(motors_words(lines, ranks, self.pit.clock(), odd))
        raced = any(motor.track_runs for motor in lines)
        columns = [RUNS_AND_RACED if column is RUNS and raced else column for column in COLUMNS]
        table = Table(columns, self.size.width)
        self.query_one("#columns", Lines).show(table.heads())
        self._show_list(lines, table, raced)
        self._show_block()
        self.show_footer(self.FOOTER)

    def _show_list(self, lines: list[MotorLine], table: Table, raced: bool) -> None:
        keys: list[str | None] = []
        drawn: list[Line] = []
        for motor in lines:
            keys.append(motor.id)
            drawn.append(self._row(motor, table, raced))
            if motor.check_motor:
                keys.append(None)
                drawn.append(line(("  check motor, run in every bench session", "quiet")))
        self.show_list(keys, lambda index, width: drawn[index])

    def _row(self, motor: MotorLine, table: Table, raced: bool) -> Line:
        from pitbench.records.stamps import friendly_day

        role: Role = "text" if motor.in_use else "quiet"
        return table.row(
            [
                (_marked(motor.name) if motor.doubtful else motor.name, role),
                motor.parts,
                f"{motor.runs:>5} {motor.track_runs:>5}" if raced else str(motor.runs),
                _figure(motor.kv, 0, COLUMNS[3].width),
                _figure(motor.current, 2),
                "·" if motor.timing is None else f"{motor.timing:.1f}",
                "never" if motor.last_on is None else friendly_day(motor.last_on, self.pit.clock()),
                _figure(motor.resistance, 1),
                motor.class_name or "no class",
                motor.note,
            ]
        )

    def _show_first_start(self) -> None:
        self.say_words(["An empty logbook. Three steps to your first ranking, about two minutes:"])
        self.query_one("#columns", Lines).show([])
        drawn = [line(text.format(path=self.pit.path)) for text in FIRST_START]
        self.show_list([None] * len(drawn), lambda index, width: drawn[index])
        hint = "Colours hard to read in the sun?  Ctrl+P, then: theme"
        if self.pit.book.journal.may_redo():
            hint = "Taken back by mistake?  U does it again."
        self.show_below([line((f" {hint}", "quiet"))])
        self.show_footer(self.FIRST_FOOTER)

    def _show_block(self) -> None:
        from pitbench.desk.lists.motors import motor_block

        motor = self._motors.get(self.query_one(LineList).key or "")
        if motor is None:
            self.show_below([])
            return
        block = motor_block(self.pit.snapshot, motor, self.pit.clock())
        labels = max(10, len(block[0][0]) + 2)
        width = max(20, self.size.width - labels - 4)
        lines: list[Line] = []
        for label, text in block:
            head: Role = "strong" if label == block[0][0] else "quiet"
            for nth, row in enumerate(wrapped(text, width)):
                lines.append(line("   ", (fitted("" if nth else label, labels), head), row))
        note = "   ± holds the true figure nine times in ten."
        self.show_below([*lines, (), line((note, "quiet"))])

    def mark_moved(self) -> None:
        self._show_block()

    def marked_motor(self) -> str | None:
        return self.query_one(LineList).key

    def action_open_record(self) -> None:
        from pitbench.app.screens.motor_page import MotorPage

        motor = self.marked_motor()
        if motor:
            self.pit.push_screen(MotorPage(motor))

    def action_edit_record(self) -> None:
        from pitbench.app.screens.motor_form import MotorForm

        if self.marked_motor():
            self.open_form(lambda: MotorForm(self.marked_motor()))

    def action_delete_record(self) -> None:
        from pitbench.app.dialogs.bin_motor import bin_motor_asked

        motor = self.marked_motor()
        if motor in self._motors:
            bin_motor_asked(self, motor)


def _marked(name: str) -> str:
    """A name with the mark of doubt, which is never cut.

    >>> _marked("Wren"), _marked("Turnstone"), _marked("Oystercatcher")
    ('Wren !', 'Turnstone!', 'Oysterca…!')
    """
    room = COLUMNS[0].width
    return f"{name} !" if len(name) <= room - 2 else f"{fitted(name, room - 1)}!"


def _figure(figure: FigureOf | None, decimals: int, room: int = 0) -> str:
    """`3936 ±6` in a room for both, `3936` without, or a point where nothing was measured."""
    if figure is None or figure.mean is None or figure.low90 is None or figure.high90 is None:
        return "·"
    mean, margin = (f"{each:.{decimals}f}" for each in (figure.mean, (figure.high90 - figure.low90) / 2))
    return with_margin(mean, margin, room) if room else mean
