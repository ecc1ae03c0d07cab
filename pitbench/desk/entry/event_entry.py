"""An event written down: named for the first time with its track alone, the rest when it is known.

Also which event is on; what counts as "here" is the business of `places`.
"""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from pitbench.desk.event_names import same_event
from pitbench.records.names import clean_name, clean_note, clean_text, name_key
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import GEARING
from pitbench.records.stamps import UnreadableTime, moment, read_stamp, shown_stamp, stamp_of, time_key
from pitbench.records.typed import label_of, sentence

if TYPE_CHECKING:
    from pitbench.records.kinds import Source
    from pitbench.store.logbook import Logbook, Snapshot

Row = dict[str, Any]
FIELDS = ("event", "date", "track", "surface", "start_times", "gearing_limit", "note")
NOTES = ("surface", "start_times", "note")
AHEAD, FAR_AHEAD = timedelta(days=366), datetime(9000, 1, 1)
"""An event may be written down before it begins; only a date with its year says which one is meant."""


@dataclass
class EventEntry:
    """An event being written down: texts by field, and the record it edits, if any."""

    texts: dict[str, str] = field(default_factory=dict)
    edits: str | None = None


def new_event(source: "Source", now: datetime, name: str = "") -> EventEntry:
    """An event of today; track and surface as at the last event of this name."""
    same = [event for event in source.rows("event") if name_key(event["name"]) == name_key(name)]
    last = max(same, key=lambda e: time_key(e["date"]), default={})
    texts = dict.fromkeys(FIELDS, "") | {name: last[name] for name in ("track", "surface") if name in last}
    return EventEntry(texts | {"event": clean_text(name), "date": stamp_of(now)[:10]})


def edit_event(source: "Source", event_id: str) -> EventEntry:
    """A stored event as texts."""
    row = source.row("event", event_id)
    assert row is not None
    texts = {name: row.get(name, "") for name in FIELDS}
    return EventEntry(texts | {"event": row["name"], "date": shown_stamp(row["date"])}, event_id)


def event_problems(entry: EventEntry, snapshot: "Snapshot", now: datetime) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    problems = {}
    for name in FIELDS:
        text = entry.texts.get(name, "")
        try:
            _check(name, text, snapshot, now)
        except ValueError as why:
            problems[name] = sentence(label_of(name), text, str(why))
    if not problems and (twin := _twin(entry, snapshot, now)):
        when = shown_stamp(twin["date"])
        problems["event"] = f"There is an event {twin['name']} of {when} already; it counts as the same one."
    return problems


def _check(name: str, text: str, snapshot: "Snapshot", now: datetime) -> None:
    """Raises ValueError with a clause when the text cannot stand in this field."""
    blank = not clean_text(text)
    if name == "event" or (name == "track" and not blank):
        clean_name(text)
    elif name == "date":
        _read_date(text, snapshot, now)
    elif name in NOTES:
        clean_note(text)
    elif name == "gearing_limit" and not blank and clean_text(text).casefold() not in GEARING:
        raise ValueError(f"is no gearing limit, one of {', '.join(GEARING)} would be right")


def _read_date(text: str, snapshot: "Snapshot", now: datetime) -> str:
    day_first = snapshot.team().day_first
    if not clean_text(text)[:4].isdigit():
        return read_stamp(text, now, day_first)
    stamp = read_stamp(text, FAR_AHEAD, day_first)
    if moment(stamp) > now + AHEAD:
        raise UnreadableTime("is more than a year ahead")
    return stamp


def _twin(entry: EventEntry, snapshot: "Snapshot", now: datetime) -> Row | None:
    """Another event that this one would count as."""
    others = [event for event in snapshot.rows("event") if event["id"] != entry.edits]
    return same_event(entry.texts["event"], _read_date(entry.texts["date"], snapshot, now), others)


def save_event(logbook: "Logbook", entry: EventEntry, now: datetime) -> str:
    """Store the event; returns the words of what was done. From then on the entry edits the event it made."""
    from pitbench.records.track import Event

    snapshot = logbook.snapshot()
    for problem in event_problems(entry, snapshot, now).values():
        raise Refusal(problem)
    old = snapshot.row("event", entry.edits) if entry.edits else None
    texts = {name: text for name in FIELDS if (text := clean_text(entry.texts.get(name, "")))}
    if "gearing_limit" in texts:
        texts["gearing_limit"] = texts["gearing_limit"].casefold()
    row: Row = {name: value for name, value in (old or {}).items() if name not in {*FIELDS, "name"}}
    row |= {name: text for name, text in texts.items() if name != "event"}
    row |= {"name": texts["event"], "date": _read_date(texts["date"], snapshot, now)}
    event = Event.of(row)
    words = f"{'edited ' if old else ''}event {event.name}"
    logbook.save(words, [event])
    entry.edits = event.id
    return words
