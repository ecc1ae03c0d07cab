"""A new track run in seconds: the entry it begins with, what fields become when left, and the record it makes.

What is filled in is the business of `track_filled`, what the texts mean that of `track_reading`.
"""

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.desk.builds import in_order
from pitbench.desk.entry.bench_entry import checked_run, made_on, newest_run
from pitbench.desk.entry.track_fields import CAR_FIELDS, PLAIN, RUN_FIELDS, SAID_IN, form_label, hidden_fields
from pitbench.desk.entry.track_filled import as_texts, filled
from pitbench.desk.entry.track_reading import TrackEntry, TrackReading, incident_words, read_track, runs_of_day
from pitbench.desk.entry.track_times import JUST_FINISHED, dated, settled, started_text
from pitbench.desk.forecasting.next_start import round_due
from pitbench.desk.named import name_of, named, named_or_made, stored
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row
from pitbench.records.laps import lap_times_text, laps_text
from pitbench.records.names import clean_text, name_key
from pitbench.records.rounds import round_text
from pitbench.records.stamps import time_key
from pitbench.records.typed import refuse, sentences
from pitbench.records.units import units_of
from pitbench.store.logbook import Logbook, Snapshot

if TYPE_CHECKING:
    from pitbench.records.frame import Record

WRITTEN = {*PLAIN, *SAID_IN, "event_id", "car_id", "kept", "waits", "place"}
"""Fields of a run that an entry writes anew, blank ones too."""


def new_track_entry(snapshot: Snapshot, now: datetime, motor_id: str | None = None) -> TrackEntry:
    """An entry that just finished, filled in from the last runs of the motor named, else of the motor run last."""
    motor_id = motor_id or _run_last(snapshot)
    motor = snapshot.row("motor", motor_id) if motor_id else None
    begun = filled(snapshot, motor, now, hidden_fields(snapshot))
    begun.texts["time"] = JUST_FINISHED
    return TrackEntry(dict(begun.texts), said_at=now, begun=begun)


def _run_last(snapshot: Snapshot) -> str | None:
    """The motor run last on the track; before the first run there the one run last on the bench that is no check motor,
    since that one is not raced."""
    last = max(snapshot.rows("track_run"), key=in_order, default=None)
    if last is None:
        raced = (newest_run(snapshot, row["id"]) for row in snapshot.rows("motor") if not row.get("check_motor"))
        last = max(filter(None, raced), key=lambda run: time_key(run["taken_at"]), default=newest_run(snapshot))
    return last["motor_id"] if last else next((row["id"] for row in snapshot.rows("motor")), None)


def edit_track_entry(snapshot: Snapshot, run_id: str, now: datetime) -> TrackEntry:
    """An entry that edits a stored run."""
    row = stored(snapshot, "track_run", run_id)
    begun = as_texts(snapshot, row, units_of(snapshot))
    begun.texts |= {"motor": name_of(snapshot, "motor", row["motor_id"]), "round": round_text(row)}
    begun.texts |= {"time": started_text(row["started_at"]), "lap_times_s": lap_times_text(row.get("lap_times_s", ()))}
    begun.texts["laps"] = laps_text(row.get("laps"), row.get("run_time_s"))
    return TrackEntry(dict(begun.texts), run_id, said_at=now, begun=begun)


def take_texts(entry: TrackEntry, texts: dict[str, str]) -> TrackEntry:
    """The entry gone on with in texts kept before; of a new run nothing stands but those."""
    known = {name: text for name, text in texts.items() if name in (*RUN_FIELDS, *CAR_FIELDS)}
    if entry.edits:
        return replace(entry, texts=entry.texts | known)
    return TrackEntry(known, said_at=entry.said_at, becomes=entry.becomes)


def kept_texts(entry: TrackEntry, snapshot: Snapshot, texts: dict[str, str]) -> dict[str, str]:
    """As a draft keeps them: the time with its day, of a new run the numbers taken over to the last digit."""
    units, begun, kept = units_of(snapshot), entry.begun, dict(texts)
    for name, value in begun.numbers.items():
        if name in texts and texts[name] == begun.texts.get(name):
            kept[name] = units.typed(name, value)
    if "time" in texts:
        kept["time"] = dated(texts["time"], entry.said_at, snapshot.team().day_first)
    return kept


def change_motor(entry: TrackEntry, snapshot: Snapshot, now: datetime) -> None:
    """Another motor was named: what nobody touched is filled in anew from its runs."""
    motor = named(snapshot, "motor", entry.texts.get("motor", ""))
    if motor is None or entry.edits or name_key(entry.begun.texts.get("motor", "")) == name_key(motor["name"]):
        return
    _fill_anew(entry, snapshot, motor, now)


def _fill_anew(entry: TrackEntry, snapshot: Snapshot, motor: Row, at: datetime) -> None:
    """What nobody touched, as a run begins that ended then."""
    fresh = filled(snapshot, motor, at, hidden_fields(snapshot))
    fresh.texts["time"] = entry.begun.texts.get("time", "")
    for name in {*entry.begun.texts, *fresh.texts} - {"motor", "time"}:
        if entry.untouched(name):
            entry.texts[name] = fresh.texts.get(name, "")
    entry.begun = fresh


