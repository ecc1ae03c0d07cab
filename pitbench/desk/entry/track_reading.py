"""What the texts of a track run's form mean: the entry being written down, and its fields as a record has them.

Texts are as typed, in the team's units; a text nobody touched stands for the very number it was made from.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from pitbench.desk.builds import in_order
from pitbench.desk.entry.bench_entry import named_motor
from pitbench.desk.entry.half_filled import Written
from pitbench.desk.entry.track_fields import CAR_FIELDS, RUN_FIELDS, TABLE
from pitbench.desk.entry.track_filled import Filled, runs_alike
from pitbench.desk.entry.track_times import TrackTime, read_track_time, still_running
from pitbench.desk.event_names import events_meant
from pitbench.desk.named import named
from pitbench.desk.places import event_on
from pitbench.records.fields import QUANTITIES, led_by
from pitbench.records.keys import key_for
from pitbench.records.kinds import Row
from pitbench.records.laps import read_lap_times, read_laps, time_text
from pitbench.records.names import clean_text, nearest
from pitbench.records.numbers import checked
from pitbench.records.reading import Day
from pitbench.records.rounds import read_round
from pitbench.records.stamps import UnreadableTime
from pitbench.records.typed import read_all, read_field
from pitbench.records.units import units_of
from pitbench.store.logbook import Snapshot

INCIDENTS = {"c": "crash", "t": "traffic", "s": "stopped early"}


@dataclass
class TrackEntry(Written):
    """A track run being written down: texts by field, and what was filled in.

    `said_at`: the moment from which `just finished` and `2 min ago` count; `worked_out`: texts the laps gave.
    """

    said_at: datetime = field(kw_only=True)
    begun: Filled = field(default_factory=Filled)
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
    """Reads one entry, field by field; what several texts say together goes into `row`."""

    def __init__(self, entry: TrackEntry, snapshot: Snapshot, now: datetime) -> None:
        self.entry, self.snapshot, self.now = entry, snapshot, now
        self.stored: Row = (snapshot.row("track_run", entry.edits) if entry.edits else None) or {}
        self.units, self.day = units_of(snapshot), Day(entry.said_at, snapshot.team().day_first)
        self.row: Row = {}
        self.event: Row | None = None
        self.time: TrackTime | None = None
        self._own: dict[str, Callable[[str], Any]] = {
            "motor": lambda text: named_motor(text, snapshot),
            "event": self._event,
            "laps": self._laps,
            "lap_times_s": self._lap_times,
            "time": self._time,
            "round": self._round,
        }

    def read(self, name: str, text: str) -> Any:
        """The value of one text; None where it went into `row`."""
        own = self._own.get(name)
        if own is not None:
            return own(text)
        if name in self.entry.begun.numbers and clean_text(text) and self.entry.untouched(name):
            return self.entry.begun.numbers[name]
        value = read_field(TABLE[name], text, self.units, self.day)
        return incident_words(value) if name == "incident" and value else value

    def _as_stored(self, *names: str) -> bool:
        """Whether this edits a run and nobody touched these fields."""
        return bool(self.stored) and all(self.entry.untouched(name) for name in names)

    def _keep_stored(self, *columns: str) -> None:
        self.row |= {name: self.stored[name] for name in columns if name in self.stored}

    def _event(self, text: str) -> None:
        """The event meant; of several of one name the one that is on, else the newest."""
        if self._as_stored("event"):
            self.event = self.snapshot.row("event", self.stored["event_id"]) if "event_id" in self.stored else None
            return
        events = self.snapshot.rows("event")
        found = events_meant(clean_text(text), events) if clean_text(text) else []
        on = event_on(self.snapshot, self.entry.said_at) or {}
        self.event = max(found, key=lambda event: (event["id"] == on.get("id"), event["date"]), default=None)
        if clean_text(text) and not found:
            near = nearest(text, (event["name"] for event in events))
            right = f"{near} would be right" if near else f"{key_for('edit-conditions')} writes it down"
            raise ValueError(f"is no event of yours, {right}")

    def _laps(self, text: str) -> None:
        if self._as_stored("laps", "lap_times_s"):
            self._keep_stored("laps", "run_time_s", "lap_times_s")
        elif clean_text(text):
            laps, seconds = read_laps(clean_text(text))
            self.row |= {name: said for name, said in (("laps", laps), ("run_time_s", seconds)) if said is not None}

    def _lap_times(self, text: str) -> None:
        """Every lap; what is not said of their number and time, they say."""
        times = [] if self._as_stored("laps", "lap_times_s") else read_lap_times(text)
        if times:
            count = checked(float(len(times)), QUANTITIES["laps"])
            total = checked(round(sum(times), 3), QUANTITIES["run_time_s"])
            self.row = {"laps": count, "run_time_s": total} | self.row | {"lap_times_s": list(times)}

    def _time(self, text: str) -> None:
        """Start or finish; a run said with both tells its run time, where the laps do not."""
        if self._as_stored("time"):
            self.time = TrackTime(started=self.stored["started_at"])
            return
        self.time = read_track_time(text, self.entry.said_at, self.day.day_first)
        if "run_time_s" not in self.row and (length := self.time.length_s()):
            longest = QUANTITIES["run_time_s"].possible[1]
            if length > longest:
                self.time = None
                raise UnreadableTime(f"makes a run of {time_text(length)}, at most {time_text(longest)} is possible")
            self.row["run_time_s"] = length
        if why_not := still_running(self.time, self.row.get("run_time_s"), self.now):
            raise UnreadableTime(why_not)

    def _round(self, text: str) -> None:
        if self._as_stored("round"):
            self._keep_stored("round_kind", "round")
            return
        kind, number = read_round(text, runs_of_day(self.snapshot, self.entry, self.event))
        self.row |= {name: said for name, said in (("round_kind", kind), ("round", number)) if said}


def read_track(entry: TrackEntry, snapshot: Snapshot, now: datetime) -> TrackReading:
    """Read every text of an entry; a problem is a clause that completes a sentence, in the order of the form."""
    reader = _Reader(entry, snapshot, now)
    values, found = read_all(entry.texts, (*CAR_FIELDS, *led_by(("laps", "lap_times_s"), RUN_FIELDS)), reader.read)
    motor, _ = values.pop("motor", None), values.pop("car", None)
    problems = {name: found[name] for name in (*CAR_FIELDS, *RUN_FIELDS) if name in found}
    return TrackReading(motor, reader.event, reader.time, values | reader.row, problems)


def incident_words(text: str) -> str:
    """The quick words of an incident by their first letter; anything else as it is.

    >>> incident_words("c"), incident_words("wheel off")
    ('crash', 'wheel off')
    """
    return INCIDENTS.get(clean_text(text).casefold(), clean_text(text))


def runs_of_day(snapshot: Snapshot, entry: TrackEntry, event: Row | None) -> list[Row]:
    """Other runs of this event, else of this day, in time, and of the car named: rounds are counted on from them."""
    runs = sorted((run for run in snapshot.rows("track_run") if run["id"] != entry.edits), key=in_order)
    car = named(snapshot, "car", entry.texts.get("car", ""))
    return runs_alike(runs, event, entry.said_at, car["id"] if car else None)
