"""A thermometer reading some time after a track run: the run's finish reading if it has none, else a cooling reading.

A reading taken while a fan blew is always a cooling reading: a finish reading does not say how the can was cooled.
"""

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from pitbench.desk.builds import in_order
from pitbench.desk.entry.bench_entry import named_motor
from pitbench.desk.entry.bench_side import FieldSuspect, field_suspect
from pitbench.desk.entry.suspects import RunSuspect, not_in_fahrenheit
from pitbench.desk.entry.suspects_track import cooling_suspects
from pitbench.desk.entry.suspects_waiting import with_waiting
from pitbench.desk.entry.track_times import COUNTED_S
from pitbench.desk.entry.typed_texts import typed_texts
from pitbench.desk.entry.waiting import waits_of
from pitbench.desk.named import name_of, stored
from pitbench.desk.track_figures import finished_at
from pitbench.records.fields import QUANTITIES, RECORDS, led_by
from pitbench.records.keys import key_for
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.laps import read_time
from pitbench.records.names import clean_text
from pitbench.records.numbers import checked
from pitbench.records.reading import Day
from pitbench.records.rounds import round_text
from pitbench.records.stamps import moment
from pitbench.records.typed import made, read_all, read_field, refuse, sentences
from pitbench.records.units import units_of
from pitbench.store.logbook import Logbook, Snapshot

TABLE = {datum.name: datum for datum in RECORDS["cooling"]}
FIELDS = led_by(("motor", "temp_c"), (name for name, each in TABLE.items() if each.field == name and not each.rare))
FINISH = {"temp_c": "finish_reading_c", "after_s": "finish_reading_after_s"}
"""Columns of a track run that hold its finish reading."""
COUNTED = timedelta(seconds=COUNTED_S)
EARLY_S = 10
"""So soon after the finish the winding still heats the can: such a reading says less of the peak. Common practice, no
source."""


@dataclass(frozen=True)
class CoolingReading:
    """What was typed, as far as it can be read; sentences by field."""

    run: Row | None
    row: Row
    suspects: dict[str, FieldSuspect] = field(default_factory=dict)
    problems: dict[str, str] = field(default_factory=dict)
    doubted: tuple[str, ...] = ()
    waits: tuple[str, ...] = ()
    """Those of the doubted that wait unless somebody answers for them."""


def run_to_read(source: Source, motor_id: str | None, now: datetime) -> Row | None:
    """The run today, or just before midnight, that finished last, of the motor named, else of any."""
    ended = ((finished_at(run) or moment(run["started_at"]), in_order(run), run) for run in source.rows("track_run"))
    today = [found for found in ended if found[0].date() == now.date() or timedelta(0) <= now - found[0] <= COUNTED]
    of_motor = [found for found in today if found[2]["motor_id"] == motor_id]
    return max(of_motor or today, key=lambda found: found[:2], default=(None, None, None))[2]


def new_reading(source: Source, motor_id: str | None, now: datetime) -> dict[str, str]:
    """The form's texts: the motor whose run is read."""
    run = run_to_read(source, motor_id, now)
    return dict.fromkeys(FIELDS, "") | {"motor": name_of(source, "motor", run["motor_id"]) if run else ""}


def too_early(after_s: float | None) -> str:
    """What to do about a reading taken so soon, as a sentence without its full stop; else nothing.

    >>> too_early(4.0)
    '. Read 4 s after the finish, the can still warms: r reads it again at one minute'
    """
    if after_s is None or after_s >= EARLY_S:
        return ""
    again = f"{key_for('add-reading')} reads it again at one minute"
    return f". Read {after_s:.0f} s after the finish, the can still warms: {again}"


def no_delay(run: Row) -> str:
    """What to do about a finish reading that does not say when it was taken, as a sentence without its full stop.

    >>> no_delay({"finish_reading_c": 71.0})
    '. How long after the finish was it read? Until e says so, as long as your others'
    """
    if "finish_reading_c" not in run or "finish_reading_after_s" in run:
        return ""
    return f". How long after the finish was it read? Until {key_for('edit-record')} says so, as long as your others"


def clock_s(run: Row | None, now: datetime) -> int | None:
    """Seconds since the finish; None where that is not known or still to come."""
    finish = finished_at(run) if run else None
    after = -1 if finish is None else round((now - finish).total_seconds())
    return after if after >= 0 else None


def run_words(run: Row) -> str:
    """Which run is read.

    >>> run_words({"round_kind": "practice", "round": "2", "started_at": "2026-05-17T13:36", "run_time_s": 303.0})
    'practice 2, finished 13:41'
    """
    finish = finished_at(run)
    return f"{round_text(run) or 'track run'}{f', finished {finish:%H:%M}' if finish else ''}"


def read_cooling(texts: dict[str, str], snapshot: Snapshot, now: datetime) -> CoolingReading:
    """Read the form's texts; after blank means now."""
    units, runs = units_of(snapshot), list[Row]()

    def read(name: str, text: str) -> Any:
        if name == "motor":
            runs.append(_run_of(named_motor(text, snapshot), snapshot, now))
            return None
        if name == "after_s":
            return _after(text, snapshot, runs[0] if runs else None, now)
        if name == "temp_c" and not clean_text(text):
            raise ValueError("is empty, the temperature would be right")
        return read_field(TABLE[name], text, units, Day(now))

    row, wrong = read_all(texts, FIELDS, read)
    run = runs[0] if runs else None
    found = with_waiting(cooling_suspects(row, run or {}, typed_texts(texts, units)), row, waits_of(row))
    found = not_in_fahrenheit(found, {"temp_c"} if units.unit("temp_c") == "°F" else set())
    return CoolingReading(
        run,
        row,
        {suspect.column: field_suspect(texts, suspect, units) for suspect in found},
        sentences(texts, wrong),
        tuple(suspect.column for suspect in found),
        tuple(suspect.column for suspect in found if suspect.waits),
    )


