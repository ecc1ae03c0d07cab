"""A change written down: what is filled in already, what was typed, and the setup entry it makes.

Cars are made on need; an event or a motor must be known. Texts are as typed; `records` reads them.
"""

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from pitbench.desk import event_names
from pitbench.desk.builds import in_order
from pitbench.desk.carried import OnCar, log_told, with_the_log
from pitbench.desk.entry.half_filled import Written
from pitbench.desk.named import must_be_named, name_of, named, named_or_made, stored
from pitbench.desk.parts.moving import builds_told_by, swap_at
from pitbench.desk.places import here_of
from pitbench.desk.states import PARTS
from pitbench.desk.told import OF_THE_MOTOR, fields_named
from pitbench.records.fields import RECORDS
from pitbench.records.keys import with_keys
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import clean_note, clean_text, name_key
from pitbench.records.reading import Day, read_text
from pitbench.records.spoken import change_words
from pitbench.records.stamps import shown_stamp, stamp_of, time_key
from pitbench.records.typed import made, read_all, read_field, refuse, sentences, text_of
from pitbench.records.units import units_of
from pitbench.store.logbook import Logbook, Snapshot

if TYPE_CHECKING:
    from pitbench.records.frame import Record

TABLE = {datum.name: datum for datum in RECORDS["setup_entry"]}
FIELDS = tuple(TABLE)
NAMED = ("event", "car", "motor")
OF_A_SWAP = (
    "cannot be told otherwise here: it was a swap of parts; {add-setup-entry} on the motor's page swaps them again"
)
WRITTEN = {datum.field for datum in TABLE.values()}
"""Fields of an entry that a form writes anew, blank ones too."""


@dataclass
class SetupChange(Written):
    """An entry of the setup log being written down."""

    stood: dict[str, str] = field(default_factory=dict)
    """Names as the edited entry has them: left alone they stay, even if what they name lies in the bin by now."""

    def untouched(self, name: str) -> bool:
        """Whether the name that stood here was left alone."""
        return bool(self.stood.get(name)) and self.texts.get(name) == self.stood[name]


def new_change(snapshot: Source, now: datetime, what: str = "", motor_id: str | None = None) -> SetupChange:
    """Event, track, car and motor from the newest event and track run; of a motor that is known, its car from its own
    newest run; `was` as it is on the car now."""
    here = here_of(snapshot, now)
    runs = snapshot.rows("track_run")
    own = [run for run in runs if run["motor_id"] == motor_id]
    run = max(own or runs, key=in_order, default={})
    texts = dict.fromkeys(FIELDS, "") | {"written_at": shown_stamp(stamp_of(now)), "what": what}
    if here.event is not None and here.on:
        texts |= {
            "event": event_names.event_text(here.event, snapshot.rows("event")),
            "track": here.event.get("track", ""),
        }
    elif here.event is None:
        texts["track"] = here.spoken
    texts |= {"motor": name_of(snapshot, "motor", motor_id or run.get("motor_id"))}
    texts |= {"car": name_of(snapshot, "car", run.get("car_id"))}
    change = SetupChange(texts)
    texts["was"] = Before(snapshot).was(change) if what else ""
    return change


def edit_change(snapshot: Source, entry_id: str) -> SetupChange:
    """A stored entry as texts."""
    row = stored(snapshot, "setup_entry", entry_id)
    event = snapshot.row("event", row["event_id"]) if "event_id" in row else None
    texts = {name: row.get(name, "") for name in FIELDS} | {"track": row.get("track") or (event or {}).get("track", "")}
    texts |= {
        "written_at": shown_stamp(row["written_at"]),
        "event": event_names.event_text(event, snapshot.rows("event")) if event else "",
    }
    texts |= {kind: name_of(snapshot, kind, row.get(f"{kind}_id")) for kind in ("motor", "car")}
    return SetupChange(texts, entry_id, {name: texts[name] for name in NAMED})


class Before:
    """What was changed before, gathered once for a form, so that every key typed is answered at once."""

    def __init__(self, source: Source) -> None:
        self._source = source
        self._entries = sorted(source.rows("setup_entry"), key=in_order, reverse=True)
        self._whats: dict[str, str] = {}
        self._on_car: dict[str | None, OnCar] = {}
        for entry in self._entries:
            self._whats.setdefault(name_key(entry["what"]), entry["what"])

    def whats(self, typed: str = "") -> list[str]:
        """What was changed before and begins with the words typed, the newest spelling, the last changed first."""
        return [what for key, what in self._whats.items() if key.startswith(name_key(typed))]

    def was(self, change: SetupChange) -> str:
        """What is being changed as it is on the car named, as the last of the two says, a track run or an entry; of a
        part in the motor named, the last `now`; empty if none was written down."""
        what, now = change.texts.get("what", ""), change.texts.get("now", "")
        car = named(self._source, "car", change.texts.get("car", ""))
        motor = named(self._source, "motor", change.texts.get("motor", ""))
        if name_key(what) in PARTS:
            return self._part_was(name_key(what), car, motor)
        names = fields_named(what, now) or (name_key(what),)
        values = [self._stands(name, car, motor) for name in names]
        return "/".join(values) if all(values) else ""

    def _stands(self, name: str, car: Row | None, motor: Row | None) -> str:
        """What of the motor's own another motor had on tells nothing."""
        car_id, motor_id = (car or {}).get("id"), (motor or {}).get("id")
        if name in OF_THE_MOTOR and motor_id is not None:
            return self._motors_own(name, car_id, motor_id)
        if car_id not in self._on_car:
            self._on_car[car_id] = OnCar(self._source, car_id)
        found = self._on_car[car_id].things.get(name)
        return found.now if found else ""

    def _motors_own(self, name: str, car_id: str | None, motor_id: str) -> str:
        units = units_of(self._source)
        runs = [run for run in self._source.rows("track_run") if run["motor_id"] == motor_id and name in run]
        newest = max(runs, key=in_order, default={})
        since = {name: newest.get("started_at", "")}
        own = with_the_log(newest, since, log_told(self._source, car_id, motor_id))
        return text_of(name, own[name], units) if name in own else ""

    def _part_was(self, key: str, car: Row | None, motor: Row | None) -> str:
        own = (e for e in self._entries if key == name_key(e["what"]) and "now" in e)
        if motor is not None:
            own = (e for e in own if e.get("motor_id", motor["id"]) == motor["id"])
        return next((str(e["now"]) for e in own if car is None or e.get("car_id", car["id"]) == car["id"]), "")


