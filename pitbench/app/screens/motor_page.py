"""One motor: a line a bench session and under it the track runs after it, its trend, how it stands in the ranking."""

from __future__ import annotations

from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from pitbench.app.screens.list_screen import ListScreen
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import Line, Lines, Span, fitted, line, width_of, wrapped
from pitbench.app.widgets.table import Column, Table

if TYPE_CHECKING:
    from pitbench.app.answers import Answer, Key
    from pitbench.desk import Ranked, Snapshot
    from pitbench.desk.lists.motor_lines import MotorLines, SessionLine, TrackLine
    from pitbench.desk.lists.motor_page import MotorAnswer
    from pitbench.records.units import Units

BENCH_CELLS = 6
TRACK_WORDS = "± nine in ten.  end: finish temperature at 1 minute.  pace: against its day."
SPARKS = "▁▂▃▄▅▆▇█"


GAP = " "


def columns(corrected: bool, raced: bool, units: Units) -> tuple[list[Column], list[Column]]:
    """Of a bench session, and of a track run, whose first takes the place of all that a bench reads."""
    figures = [
        Column("KV at|25 °C" if corrected else "KV|as read", 8, "right"),
        Column("current|A", 7, "right"),
        Column("timing|°", 6, "right"),
        Column("spread|°", 6, "right"),
        Column("winding|mΩ", 7, "right", from_width=0 if not raced else 96),
    ]
    track = [
        Column(f"rollout|{units.length}", 7, "right"),
        Column("mark|°", 4, "right"),
        Column(f"end|°{units.temperature}", 3, "right"),
        Column("pace|s", 5, "right"),
        Column("pace, nine|times in ten", 14, "right", from_width=112),
        Column("time, laps|and result", 22, from_width=136),
    ]
    bench = Column("bench, and the runs|on the track after it" if raced else "bench session|", 22, grow=True)
    return [bench, *figures, *(track if raced else [])], [Column("", 22, grow=True), *track]


class MotorPage(ListScreen):
    """Shown on top of the list it was opened from."""

    SHOWN = "go-motors"
    FOOTER = ("add-bench-run", "edit-record", "open-record=its runs", "next-part=sweeps", "go-back", "show-keys")

    def __init__(self, motor_id: str) -> None:
        super().__init__()
        self._motor_id = motor_id
        self._name = ""
        self._lines: MotorLines | None = None

    def ask(self) -> None:
        from pitbench.desk.classes import NO_CLASS
        from pitbench.desk.lists.motors import class_of

        motor = self.pit.snapshot.row("motor", self._motor_id)
        if motor is None or "binned_at" in motor:
            self.pit.pop_screen()
            return
        self._name = motor["name"]
        ranked, now = self.ranking(class_of(self.pit.snapshot, self._motor_id) or NO_CLASS), self.pit.clock()
        told = ("word from the track", motor.get("class_id"))
        track = self.pit.answers.last(told)
        key = ("motor page", self._motor_id, now.date())
        rests_on = (ranked and ranked.revision, track and track.revision)
        found = self.answer_to(key, partial(_question, self._motor_id, ranked, track, now), rests_on)
        if found is None:
            self.say_waiting(key)
        elif found.value is not None:
            self._show(found.value)
        self._ask_the_track(told, motor.get("class_id"))

    def _ask_the_track(self, told: Key, class_id: str | None) -> None:
        """What it says of the class, for a motor that was raced; asked last, for it takes long, and the page stands."""
        from pitbench.desk.comparing.track_evidence import evidence_of_class

        if any(run["motor_id"] == self._motor_id for run in self.pit.snapshot.rows("track_run")):
            self.answer_to(told, partial(evidence_of_class, class_id=class_id))

    def _show(self, answer: MotorAnswer) -> None:
        from pitbench.desk.lists.motor_lines import SessionLine, TrackLine

        self._show_words(answer)
        self._lines = answer.lines
        bench, track = columns(answer.corrected, answer.raced is not None, answer.units)
        of_bench, of_track = (Table(each, self.size.width, GAP) for each in (bench, track))
        self.query_one("#columns", Lines).show(of_bench.heads() if len(answer.lines) else [])

        def draw(index: int, width: int) -> Line:
            found = answer.lines.line(index)
            if isinstance(found, SessionLine):
                return of_bench.row([*session_cells(found), *[""] * (len(bench) - BENCH_CELLS)])
            if isinstance(found, TrackLine):
                return of_track.row(track_cells(found, answer.units))
            return line((f"   {found.text}", "quiet"))

        self.show_list(answer.lines.keys, draw)
        self._show_trends(answer)

    def _show_words(self, answer: MotorAnswer) -> None:
        from pitbench.words import motor_page as words

        width = max(20, self.size.width - 2)
        now, standing = self.pit.clock(), words.standing(answer)
        title: Span = (words.title(answer, now), "strong")
        gap = width - width_of((title,)) - len(standing)
        first = [line(title, " " * gap, (standing, "accent"))] if gap > 0 else [line(title)]
        if gap <= 0 and standing:
            first.append(line((standing, "accent")))
        rows = [line(row) for text in words.page_words(answer, now) for row in wrapped(text, width)]
        self.query_one("#words", Lines).show([*first, *rows])

    def _show_trends(self, answer: MotorAnswer) -> None:
        from pitbench.words.motor_page import trend_words

        lines: list[Line] = []
        for trend in answer.trends:
            drawn = sparkline(trend.values)
            lines.append(line("   ", (fitted(trend.label, 9), "quiet"), (drawn, "accent"), f"   {trend_words(trend)}"))
        if answer.raced:
            lines.append(line((f"   {TRACK_WORDS}", "quiet")))
        elif lines:
            lines += [(), line(("   Bars: one a run, oldest left. ± holds the true mean nine times in ten.", "quiet"))]
        self.show_below(lines)

    def marked_motor(self) -> str | None:
        return self._motor_id

    def action_next_part(self) -> None:
        from pitbench.app.screens.sweep import SweepScreen

        self.pit.push_screen(SweepScreen(self._motor_id))

    def action_previous_part(self) -> None:
        self.action_next_part()

    def action_edit_record(self) -> None:
        from pitbench.app.screens.motor_form import MotorForm

        self.open_form(lambda: MotorForm(self._motor_id))

    def action_open_record(self) -> None:
        from pitbench.desk.lists.motor_lines import NoteLine, TrackLine

        key = self.query_one(LineList).key
        keys = self._lines.keys if self._lines else []
        found = self._lines.line(keys.index(key)) if self._lines and key in keys else None
        of = "" if found is None or isinstance(found, NoteLine) else f" {found.day}"
        which = " track" if isinstance(found, TrackLine) else ""
        self.pit.go_to("runs").narrow_to(f"{self._name}{of}{which}")

    def action_delete_record(self) -> None:
        from pitbench.app.dialogs.bin_motor import bin_motor_asked

        bin_motor_asked(self, self._motor_id)


