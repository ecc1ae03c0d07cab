"""A new bench run in seconds: what is filled in already, what was typed, and the record it makes.

Texts are as typed, in the team's units; a number nobody touched in an edit stays the very one it was. A form shows
what stands here and knows nothing else.
"""

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from pitbench.desk.builds import BuildHistory, made_at
from pitbench.desk.entry.bench_fields import (
    CONDITION_FIELDS,
    CONDITION_NUMBERS,
    RUN_FIELDS,
    RUN_NUMBERS,
    TABLE,
    figure_fields,
)
from pitbench.desk.entry.half_filled import Written
from pitbench.desk.entry.waiting import in_order_of_fields, unchanged
from pitbench.desk.named import must_be_named, name_of, stored
from pitbench.records.fields import BENCH_FIGURES, PART_KINDS, QUANTITIES, led_by
from pitbench.records.keys import key_for
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import name_key
from pitbench.records.reading import Day, read_text
from pitbench.records.refusal import Refusal
from pitbench.records.stamps import moment, shown_stamp, stamp_of, time_key
from pitbench.records.typed import Label, label_of, made, read_all, read_field, refuse, sentences, text_of
from pitbench.records.units import Units, units_of
from pitbench.store.logbook import Logbook, Snapshot

if TYPE_CHECKING:
    from pitbench.records.frame import Record

WRITTEN = {*RUN_FIELDS, "kept", "waits", "place"}
"""Fields of a run that an entry writes anew, blank ones too."""


@dataclass
class Entry(Written):
    """A bench run being written down, with the fields its form asks for."""

    fields: tuple[str, ...] = ()
    carried: dict[str, float] = field(default_factory=dict)
    """Condition numbers taken over from the last run: as long as its text stands, each stays the very one it was."""


def newest_run(snapshot: Source, motor_id: str | None = None) -> Row | None:
    """The newest bench run, of one motor if named."""
    runs = [r for r in snapshot.rows("bench_run") if motor_id is None or r["motor_id"] == motor_id]
    return max(runs, key=lambda r: (time_key(r["taken_at"]), r.get("edited_at", ""), r.get("place", 0)), default=None)


def new_entry(snapshot: Snapshot, now: datetime, motor_id: str | None = None, also: str | None = None) -> Entry:
    """An entry with motor and conditions filled in from the last run; the timing mark from that motor's own last.

    also: a figure that is asked for, though it be hidden.
    """
    last = newest_run(snapshot)
    motors = snapshot.rows("motor")
    if motor_id is None:
        motor_id = last["motor_id"] if last else next((m["id"] for m in motors), None)
    motor = snapshot.row("motor", motor_id) if motor_id else None
    own = newest_run(snapshot, motor_id) if motor_id else None
    taken_at = _after_a_swap(snapshot, motor_id, stamp_of(now))
    texts = {"motor": motor["name"] if motor else "", "taken_at": shown_stamp(taken_at)}
    taken_over = {name: value for name, value in (last or {}).items() if name != "timing_mark_deg"}
    if last and moment(last["taken_at"]).date() != now.date():
        taken_over.pop("session", None)
    if own and "timing_mark_deg" in own:
        taken_over["timing_mark_deg"] = own["timing_mark_deg"]
    texts |= _conditions(taken_over, units_of(snapshot))
    carried = {name: taken_over[name] for name in CONDITION_NUMBERS if name in taken_over}
    fields = figure_fields(snapshot, last)
    if also and also not in fields:
        fields = (*fields[:-1], also, fields[-1])
    return Entry(texts, fields=fields, carried=carried)


def _after_a_swap(snapshot: Source, motor_id: str | None, stamp: str) -> str:
    """A run written down in the very minute in which parts of its motor were swapped comes after that."""
    builds = (build for build in snapshot.rows("build") if build["motor_id"] == motor_id and build.get("fitted", True))
    return max([stamp, *(str(build["since"]) for build in builds if build.get("since", "")[:16] == stamp)])