def setup_problems(change: SetupChange, snapshot: Snapshot, now: datetime) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    read, wrong = _read(change, snapshot, now)
    old = snapshot.row("setup_entry", change.edits) if change.edits else None
    if old is not None and builds_told_by(snapshot, old):
        said = {name: name in wrong or read.get(name) == old.get(name) for name in ("what", "was", "now")}
        said["motor"] = (
            change.untouched("motor") or "motor" in wrong or read.get("motor", {}).get("id") == old["motor_id"]
        )
        wrong |= {name: with_keys(OF_A_SWAP) for name, as_it_was in said.items() if not as_it_was}
    return sentences(change.texts, wrong)


def is_part(what: str) -> bool:
    """Whether what is changed is a part of a motor: then a swap tells more than an entry alone."""
    return name_key(what) in PARTS


def _read(change: SetupChange, snapshot: Snapshot, now: datetime) -> tuple[Row, dict[str, str]]:
    """What every text means, rows for a motor and an event that are named; and what is wrong, a clause a field."""
    units, day = units_of(snapshot), Day(now, snapshot.team().day_first)

    def read(name: str, text: str) -> Any:
        if change.untouched(name) or (name in ("motor", "event") and not clean_text(text)):
            return None
        if name in TABLE and TABLE[name].required:
            return read_text(TABLE[name], text, day)
        known = {"motor": _motor, "event": _event}.get(name)
        return known(snapshot, text) if known else read_field(TABLE[name], text, units, day)

    return read_all(change.texts, FIELDS, read)


def _motor(snapshot: Source, text: str) -> Row:
    return must_be_named(snapshot, "motor", text, _right(snapshot.rows("motor")))


def _event(snapshot: Source, text: str) -> Row:
    events = snapshot.rows("event")
    found = event_names.events_meant(text, events) or [must_be_named(snapshot, "event", text, _right(events))]
    if len(found) > 1:
        newest = event_names.dated_name(max(found, key=lambda e: time_key(e["date"])))
        raise ValueError(f"means {len(found)} events, {newest} would be right")
    return found[0]


def _right(known: list[Row]) -> str:
    return f"one like {known[0]['name']} would be right" if known else "left blank would be right"


def save_change(logbook: Logbook, change: SetupChange, now: datetime) -> str:
    """Store the entry, a car not known yet, and a swap whose time is put right, as one action; returns the words of
    what was done."""
    snapshot = logbook.snapshot()
    refuse(setup_problems(change, snapshot, now))
    entry, cars = _made(change, snapshot, now)
    words = f"{'edited ' if change.edits else ''}setup entry: {change_words(entry.row())}"
    old = snapshot.row("setup_entry", change.edits) if change.edits else None
    logbook.save(words, [*cars, *(swap_at(snapshot, old, entry.row()["written_at"]) if old else ()), entry])
    return words


def _made(change: SetupChange, snapshot: Snapshot, now: datetime) -> "tuple[Record, list[Record]]":
    old = snapshot.row("setup_entry", change.edits) if change.edits else None
    row: Row = {name: value for name, value in (old or {}).items() if name not in WRITTEN}
    read, _ = _read(change, snapshot, now)
    car = read.pop("car", None)
    row |= {f"{name}_id": read.pop(name)["id"] for name in ("motor", "event") if name in read}
    row |= read | {"id": change.edits or change.becomes}
    row |= {f"{name}_id": (old or {})[f"{name}_id"] for name in NAMED if change.untouched(name)}
    _leave_track_to_event(row, snapshot)
    cars: list[Record] = []
    if car is not None:
        row["car_id"] = named_or_made(snapshot, "car", car, cars)
    return made(model_of("setup_entry"), row), cars


def _leave_track_to_event(row: Row, snapshot: Source) -> None:
    """An entry says its track only where its event does not say the same."""
    event = (snapshot.row("event", row["event_id"]) if "event_id" in row else None) or {}
    if "track" in row and name_key(event.get("track", "")) == name_key(row["track"]):
        del row["track"]


def write_outcome(logbook: Logbook, entry_id: str, outcome: str) -> str:
    """Write down what came of a change; returns the words of what was done."""
    row = stored(logbook, "setup_entry", entry_id)
    texts = {"outcome": outcome}
    values, wrong = read_all(texts, texts, lambda name, text: clean_note(text))
    refuse(sentences(texts, wrong))
    outcome = values["outcome"]
    words = f"{change_words(row)}: {outcome[:40]}{'…' if len(outcome) > 40 else ''}"
    logbook.save(words, [model_of("setup_entry").of(row).with_(outcome=outcome or None)])
    return words