def _question(
    motor_id: str, ranked: Ranked | None, track: Answer | None, now: datetime, snapshot: Snapshot
) -> MotorAnswer | None:
    from pitbench.desk.lists.motor_page import motor_answer

    answer, slope = (ranked.answer, ranked.warmth_slope) if ranked else (None, None)
    return motor_answer(snapshot, motor_id, answer, now, slope, track.value if track else None)


def session_cells(session: SessionLine) -> list[str]:
    """Cells of a bench session, as far as the bench goes."""
    out = f", {session.left_out} out" if session.left_out else ""
    plus = "" if session.kv_pm is None else f" ±{session.kv_pm:.0f}"
    return [
        f"{session.when}, {session.runs} run{'' if session.runs == 1 else 's'}{out}",
        "·" if session.kv is None else f"{session.kv:.0f}{plus}",
        _cell(session.current, 2),
        _cell(session.timing, 1),
        _cell(session.spread, 1),
        _cell(session.resistance, 1),
    ]


def track_cells(run: TrackLine, units: Units) -> list[str | Span]:
    """Cells of a track run."""
    mark = f"  ! {run.mark}" if run.mark else ""
    pace = run.pace.seconds if run.pace else None
    return [
        (f"   {run.when}  {run.what}{mark}", "warn" if run.mark else "text"),
        units.short("max_rollout_mm", run.rollout_mm),
        _cell(run.timing_mark_deg, 0),
        units.short("finish_reading_c", run.finish_c, 0),
        "·" if pace is None else f"{pace.mean:+z.2f}",
        "·" if pace is None else f"{pace.low90:+z.2f} to {pace.high90:+z.2f}",
        run.laps,
    ]


def sparkline(values: tuple[float, ...]) -> str:
    """One character a value, from the least to the greatest; equal values lie in the middle."""
    low, high = min(values), max(values)
    if high == low:
        return SPARKS[3] * len(values)
    return "".join(SPARKS[round((value - low) / (high - low) * (len(SPARKS) - 1))] for value in values)


def _cell(value: float | None, decimals: int) -> str:
    return "·" if value is None else f"{value:.{decimals}f}"