def count_on(entry: TrackEntry, snapshot: Snapshot, now: datetime) -> None:
    """Another event was named: a round nobody touched is the next one there."""
    if entry.edits or not entry.untouched("round") or "round" in hidden_fields(snapshot):
        return
    reading = read_track(entry, snapshot, now)
    runs = runs_of_day(snapshot, entry, reading.event)
    due = round_due(reading.event, runs, reading.finish or now) if reading.event or runs else ""
    entry.texts["round"] = entry.begun.texts["round"] = due


def leave_field(entry: TrackEntry, name: str, snapshot: Snapshot, now: datetime) -> None:
    """What a field becomes when it is left: a time that counts from now stands still, quick words are written out,
    laps say their number and time, and the finish reading how long after the finish it was taken."""
    text = entry.texts.get(name, "")
    if name == "time":
        stands = settled(text, entry.said_at, snapshot.team().day_first)
        if entry.untouched("time"):
            entry.begun.texts["time"] = stands
        entry.texts["time"] = stands
        _go_with_time(entry, snapshot, now)
    elif name == "incident":
        entry.texts["incident"] = incident_words(text)
    elif name in ("round", "lap_times_s", "finish_reading_c") and text.strip():
        _fill_from(entry, name, snapshot, now)


def _go_with_time(entry: TrackEntry, snapshot: Snapshot, now: datetime) -> None:
    """A new run that ended earlier was of the event, the round and with the gears of then."""
    reading = read_track(entry, snapshot, now)
    if entry.edits or reading.motor is None or reading.finish is None or "motor" not in entry.begun.texts:
        return
    _fill_anew(entry, snapshot, reading.motor, min(reading.finish, now))
    if not entry.untouched("event"):
        count_on(entry, snapshot, now)


def _fill_from(entry: TrackEntry, name: str, snapshot: Snapshot, now: datetime) -> None:
    reading = read_track(entry, snapshot, now)
    if name in reading.problems:
        return
    if name == "round":
        entry.texts["round"] = round_text(reading.row)
    elif name == "lap_times_s" and entry.texts.get("laps", "") in ("", entry.worked_out.get("laps")):
        laps = reading.row["lap_times_s"]
        entry.texts["laps"] = entry.worked_out["laps"] = laps_text(len(laps), round(sum(laps), 3))
    elif name == "finish_reading_c" and not entry.texts.get("finish_reading_after_s", "").strip():
        delay = None if entry.edits else clock_delay(reading, now)
        entry.texts["finish_reading_after_s"] = "" if delay is None else str(delay)


def clock_delay(reading: TrackReading, now: datetime) -> int | None:
    """Whole seconds since the finish, while that can be when somebody read the thermometer; None else."""
    finish = reading.finish
    delay = -1 if finish is None else round((now - finish).total_seconds())
    return delay if 0 <= delay <= QUANTITIES["finish_reading_after_s"].likely[1] else None


def make_track_run(
    entry: TrackEntry, snapshot: Snapshot, now: datetime, kept: tuple[str, ...], waits: tuple[str, ...] = ()
) -> "tuple[Record, list[Record]]":
    """The checked record, and the car where it is named for the first time; raises Refusal with one sentence.

    `kept`: fields whose number is unlikely and stays as typed; `waits`: those nobody has answered for. An edit that
    changes nothing gives the run as it stood.
    """
    reading = read_track(entry, snapshot, now)
    refuse(sentences(entry.texts, reading.problems, form_label))
    old = snapshot.row("track_run", entry.edits) if entry.edits else None
    row = {name: value for name, value in (old or {}).items() if name not in WRITTEN}
    row |= reading.row | _made_on(reading, snapshot, old) | {"id": entry.edits or entry.becomes}
    cars: list[Record] = []
    if car := clean_text(entry.texts.get("car", "")):
        row["car_id"] = named_or_made(snapshot, "car", car, cars, form_label)
    return checked_run("track_run", row, old, kept, waits, form_label), cars


def _made_on(reading: TrackReading, snapshot: Snapshot, old: Row | None) -> Row:
    """Motor, build, time, place and event of the run."""
    motor, time = reading.motor, reading.time
    assert motor is not None and time is not None
    started_at = time.start(reading.row.get("run_time_s"))
    row = {"started_at": started_at, **made_on(snapshot, "track_run", motor, started_at, old)}
    return row if reading.event is None else row | {"event_id": reading.event["id"]}


def save_track_run(
    logbook: Logbook, entry: TrackEntry, now: datetime, kept: tuple[str, ...], waits: tuple[str, ...] = ()
) -> str:
    """Store the run, and its car if that is new; returns the words. From then on the entry edits the run it made."""
    run, cars = make_track_run(entry, logbook.snapshot(), now, kept, waits)
    row = run.row()
    motor = name_of(logbook, "motor", row["motor_id"])
    words = f"{'edited ' if entry.edits else ''}{round_text(row) or 'track run'} of {motor}"
    logbook.save(words, [*cars, run])
    entry.edits = run.id
    return words
