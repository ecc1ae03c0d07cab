"""One motor: a line a bench session and under it the track runs after it, its trend, how it stands in the ranking."""

from collections.abc import Sequence
from functools import partial

from pitbench.app.answers import Answer, Key
from pitbench.app.dialogs.bin_motor import bin_motor_asked
from pitbench.app.dialogs.change_of import ask_change
from pitbench.app.pages.motor_part import MotorPart
from pitbench.app.widgets.paint import Line, Role, Span, fitted, line, width_of, wrapped
from pitbench.app.widgets.table import Cell, Column, Table, number
from pitbench.app.widgets.trend import trend_line
from pitbench.desk.answers import Judged
from pitbench.desk.changes.judged import BROUGHT, judged
from pitbench.desk.classes import NO_CLASS
from pitbench.desk.comparing.ranked import evidence_of_class
from pitbench.desk.comparing.worn import PowerLine
from pitbench.desk.lists.motor_lines import MotorLines, NoteLine, SessionLine, TrackLine
from pitbench.desk.lists.motor_page import POWER, MotorAnswer, Trend, motor_answer
from pitbench.desk.lists.motors import class_of
from pitbench.records.kinds import Row
from pitbench.records.spoken import counted_words
from pitbench.records.units import Units
from pitbench.words import motors as words
from pitbench.words.changes import in_short, newest_words
from pitbench.words.wear import too_early_words

TRACK_WORDS = "± nine in ten.  end: finish temperature at 1 minute.  pace: against its day."
GAP = " "
PLOT_LINES, MOST_PLOT_LINES, LIST_LINES = 11, 20, 4
"""The plot of wear is shown where there is room for it beside so many lines of the list; else it has its part."""
BLANKS_AND_HEADS = 5


def bench_columns(corrected: bool, raced: bool) -> list[Column[SessionLine]]:
    """raced: whether track runs stand below the sessions; then all that a bench reads takes less room."""
    head = "bench, and the runs|on the track after it" if raced else "bench session|"
    return [
        Column(head, 22, _session, grow=True),
        Column("KV at|25 °C" if corrected else "KV|as read", 8, _kv, "right"),
        Column("current|A", 7, lambda s: number(s.current, 2), "right"),
        Column("timing|°", 6, lambda s: number(s.timing, 1), "right"),
        Column("spread|°", 6, lambda s: number(s.spread, 1), "right"),
        Column("winding|mΩ", 7, lambda s: number(s.resistance, 1), "right", from_width=96 if raced else 0),
    ]


def track_columns(units: Units) -> list[Column[TrackLine]]:
    """The first takes the place of all that a bench reads."""
    return [
        Column("", 22, _track_run, grow=True),
        Column(f"rollout|{units.length}", 7, lambda run: units.short("max_rollout_mm", run.rollout_mm), "right"),
        Column("mark|°", 4, lambda run: number(run.timing_mark_deg, 0), "right"),
        Column(f"end|°{units.temperature}", 3, lambda r: units.short("finish_reading_c", r.finish_c, 0), "right"),
        Column("pace|s", 5, lambda run: f"{run.pace.seconds.mean:+z.2f}" if run.pace else "·", "right"),
        Column("pace, nine|times in ten", 14, _pace_range, "right", from_width=112),
        Column("time, laps|and result", 22, lambda run: run.laps, from_width=136),
    ]


def _session(session: SessionLine) -> str:
    if session.resistance is not None and session.kv is session.current is session.timing is None:
        return f"{session.when}, winding {session.resistance:.1f} mΩ"
    out = f", {session.left_out} out" if session.left_out else ""
    return f"{session.when}, {counted_words(session.runs, 'run')}{out}"


def _kv(session: SessionLine) -> str:
    return number(session.kv, 0, "" if session.kv_pm is None else f" ±{session.kv_pm:.0f}")


def _track_run(run: TrackLine) -> Cell:
    mark = f"  ! {run.mark}" if run.mark else ""
    return f"   {run.when}  {run.what}{mark}", "warn" if run.mark else "text"


def _pace_range(run: TrackLine) -> str:
    return f"{run.pace.seconds.low90:+z.2f} to {run.pace.seconds.high90:+z.2f}" if run.pace else "·"