def ask_anew(entry: Entry, snapshot: Snapshot) -> None:
    """The fields asked for by now; what is filled in has a field whether it is asked for or not."""
    row = snapshot.row("bench_run", entry.edits) if entry.edits else newest_run(snapshot)
    fields = figure_fields(snapshot, row)
    asked = {*fields, *CONDITION_NUMBERS}
    more = (name for name in RUN_NUMBERS if entry.texts.get(name, "").strip() and name not in asked)
    entry.fields = (*fields[:-1], *more, "note")


def edit_entry(snapshot: Snapshot, run_id: str) -> Entry:
    """An entry that edits a stored run."""
    row = stored(snapshot, "bench_run", run_id)
    fields = figure_fields(snapshot, row)
    shown = {*fields, *(name for name in CONDITION_NUMBERS if name not in row.get("waits", ()))}
    missing = tuple(name for name in RUN_NUMBERS if name in row and name not in shown)
    units = units_of(snapshot)
    texts = {"motor": name_of(snapshot, "motor", row["motor_id"]), "taken_at": shown_stamp(row["taken_at"])}
    texts |= _conditions(row, units)
    texts |= {name: text_of(name, row[name], units) for name in (*fields, *missing) if name in row}
    texts["note"] = row.get("note", "")
    return Entry(texts, run_id, fields=(*fields[:-1], *missing, "note"))


def _conditions(run: Row, units: Units) -> dict[str, str]:
    return {name: text_of(name, run[name], units) for name in CONDITION_FIELDS[2:] if name in run}


@dataclass(frozen=True)
class Reading:
    """What was typed, as far as it can be read: motor, time and fields of the run; what is wrong by field."""

    motor: Row | None
    taken_at: str | None
    row: Row
    problems: dict[str, str]

    @property
    def numbers(self) -> dict[str, float]:
        """The numbers alone."""
        return {name: value for name, value in self.row.items() if name in QUANTITIES}


def read_entry(entry: Entry, snapshot: Snapshot, now: datetime) -> Reading:
    """Read every text of an entry; a problem is a clause that completes a sentence, in the order of the form."""
    units, day = units_of(snapshot), Day(now, snapshot.team().day_first)
    old = (snapshot.row("bench_run", entry.edits) if entry.edits else None) or entry.carried

    def read(name: str, text: str) -> Any:
        if name == "motor":
            return named_motor(text, snapshot)
        if name == "taken_at":
            return read_text(TABLE[name], text, day)
        untouched = name in old and name in QUANTITIES and text == units.in_field(name, old[name])
        return old[name] if untouched else read_field(TABLE[name], text, units, day)

    numbers = (name for name in entry.fields if name != "note")
    row, problems = read_all(entry.texts, led_by(numbers, (*RUN_NUMBERS, *CONDITION_FIELDS, "note")), read)
    motor, taken_at = row.pop("motor", None), row.pop("taken_at", None)
    return Reading(motor, taken_at, row, problems | _speed_problems(row))


def named_motor(typed: str, snapshot: Snapshot) -> Row:
    """The motor of this name; a ValueError with a clause where there is none, with the nearest one that is."""
    if not name_key(typed):
        raise ValueError("is empty, the name of one of yours would be right")
    return must_be_named(snapshot, "motor", typed, f"{key_for('add-motor')} on a list writes a new one down")


def _speed_problems(numbers: Row) -> dict[str, str]:
    """KV counts before the others, which are a speed per volt only with the voltage they were read at."""
    if "kv_rpm_per_v" in numbers or "test_voltage_v" in numbers:
        return {}
    why = f"needs the test voltage it was read at, {key_for('edit-conditions')} writes it down"
    return {name: why for name in ("rpm", "erpm") if name in numbers}


def tested_build(snapshot: Snapshot, motor_id: str, at: str, old: Row | None) -> str | None:
    """Id of the build a bench or track run of this motor and time was made on; `old`: as it stood, if it is an edit.

    A run that tried other parts than the motor had keeps its build.
    """
    history = BuildHistory(snapshot.rows("build"))
    if old is not None and old["motor_id"] == motor_id:
        before = history.in_force(motor_id, made_at(old))
        if before is None or before["id"] != old["build_id"]:
            return str(old["build_id"])
    build = history.in_force(motor_id, at)
    return build["id"] if build else None


