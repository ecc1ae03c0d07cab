"""Setup log: what did I change, why, what came of it; what did I run here last time; what is on the car now; the season
event by event."""

from functools import partial
from typing import Any, ClassVar, cast

from rich.cells import cell_len
from textual import events

from pitbench.app.actions import SETUP_LOG, bindings_for
from pitbench.app.lists.car_part import CarPart
from pitbench.app.lists.find_screen import FindScreen
from pitbench.app.lists.season_part import SeasonPart
from pitbench.app.widgets.paint import Line, Role, fitted, line
from pitbench.app.widgets.table import Column, Table, some_of
from pitbench.desk.answers import Judged
from pitbench.desk.changes.judged import BROUGHT, judged
from pitbench.desk.comparing.pace import TrackPace, pace_of
from pitbench.desk.entry.run_entry import put_in_bin
from pitbench.desk.entry.setup_entry import write_outcome
from pitbench.desk.lists.last_time import ambient_here, last_time
from pitbench.desk.lists.on_car import CarLine
from pitbench.desk.lists.setup_log import ELSEWHERE, GROUPS, THIS_EVENT, SetupLine, SetupLog
from pitbench.records.keys import key_for
from pitbench.words.changes import offered
from pitbench.words.setup import entry_words, here_words, last_time_words, shown_words

HOW_ROLES: dict[str, Role] = {"better": "good", "worse": "bad", "open": "warn"}
COLUMNS: tuple[Column[SetupLine], ...] = (
    Column("when", 12, lambda e: e.when),
    Column("motor", 8, lambda e: e.motor),
    Column("what was changed", 23, lambda e: e.what, grow=True),
    Column("why", 12, lambda e: e.why, grow=True),
    Column("outcome", 13, lambda e: (e.outcome, HOW_ROLES.get(e.how, "text")), grow=True),
    Column("event, track", 12, lambda e: e.where, from_width=120, role="quiet"),
    Column("car", 8, lambda e: e.car, from_width=134, role="quiet"),
)
LOG, CAR, SEASON = PARTS = ("log", "car", "season")
"""Tab goes from one to the next."""
DETAIL_LINES = 4
"""The marked entry takes these at least, so that little moves under the eye, and a message covers none of it."""
FILTER_WORDS = (
    "Words narrow the list: what, motor, car, event, track, why, outcome, open.",
    "A leading - leaves out:  pinion -open",
)