class MotorPage(MotorPart):
    """Shown on top of the list it was opened from."""

    FOOTER = (
        "add-bench-run",
        "add-setup-entry=change",
        "open-record=its runs",
        "next-part=its wear",
        "put-beside",
        "show-keys",
    )

    def __init__(self, motor_id: str) -> None:
        super().__init__(motor_id)
        self._lines: MotorLines | None = None
        self._judged: list[Judged] = []

    def ask_of(self, motor: Row) -> None:
        ranked, now = self.asking.ranking(class_of(self.pit.snapshot, self._motor_id) or NO_CLASS), self.pit.clock()
        told = ("word from the track", motor.get("class_id"))
        track = self.pit.answers.last(told)
        key = ("motor page", self._motor_id, now.date())
        brought = self._brought()
        self._judged = [each for each in brought.value if each.change.motor == self._motor_name] if brought else []
        rests_on = (ranked and ranked.revision, track and track.revision, brought and brought.revision)
        answer, slope = (ranked.answer, ranked.warmth_slope) if ranked else (None, None)
        evidence = track.value if track else None
        wear = ranked.wear.get(self._motor_name) if ranked else None
        asked = partial(
            motor_answer,
            motor_id=self._motor_id,
            rank=answer,
            now=now,
            warmth_slope=slope,
            track=evidence,
            brought={each.entry_id: text for each in self._judged if (text := in_short(each))},
            wear=wear,
        )
        found = self.asking.answer_to(key, asked, rests_on)
        if found is None:
            self.pane.say_waiting(key)
        elif found.value is not None:
            self._show(found.value)
        self._ask_the_track(told, motor.get("class_id"))

    def _brought(self) -> Answer | None:
        """What changes brought, once that was worked out; asked only where this motor has any."""
        entries = self.pit.snapshot.rows("setup_entry")
        changed = any(entry.get("motor_id") == self._motor_id for entry in entries)
        return self.asking.answer_to(BROUGHT, judged, apart=True) if changed else None

    def _ask_the_track(self, told: Key, class_id: str | None) -> None:
        """What it says of the class, for a motor that was raced; asked last, for it takes long, and the page stands."""
        if any(run["motor_id"] == self._motor_id for run in self.pit.snapshot.rows("track_run")):
            self.asking.answer_to(told, partial(evidence_of_class, class_id=class_id))

    def _show(self, answer: MotorAnswer) -> None:
        words = self._show_words(answer)
        self._lines = answer.lines
        bench, track = bench_columns(answer.corrected, answer.raced is not None), track_columns(answer.units)
        beside = [Column[SessionLine](c.head, c.width, lambda s: "", c.align, c.from_width) for c in track[1:]]
        of_bench = Table([*bench, *(beside if answer.raced else [])], self.size.width, GAP)
        of_track = Table(track, self.size.width, GAP)

        def draw(index: int) -> Line:
            found = answer.lines.line(index)
            if isinstance(found, SessionLine):
                return of_bench.row(found)
            return of_track.row(found) if isinstance(found, TrackLine) else line((f"   {found.text}", "quiet"))

        self.pane.show(answer.lines.keys, draw, of_bench.heads() if len(answer.lines) else [])
        self._show_below(answer, words)

    def _show_words(self, answer: MotorAnswer) -> int:
        """How many lines they take."""
        width = max(20, self.size.width - 2)
        now, standing = self.pit.clock(), words.standing_words(answer)
        title: Span = (words.motor_title(answer, now), "strong")
        gap = width - width_of((title,)) - len(standing)
        first = [line(title, " " * gap, (standing, "accent"))] if gap > 0 else [line(title)]
        if gap <= 0 and standing:
            first.append(line((standing, "accent")))
        told = [*words.page_words(answer, now), *newest_words(self._judged, self.units)]
        rows = self.pane.folded(*told)
        self.pane.say_lines([*first, *rows])
        return len(first) + len(rows)

    def _show_below(self, answer: MotorAnswer, words: int) -> None:
        """What stands under the list, beside so many lines of words: the plot of wear where there is room for it, which
        takes the place of the line of power, or of all lines that say how a figure moved."""
        found, lines = answer.wear.line if answer.wear else None, len(answer.lines)
        beside = [[trend for trend in answer.trends if trend.label != POWER], []] if found else []
        for trends in beside:
            below = [*self._below(answer, trends), ()]
            room = self.size.height - self.FRAME_LINES - BLANKS_AND_HEADS - words - len(below)
            if room >= PLOT_LINES + min(lines, LIST_LINES):
                self._show_plot(found, max(PLOT_LINES, min(MOST_PLOT_LINES, room - lines)))
                break
        else:
            below = self._below(answer, answer.trends)
            self._show_plot(None, 0)
        self.pane.below(below)
        self.pane.fit()

    def _show_plot(self, found: PowerLine | None, height: int) -> None:
        self.pane.kept = height
        self.query_one("#more").styles.height = "auto" if found else "1fr"
        if found is None:
            self.pane.no_plot()
        else:
            from pitbench.app.widgets.wear_plot import WearPlot

            self.pane.plot(WearPlot).show(found)

    def _below(self, answer: MotorAnswer, trends: Sequence[Trend]) -> list[Line]:
        minutes = answer.wear.minutes if answer.wear else 0.0
        lines = [*self._since_work(answer), *(trend_line(trend, minutes, self.pit.clock()) for trend in trends)]
        if answer.runs and answer.short_of:
            said = wrapped(too_early_words(answer.short_of), max(20, self.size.width - 13))
            labels = ("slower?", *[""] * (len(said) - 1))
            lines += [line("   ", (fitted(label, 9), "quiet"), row) for label, row in zip(labels, said, strict=True)]
        if answer.raced:
            lines.append(line((f"   {TRACK_WORDS}", "quiet")))
        elif lines:
            lines += [(), line(("   ± holds the true mean nine times in ten.", "quiet"))]
        return lines

    def _since_work(self, answer: MotorAnswer) -> list[Line]:
        """In one line, what is due first: on the page of a much-tended motor the rest is cut off."""
        said = sorted(answer.worked, key=lambda each: not each.due)
        text = "; ".join(words.worked_words(each) for each in said)
        width = max(20, self.size.width - 15)
        role: Role = "warn" if any(each.due for each in said) else "text"
        return [line("   ", (fitted("since", 9), "quiet"), (fitted(text, width).rstrip(), role))] if said else []

    def marked_run(self) -> str | None:
        key = self.pane.key
        return key if key and self.pit.snapshot.row("track_run", key) else None

    def action_edit_record(self) -> None:
        self.pit.routes.open_form("motor-form", self._motor_id)

    def action_add_setup_entry(self) -> None:
        ask_change(self, self._motor_id)

    def action_open_record(self) -> None:
        key = self.pane.key
        keys = self._lines.keys if self._lines else []
        found = self._lines.line(keys.index(key)) if self._lines and key in keys else None
        of = "" if found is None or isinstance(found, NoteLine) else f" {found.day}"
        which = " track" if isinstance(found, TrackLine) else ""
        self.pit.routes.go_to("runs").narrow_to(f"{self._motor_name}{of}{which}")

    def action_delete_record(self) -> None:
        bin_motor_asked(self, self._motor_id)
