"""What the texts of a track run's form mean: the entry being written down, and its fields as a record has them.

Texts are as typed, in the team's units; a text nobody touched stands for the very number it was made from.
"""

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from pitbench.desk.builds import in_order
from pitbench.desk.entry.bench_entry import motor_named, no_motor
from pitbench.desk.entry.track_fields import CAR_FIELDS, NUMBERS, RUN_FIELDS, WORDS
from pitbench.desk.entry.track_filled import Filled
from pitbench.desk.entry.track_times import TrackTime, read_track_time, still_running
from pitbench.desk.event_names import events_meant
from pitbench.desk.places import event_on
from pitbench.records.laps import read_lap_times, read_laps
from pitbench.records.names import clean_name, clean_note, clean_text, nearest
from pitbench.records.numbers import Unreadable
from pitbench.records.rounds import read_round
from pitbench.records.stamps import UnreadableTime
from pitbench.records.units import units_of

if TYPE_CHECKING:
    from pitbench.store.logbook import Snapshot

Row = dict[str, Any]
INCIDENTS = {"c": "crash", "t": "traffic", "s": "stopped early"}
NAMES = ("track", "car", "tyre", "pack")


@dataclass
class TrackEntry:
    """A track run being written down: texts by field, what was filled in, and the record it edits, if any.

    `said_at`: the moment from which `just finished` and `2 min ago` count; `worked_out`: texts the laps gave.
    """

    said_at: datetime
    texts: dict[str, str] = field(default_factory=dict)
    begun: Filled = field(default_factory=Filled)
    edits: str | None = None
    worked_out: dict[str, str] = field(default_factory=dict)

    def untouched(self, name: str) -> bool:
        """Whether a field still holds the text it was filled in with."""
        return self.texts.get(name, "") == self.begun.texts.get(name, "")


@dataclass(frozen=True)
class TrackReading:
    """What was typed, as far as it can be read: `row` by field of the record; what is wrong by field of the form."""

    motor: Row | None
    event: Row | None
    time: TrackTime | None
    row: Row
    problems: dict[str, str]

    @property
    def finish(self) -> datetime | None:
        """When the run ended, as far as that is known."""
        return self.time.finish(self.row.get("run_time_s")) if self.time else None