def make_run(
    entry: Entry, snapshot: Snapshot, now: datetime, kept: tuple[str, ...], waits: tuple[str, ...] = ()
) -> "Record":
    """The checked record; raises Refusal with one sentence that names the field.

    `kept`: fields whose number is unlikely and stays as typed; `waits`: those nobody has answered for. An edit that
    changes nothing gives the run as it stood.
    """
    reading = read_entry(entry, snapshot, now)
    refuse(sentences(entry.texts, reading.problems))
    if not reading.row.keys() & set(BENCH_FIGURES):
        raise Refusal("A bench run needs at least one figure: KV or no-load current would be right.")
    motor, taken_at = reading.motor, reading.taken_at
    assert motor is not None and taken_at is not None
    old = snapshot.row("bench_run", entry.edits) if entry.edits else None
    row = {name: value for name, value in (old or {}).items() if name not in WRITTEN}
    row |= reading.row | {"id": entry.edits or entry.becomes, "taken_at": taken_at}
    row |= made_on(snapshot, "bench_run", motor, taken_at, old)
    return checked_run("bench_run", row, old, kept, waits)


def made_on(snapshot: Snapshot, kind: str, motor: Row, at: str, old: Row | None) -> Row:
    """Motor, build and place of a run of this kind and time; raises Refusal for a motor without a build."""
    build_id = tested_build(snapshot, motor["id"], at, old)
    if build_id is None:
        raise Refusal(f"{motor['name']} has no build yet: {key_for('edit-record')} on Motors writes its parts down.")
    row: Row = {
        "motor_id": motor["id"],
        "build_id": build_id,
        "place": _free_place(snapshot, kind, motor["id"], at, old),
    }
    if old is not None and "parts_named" in old and build_id == old["build_id"] and at != made_at(old):
        # at another time too it was made with these parts, also with those that were not named
        row["parts_named"] = (*PART_KINDS, *(name for name in old["parts_named"] if name not in PART_KINDS))
    return row


def checked_run(
    kind: str, row: Row, old: Row | None, kept: tuple[str, ...], waits: tuple[str, ...], label: Label = label_of
) -> "Record":
    """The record of a run; what was kept, or waits, and still stands does so on. Raises Refusal."""
    marks = {mark: (old or {}).get(mark, ()) for mark in ("kept", "waits")}
    run = made(model_of(kind), {**row, **marks}, label)
    found, waiting = run.row(), unchanged(old, row, "waits")
    if found == old and set(kept).isdisjoint(waiting):
        return run
    keeps = [name for name in found if name in kept or name in unchanged(old, row, "kept")]
    asked = in_order_of_fields(name for name in (*waits, *waiting) if name not in keeps)
    return run.with_(kept=keeps, waits=asked)


def _free_place(snapshot: Snapshot, kind: str, motor_id: str, at: str, old: Row | None) -> int:
    """Place among runs of this kind and motor at the very same time, the bin's too; an edited run keeps its own."""
    time = time_key(at)
    rows = (*snapshot.rows(kind), *snapshot.rows(kind, binned=True))
    there = {r["id"]: r.get("place", 0) for r in rows if r["motor_id"] == motor_id and time_key(made_at(r)) == time}
    if old is not None and old["id"] in there:
        return int(old.get("place", 0))
    return max(there.values(), default=-1) + 1


def save_run(logbook: Logbook, entry: Entry, now: datetime, kept: tuple[str, ...], waits: tuple[str, ...] = ()) -> str:
    """Store the run; returns the words of what was done. From then on the entry edits the run it made."""
    run = make_run(entry, logbook.snapshot(), now, kept, waits)
    motor = name_of(logbook, "motor", run.row()["motor_id"])
    words = f"{'edited ' if entry.edits else ''}bench run of {motor}"
    logbook.save(words, [run])
    entry.edits = run.id
    return words
