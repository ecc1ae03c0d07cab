"""An event written down: named for the first time with its track alone, the rest when it is known.

Also which event is on; what counts as "here" is the business of `places`.
"""

from datetime import datetime, timedelta
from typing import Any

from pitbench.desk.entry.half_filled import Written
from pitbench.desk.event_names import same_event
from pitbench.desk.named import stored
from pitbench.records.fields import RECORDS
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import clean_text, name_key
from pitbench.records.reading import Day, read_text
from pitbench.records.stamps import UnreadableTime, moment, read_stamp, shown_stamp, stamp_of, time_key
from pitbench.records.typed import made, read_all, read_field, refuse, sentences
from pitbench.records.units import units_of
from pitbench.store.logbook import Logbook, Snapshot

TABLE = {datum.name: datum for datum in RECORDS["event"]}
FIELDS = tuple(TABLE)
AHEAD, FAR_AHEAD = timedelta(days=366), datetime(9000, 1, 1)
"""An event may be written down before it begins; only a date with its year says which one is meant."""


def new_event(source: Source, now: datetime, name: str = "") -> Written:
    """An event of today; track and surface as at the last event of this name."""
    same = [event for event in source.rows("event") if name_key(event["name"]) == name_key(name)]
    last = max(same, key=lambda e: time_key(e["date"]), default={})
    texts = dict.fromkeys(FIELDS, "") | {name: last[name] for name in ("track", "surface") if name in last}
    return Written(texts | {"event": clean_text(name), "date": stamp_of(now)[:10]})


def edit_event(source: Source, event_id: str) -> Written:
    """A stored event as texts."""
    row = stored(source, "event", event_id)
    texts = {name: row.get(name, "") for name in FIELDS}
    return Written(texts | {"event": row["name"], "date": shown_stamp(row["date"])}, event_id)


def event_problems(entry: Written, snapshot: Snapshot, now: datetime) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    row, wrong = _read(entry, snapshot, now)
    if not wrong and (twin := _twin(entry, row, snapshot)):
        when = shown_stamp(twin["date"])
        return {"event": f"There is an event {twin['name']} of {when} already; it counts as the same one."}
    return sentences(entry.texts, wrong)


def _read(entry: Written, snapshot: Snapshot, now: datetime) -> tuple[Row, dict[str, str]]:
    """What every text means, and what is wrong, a clause a field."""
    units, day = units_of(snapshot), Day(now, snapshot.team().day_first)

    def read(name: str, text: str) -> Any:
        if name == "date":
            return _read_date(text, snapshot, now)
        return read_text(TABLE[name], text, day) if name == "event" else read_field(TABLE[name], text, units, day)

    return read_all(entry.texts, FIELDS, read)


def _read_date(text: str, snapshot: Snapshot, now: datetime) -> str:
    day_first = snapshot.team().day_first
    if not clean_text(text)[:4].isdigit():
        return read_stamp(text, now, day_first)
    stamp = read_stamp(text, FAR_AHEAD, day_first)
    if moment(stamp) > now + AHEAD:
        raise UnreadableTime("is more than a year ahead")
    return stamp


def _twin(entry: Written, row: Row, snapshot: Snapshot) -> Row | None:
    """Another event that this one would count as."""
    others = [event for event in snapshot.rows("event") if event["id"] != entry.edits]
    return same_event(row["event"], row["date"], others)


def save_event(logbook: Logbook, entry: Written, now: datetime) -> str:
    """Store the event; returns the words of what was done. From then on the entry edits the event it made."""
    snapshot = logbook.snapshot()
    refuse(event_problems(entry, snapshot, now))
    read, _ = _read(entry, snapshot, now)
    old = snapshot.row("event", entry.edits) if entry.edits else None
    row: Row = {name: value for name, value in (old or {}).items() if name not in FIELDS}
    row["id"] = entry.edits or entry.becomes
    name = read.pop("event")
    event = made(model_of("event"), {**row, "name": name, **read})
    words = f"{'edited ' if old else ''}event {name}"
    logbook.save(words, [event])
    entry.edits = event.id
    return words