class _Reader:
    """Reads one entry, field by field, into `row` and `problems`."""

    def __init__(self, entry: TrackEntry, snapshot: "Snapshot") -> None:
        self.entry, self.snapshot = entry, snapshot
        self.stored: Row = (snapshot.row("track_run", entry.edits) if entry.edits else None) or {}
        self.row: Row = {}
        self.problems: dict[str, str] = {}

    def text(self, name: str) -> str:
        return clean_text(self.entry.texts.get(name, ""))

    def as_stored(self, *names: str) -> bool:
        """Whether this edits a run and nobody touched these fields."""
        return bool(self.stored) and all(self.entry.untouched(name) for name in names)

    def event(self) -> Row | None:
        """The event meant; of several of one name the one that is on, else the newest."""
        if self.as_stored("event"):
            return self.snapshot.row("event", self.stored["event_id"]) if "event_id" in self.stored else None
        text, events = self.text("event"), self.snapshot.rows("event")
        found = events_meant(text, events) if text else []
        if text and not found:
            near = nearest(text, (event["name"] for event in events))
            right = f"{near} would be right" if near else "F6 writes it down"
            self.problems["event"] = f"is no event of yours, {right}"
        on = event_on(self.snapshot, self.entry.said_at) or {}
        return max(found, key=lambda event: (event["id"] == on.get("id"), event["date"]), default=None)

    def laps(self) -> None:
        """Laps and time, and every lap; what is not said of the former, the laps say."""
        if self.as_stored("laps", "lap_times_s"):
            stood = ("laps", "run_time_s", "lap_times_s")
            self.row |= {name: self.stored[name] for name in stood if name in self.stored}
            return
        times: tuple[float, ...] = ()
        laps, seconds = None, None
        try:
            times = read_lap_times(self.entry.texts.get("lap_times_s", ""))
        except Unreadable as why:
            self.problems["lap_times_s"] = str(why)
        try:
            laps, seconds = read_laps(self.text("laps")) if self.text("laps") else (None, None)
        except Unreadable as why:
            self.problems["laps"] = str(why)
        if times:
            laps = float(len(times)) if laps is None else laps
            seconds = round(sum(times), 3) if seconds is None else seconds
        said = (("laps", laps), ("run_time_s", seconds), ("lap_times_s", list(times)))
        self.row |= {name: value for name, value in said if value not in (None, [])}

    def time(self, now: datetime) -> TrackTime | None:
        """Start or finish; a run said with both tells its run time, where the laps do not."""
        if self.as_stored("time"):
            return TrackTime(started=self.stored["started_at"])
        try:
            day_first = self.snapshot.team().day_first
            time = read_track_time(self.entry.texts.get("time", ""), self.entry.said_at, day_first)
        except UnreadableTime as why:
            self.problems["time"] = str(why)
            return None
        if "run_time_s" not in self.row and (length := time.length_s()):
            self.row["run_time_s"] = length
        if why_not := still_running(time, self.row.get("run_time_s"), now):
            self.problems["time"] = why_not
        return time

    def numbers(self) -> None:
        units, begun = units_of(self.snapshot), self.entry.begun.numbers
        for name in NUMBERS:
            if not self.text(name):
                continue
            if name in begun and self.entry.untouched(name):
                self.row[name] = begun[name]
                continue
            try:
                self.row[name] = units.read(name, self.entry.texts[name])
            except Unreadable as why:
                self.problems[name] = str(why)

    def words(self) -> None:
        for name in (*WORDS, "car"):
            text = self.text(name)
            try:
                if text:
                    (clean_name if name in NAMES else clean_note)(text)
            except ValueError as why:
                self.problems[name] = str(why)
            if text and name != "car":
                self.row[name] = incident_words(text) if name == "incident" else text
        fan = self.text("fan").casefold()
        if fan in ("yes", "no", "y", "n"):
            self.row["fan"] = fan.startswith("y")
        elif fan:
            self.problems["fan"] = "must be yes or no"

    def round(self, event: Row | None) -> None:
        if self.as_stored("round"):
            self.row |= {name: self.stored[name] for name in ("round_kind", "round") if name in self.stored}
            return
        try:
            kind, number = read_round(self.text("round"), runs_of_day(self.snapshot, self.entry, event))
            self.row |= {name: said for name, said in (("round_kind", kind), ("round", number)) if said}
        except ValueError as why:
            self.problems["round"] = str(why)


def read_track(entry: TrackEntry, snapshot: "Snapshot", now: datetime) -> TrackReading:
    """Read every text of an entry; a problem is a clause that completes a sentence, in the order of the form."""
    reader = _Reader(entry, snapshot)
    motor = motor_named(snapshot, entry.texts.get("motor", ""))
    if motor is None:
        reader.problems["motor"] = no_motor(entry.texts.get("motor", ""), snapshot)
    event = reader.event()
    reader.laps()
    time = reader.time(now)
    reader.numbers()
    reader.words()
    reader.round(event)
    found = reader.problems
    problems = {name: found[name] for name in (*CAR_FIELDS, *RUN_FIELDS) if name in found}
    return TrackReading(motor, event, time, reader.row, problems)


def incident_words(text: str) -> str:
    """The quick words of an incident by their first letter; anything else as it is.

    >>> incident_words("c"), incident_words("wheel off")
    ('crash', 'wheel off')
    """
    return INCIDENTS.get(clean_text(text).casefold(), clean_text(text))


def runs_of_day(snapshot: "Snapshot", entry: TrackEntry, event: Row | None) -> list[Row]:
    """Other runs of this event, else of this day, in time: rounds are counted on from them."""
    day = f"{entry.said_at:%Y-%m-%d}"
    runs = (run for run in snapshot.rows("track_run") if run["id"] != entry.edits)
    if event is not None:
        return sorted((run for run in runs if run.get("event_id") == event["id"]), key=in_order)
    return sorted((run for run in runs if run["started_at"][:10] == day), key=in_order)