def _run_of(motor: Row, snapshot: Snapshot, now: datetime) -> Row:
    run = run_to_read(snapshot, motor["id"], now)
    if run is None or run["motor_id"] != motor["id"]:
        raise ValueError(f"has no track run today, {key_for('add-track-run')} writes one down")
    return run


def _after(text: str, snapshot: Snapshot, run: Row | None, now: datetime) -> float:
    """Seconds after the finish; blank: by the clock."""
    if clean_text(text):
        after = _read_after(text, snapshot)
    elif (counted := clock_s(run, now)) is not None:
        after = float(counted)
    else:
        raise ValueError("is not known from the clock, like 75 or 1:15 would be right")
    if run is not None and after in _taken(snapshot, run):
        raise ValueError("has a reading already, another time would be right")
    return after


def _read_after(text: str, snapshot: Snapshot) -> float:
    """Seconds, or minutes and seconds with a colon."""
    if ":" in text:
        return checked(read_time(text), QUANTITIES["after_s"])
    return units_of(snapshot).read("after_s", text)


def _taken(snapshot: Source, run: Row) -> set[float]:
    """Times after the finish that have a reading."""
    cooling = {row["after_s"] for row in snapshot.rows("cooling") if row["track_run_id"] == run["id"]}
    return cooling | ({run["finish_reading_after_s"]} if "finish_reading_after_s" in run else set())


def save_reading(
    logbook: Logbook, texts: dict[str, str], now: datetime, becomes: str, answered: Collection[str] = ()
) -> str:
    """Store the reading, a cooling reading under the id it `becomes`; returns the words of what was done.

    answered: fields whose number was said to be right though it is unlikely; one of the others may wait. Raises Refusal
    with one sentence.
    """
    snapshot = logbook.snapshot()
    reading = read_cooling(texts, snapshot, now)
    refuse(reading.problems)
    run = reading.run
    assert run is not None
    row = {**reading.row, "track_run_id": run["id"]}
    waits = tuple(name for name in reading.waits if name not in answered)
    kept = tuple(name for name in reading.doubted if name not in waits)
    words = _reading_words(snapshot, row)
    if "finish_reading_c" in run or row.get("fan"):
        cooled = {**row, "id": becomes, "kept": kept, "waits": waits}
        logbook.save(words, [made(model_of("cooling"), cooled)])
        return words
    read = {column: row[name] for name, column in FINISH.items()}
    marks = {
        mark: tuple(dict.fromkeys((*run.get(mark, ()), *(FINISH[name] for name in columns))))
        for mark, columns in (("kept", kept), ("waits", waits))
    }
    logbook.save(words, [made(model_of("track_run"), {**run, **read, **marks})])
    return words


def reading_question(source: Source, row: Row) -> tuple[str, str]:
    """What is asked about a reading that waits, and the temperature that was meant where that is plain."""
    run, units = source.row("track_run", row["track_run_id"]) or {}, units_of(source)
    suspect = _of_stored(source, row)
    what = f"{name_of(source, 'motor', run.get('motor_id'))}, {round_text(run) or 'track run'}"
    said = f"{units.degrees(row['temp_c'], 1)} read {row['after_s']:.0f} s after the finish"
    meant = "" if suspect is None or suspect.suggested is None else units.degrees(suspect.suggested, 1)
    return f"{what}: {said}. {'' if suspect is None else suspect.sentence}".rstrip(), meant


def _of_stored(source: Source, row: Row) -> RunSuspect | None:
    run = source.row("track_run", row["track_run_id"]) or {}
    found = with_waiting(cooling_suspects(row, run), row, row.get("waits", ()))
    return next((each for each in found if each.waits), None)


def answer_reading(logbook: Logbook, reading_id: str, put: bool) -> str:
    """A reading that waits is right, or (`put`) what is suggested was meant; returns the words of what was done."""
    row = stored(logbook, "cooling", reading_id)
    suspect = _of_stored(logbook, row)
    if put and suspect is not None and suspect.suggested is not None:
        answer: Row = {suspect.column: suspect.suggested, "waits": [n for n in row["waits"] if n != suspect.column]}
    else:
        answer = {"kept": list(dict.fromkeys((*row.get("kept", ()), *row.get("waits", ())))), "waits": []}
    words = f"{_reading_words(logbook, {**row, **answer})} answered for"
    logbook.save(words, [made(model_of("cooling"), {**row, **answer})])
    return words


def bin_reading(logbook: Logbook, reading_id: str) -> str:
    """To the bin; returns the words of what was done."""
    row = stored(logbook, "cooling", reading_id)
    words = f"{_reading_words(logbook, row)} to the bin"
    logbook.journal.bin(words, [("cooling", reading_id)])
    return words


def _reading_words(source: Source, row: Row) -> str:
    run = source.row("track_run", row["track_run_id"]) or {}
    motor = name_of(source, "motor", run.get("motor_id"))
    return f"{units_of(source).degrees(row['temp_c'], 1)} of {motor} after {round_text(run) or 'its run'}"
