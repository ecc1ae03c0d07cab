"""The load logs of a motor, a line each: what it gave under load, run by run. A part of the motor page."""

from datetime import datetime

from pitbench.app.pages.motor_part import MotorPart
from pitbench.app.widgets.paint import line, wrapped
from pitbench.app.widgets.table import Column, Table, number
from pitbench.desk.entry.run_entry import put_in_bin
from pitbench.desk.load.page import LogPage, logs_of_motor
from pitbench.records.kinds import Row
from pitbench.records.stamps import friendly
from pitbench.records.units import Units
from pitbench.words import load_page as words


def columns(now: datetime, units: Units) -> list[Column[LogPage]]:
    return [
        Column("when|", 12, lambda log: friendly(log.when, now)),
        Column("run|", 13, lambda log: log.run or "of the motor", grow=True),
        Column("KV|at work", 9, lambda log: words.figure_with_doubt(log, "kv_rpm_per_v", "kv_se", 0), "right"),
        Column(
            "mΩ with|leads",
            10,
            lambda log: words.figure_with_doubt(log, "resistance_mohm", "resistance_se", 1),
            "right",
        ),
        Column("shaft|W", 5, lambda log: number(log.figures.get("shaft_power_w"), 0), "right"),
        Column("median|A", 6, lambda log: number(log.figures.get("current_median_a"), 1), "right"),
        Column(f"motor|to °{units.temperature}", 6, lambda log: _warm(log, units), "right"),
        Column("file|", 20, lambda log: log.answer.file, role="quiet", from_width=104),
    ]


def _warm(log: LogPage, units: Units) -> str:
    highest = log.figures.get("motor_highest_c")
    return "·" if highest is None else f"{units.warmth(highest):.0f}"


class LoadLogsScreen(MotorPart):
    """The newest first; Enter opens one."""

    PART = "load-logs"
    LINES_REST_ON_ANSWERS = False
    FOOTER = ("open-record", "read-load-log", "delete-record", "next-part=motor model", "go-back", "show-keys")
    NONE_FOOTER = ("read-load-log", *FOOTER[3:])

    def __init__(self, motor_id: str) -> None:
        super().__init__(motor_id)
        self._logs: list[LogPage] = []

    def ask_of(self, motor: Row) -> None:
        self._logs = logs_of_motor(self.pit.snapshot, self._motor_id)
        if not self._logs:
            self.pane.say(f"No load log of {self._motor_name} yet.", words.no_log())
        else:
            self.pane.say(words.logs_words(self._motor_name, self._logs))
        table = Table(columns(self.pit.clock(), self.units), self.size.width)
        keys = [log.log_id for log in self._logs]
        self.pane.show(keys, lambda index: table.row(self._logs[index]), table.heads() if keys else [])
        self.pane.footer(self.FOOTER if keys else self.NONE_FOOTER)
        self.mark_moved()

    def mark_moved(self) -> None:
        """What the marked log says, in words."""
        log = next((each for each in self._logs if each.log_id == self.pane.key), None)
        width = self.size.width - 6
        told = [words.headline(log, self.pit.clock()), words.odd_in_short(log)] if log else []
        lines = [line(f"   {row}") for text in told if text for row in wrapped(text, width)]
        self.pane.below([*lines, (), line(("   ± holds the true figure nine times in ten.", "quiet"))] if lines else [])

    # keys

    def action_open_record(self) -> None:
        if self.pane.key:
            self.pit.routes.open("load-log", self.pane.key)

    def action_delete_record(self) -> None:
        key = self.pane.key
        if key:
            self.pit.writing(lambda: put_in_bin(self.pit.book, key))