class SetupLogScreen(FindScreen):
    """The entries, or with Tab what is on the car, then the season."""

    SHOWN = "setup-log"
    EXPLAINS = "pace"
    FOOTER = (
        "add-setup-entry=new entry",
        "edit-record",
        "toggle-here-only",
        "next-part=on the car",
        "print-day=print",
        "show-keys",
    )
    BINDINGS: ClassVar = bindings_for(SETUP_LOG)

    _log: SetupLog | None = None
    _revision: int = -1
    _here_only: bool = False
    _part: str = LOG

    def __init__(self) -> None:
        super().__init__()
        self._car, self._season = CarPart(self), SeasonPart(self)

    # asking

    def ask(self) -> None:
        snapshot = self.pit.snapshot
        if self._log is None or self._revision != snapshot.revision:
            self._log, self._revision = SetupLog(snapshot, self.pit.clock()), snapshot.revision
            self.begin_narrowing(self._log.narrow, len(self._log.rows))
        self.narrow()
        self.show_found()

    def show_found(self) -> None:
        if self._log is None:
            return
        if self._part == LOG or self.finding:
            self._show_log(self._log)
        elif self._part == CAR:
            self._car.show()
        else:
            self._season.show()

    # the log

    def _show_log(self, log: SetupLog) -> None:
        hits = [at for at in self.narrowed[1] if not self._here_only or log.groups[at] != ELSEWHERE]
        self._places = {str(log.rows[at]["id"]): at for at in hits}
        last = last_time(self.pit.snapshot, log.here)
        self.pane.say(*last_time_words(log.here, last, self.pit.clock(), self.units))
        table = Table(COLUMNS, self.size.width, rows=map(log.line, some_of(hits)))
        keys, rows = _grouped(log, hits)

        def draw(index: int) -> Line:
            at = rows[index]
            return line((at, "quiet")) if isinstance(at, str) else table.row(log.line(at))

        self.pane.show(keys, draw, [self._place_line(log, hits), (), *(table.heads() if hits else [])])
        self._show_detail()
        self.pane.footer(self.FIND_FOOTER if self.finding else (*self.FOOTER, "find-records"))

    def _place_line(self, log: SetupLog, hits: list[int]) -> Line:
        ambient = ambient_here(self.pit.snapshot, log.here)
        where, facts = here_words(log.here, ambient, self.pit.clock(), self.units)
        parted = set(log.groups) > {ELSEWHERE}
        count = shown_words(len(hits), len(log.rows), self.found_words, self._here_only, parted)
        left = f" {where}"
        room = self.size.width - cell_len(left) - cell_len(count) - 4
        return line((left, "strong"), fitted(f"   {facts}", room), (f"   {count}", "quiet"))

    def _show_detail(self) -> None:
        if self.finding:
            self.pane.below([line((f"   {text}", "quiet")) for text in FILTER_WORDS])
            return
        at = self._places.get(self.pane.key or "")
        if self._log is None or at is None:
            self.pane.below(self._nothing_marked())
            return
        found, pace = self._log.detail(at), self._pace(self._log.class_asked(at))
        heading, sentences = entry_words(found, self.pit.clock(), self.units, pace, self._judged())
        width = max(20, self.size.width - 4)
        lines = [line("   ", (fitted(heading, width), "strong")), *self.pane.indented(*sentences, role="text")]
        self.pane.below(lines + [()] * max(1, DETAIL_LINES - len(lines)))

    def _pace(self, class_id: str | None) -> TrackPace | None:
        """The track pace of a class, once it was worked out; the entry is shown again when it comes."""
        if class_id is None:
            return None
        found = self.asking.answer_to(("track pace", class_id), partial(pace_of, class_id=class_id or None))
        return cast("TrackPace", found.value) if found else None

    def _judged(self) -> Judged | None:
        """What the marked change brought, once that was worked out; the entry is shown again when it comes."""
        found = self.asking.answer_to(BROUGHT, judged, apart=True)
        return next((each for each in found.value if each.entry_id == self.pane.key), None) if found else None

    def _nothing_marked(self) -> list[Line]:
        if self._log is not None and self._log.rows:
            told = f"Not here: {key_for('toggle-here-only')} shows those of elsewhere."
            if not self.narrowed[1]:
                told = "No entry has these words."
            return [line((f"   {told}", "quiet"))]
        steps = (
            f"{key_for('add-setup-entry')} writes down what was changed: what, from, to, why.",
            "What came of it can wait: it is asked for after the next track run.",
            "When you come here again, it stands on top.",
        )
        return [line((f"   {text}", "quiet")) for text in steps]

    # the parts

    def _go_to_part(self, step: int) -> None:
        self._part = PARTS[(PARTS.index(self._part) + step) % len(PARTS)]
        self.pane.show()
        self.show_found()

    def action_next_part(self) -> None:
        self._go_to_part(1)

    def action_previous_part(self) -> None:
        self._go_to_part(-1)

    # what is done

    def mark_moved(self) -> None:
        if self._part == LOG or self.finding:
            self._show_detail()
        elif self._part == SEASON:
            self._season.show_best()

    def action_find_records(self) -> None:
        self._part = LOG
        super().action_find_records()

    def awaits(self, event: events.Key | events.Paste) -> bool:
        """Only the season is worked out."""
        return self._part == SEASON and super().awaits(event)

    def action_toggle_here_only(self) -> None:
        self._here_only = not self._here_only
        self.show_found()

    def action_go_back(self) -> None:
        """Clear the filter, then what else narrows the list."""
        if not self.clear_filter() and (self._part != LOG or self._here_only):
            self._part, self._here_only = LOG, False
            self.show_found()

    def marked_motor(self) -> str | None:
        row = self._marked()
        return str(row["motor_id"]) if row and "motor_id" in row else None

    def _marked(self) -> dict[str, Any] | None:
        """The marked entry; of what is on the car, the entry or track run that said so."""
        key, thing = self.pane.key, self._thing()
        if not key or not self.pit.logbook:
            return None
        kind = "track_run" if self._part == SEASON or (thing and thing.by_run) else "setup_entry"
        return self.pit.snapshot.row(kind, thing.by if thing else key)

    def _thing(self) -> CarLine | None:
        return self._car.marked() if self._part == CAR else None

    def action_open_record(self) -> None:
        self.action_edit_record()

    def action_add_setup_entry(self) -> None:
        thing = self._thing()
        self.pit.routes.open_form("setup-form", what=thing.what if thing else "")

    def action_edit_record(self) -> None:
        row = self._marked()
        if row and "started_at" in row:
            self.pit.routes.open_form("track-form", None, run_id=str(row["id"]))
        elif row:
            self.pit.routes.open_form("setup-form", entry_id=str(row["id"]))

    def action_take_outcome(self) -> None:
        """What is offered for the marked entry becomes its outcome; what somebody wrote stays."""
        if self._part != LOG:
            return
        row, found = self._marked(), self._judged()
        text = offered(found) if found else ""
        if row and "outcome" in row:
            self.pit.say(f"Its outcome is written down already; {key_for('edit-record')} puts it right.")
        elif row and text:
            self.pit.writing(lambda: write_outcome(self.pit.book, str(row["id"]), text))
        elif row:
            self.pit.say(
                f"Nothing can be told of it yet, so no outcome is offered; {key_for('edit-record')} writes it down."
            )

    def action_delete_record(self) -> None:
        row = self._marked()
        if row and "started_at" in row:
            self.pit.say(f"A track run says so: {key_for('edit-record')} shows it, Runs can put it in the bin.")
        elif row:
            self.pit.writing(lambda: put_in_bin(self.pit.book, str(row["id"])))


def _grouped(log: SetupLog, hits: list[int]) -> tuple[list[str | None], list[int | str]]:
    """Keys and what each line shows: an entry, or the head of a group between them."""
    keys: list[str | None] = []
    rows: list[int | str] = []
    group = THIS_EVENT
    for at in hits:
        if log.groups[at] != group:
            group = log.groups[at]
            heads: list[int | str] = ["", GROUPS[group]] if rows else [GROUPS[group]]
            keys += [None] * len(heads)
            rows += heads
        keys.append(str(log.rows[at]["id"]))
        rows.append(at)
    return keys, rows
