"""A motor written down or changed by hand: its class and parts are made on need, other parts make a new build."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from pitbench.desk.entry.bench_side import FieldSuspect, field_suspect
from pitbench.desk.entry.half_filled import Written
from pitbench.desk.entry.motor_parts import Fitting, parts_now
from pitbench.desk.entry.suspects import unlikely
from pitbench.desk.entry.suspects_waiting import with_waiting
from pitbench.desk.entry.waiting import unchanged, waits_of
from pitbench.desk.named import class_sheet_of, named, named_or_made
from pitbench.records import fields
from pitbench.records.fields import PART_KINDS, QUANTITIES, RECORDS
from pitbench.records.kinds import Row, model_of
from pitbench.records.names import clean_name, clean_text
from pitbench.records.reading import Day
from pitbench.records.stamps import read_stamp, shown_stamp, stamp_of
from pitbench.records.typed import made, read_all, read_field, refuse, sentences, text_of
from pitbench.records.units import units_of
from pitbench.store.logbook import Logbook, Snapshot

if TYPE_CHECKING:
    from pitbench.records.frame import Record

TABLE = {datum.name: datum for datum in RECORDS["motor"] if datum.form != fields.COLUMNS}
NEW_FIELDS = tuple(TABLE)
OWN = tuple(name for name, datum in TABLE.items() if datum.field == name)
"""Fields that stand in the motor's record under their own name."""
SHARED: tuple[str, ...] = ("turns", "poles")
YES_NO = tuple(name for name in OWN if TABLE[name].form == fields.YES_NO)


@dataclass
class MotorEntry(Written):
    """A motor being written down: texts by field, names of the parts it had."""

    fields: tuple[str, ...] = NEW_FIELDS
    had: dict[str, str] = field(default_factory=dict)


def motor_entry(snapshot: Snapshot, motor_id: str | None, now: datetime) -> MotorEntry:
    """An entry with turns, poles and class of the motor last written down, or one that edits a motor.

    Part fields are blank for parts nobody has named.
    """
    motor = snapshot.row("motor", motor_id) if motor_id else None
    if motor is None:
        return MotorEntry({name: "yes" if TABLE[name].default else "no" for name in YES_NO} | _as_the_last(snapshot))
    had, units = parts_now(snapshot, motor), units_of(snapshot)
    texts = {"motor": motor["name"], "class": class_sheet_of(snapshot, motor).get("name", "")}
    texts |= {name: units.typed(name, motor[name]) for name in OWN if name in motor and name in QUANTITIES}
    texts |= {name: text_of(name, motor[name], units) for name in OWN if name in motor and name not in QUANTITIES}
    texts |= {name: text_of(name, motor.get(name, TABLE[name].default), units) for name in YES_NO}
    texts |= had | {"since": shown_stamp(stamp_of(now))}
    at = NEW_FIELDS.index("end_bell") + 1
    return MotorEntry(texts, motor["id"], fields=(*NEW_FIELDS[:at], "since", *NEW_FIELDS[at:]), had=had)


def _as_the_last(snapshot: Snapshot) -> dict[str, str]:
    """What the motor last written down is likely to share with the next; of one's own only."""
    own = [row for row in snapshot.rows("motor") if "owner" not in row]
    last = max(own, key=lambda row: row.get("edited_at", ""), default={})
    texts: dict[str, str] = {name: units_of(snapshot).typed(name, last[name]) for name in SHARED if name in last}
    sheet = class_sheet_of(snapshot, last)
    return texts | {"class": sheet["name"]} if sheet else texts


def motor_problems(entry: MotorEntry, snapshot: Snapshot, now: datetime) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    problems = sentences(entry.texts, _read(entry, snapshot, now)[1])
    taken = named(snapshot, "motor", entry.texts.get("motor", ""))
    if taken is not None and taken["id"] != entry.edits:
        problems["motor"] = f"There is a motor {taken['name']} already; another name would be right."
    return problems


@dataclass(frozen=True)
class MotorDoubts:
    """What is wrong with a motor's texts, and what is unlikely and waits for an answer, by field."""

    problems: dict[str, str]
    suspects: dict[str, FieldSuspect]


def motor_doubts(entry: MotorEntry, snapshot: Snapshot, now: datetime) -> MotorDoubts:
    """Of the texts as they stand."""
    row, units = _read(entry, snapshot, now)[0], units_of(snapshot)
    old = snapshot.row("motor", entry.edits) if entry.edits else None
    waits = waits_of({**row, "kept": unchanged(old, row, "kept")}, said=unchanged(old, row, "waits"))
    found = with_waiting(unlikely(row), row, waits)
    suspects = {each.column: field_suspect(entry.texts, each, units) for each in found if each.waits}
    return MotorDoubts(motor_problems(entry, snapshot, now), suspects)


def _read(entry: MotorEntry, snapshot: Snapshot, now: datetime) -> tuple[Row, dict[str, str]]:
    """What every text means, and what is wrong, a clause a field."""
    units, day = units_of(snapshot), Day(now, snapshot.team().day_first)

    def read(name: str, text: str) -> Any:
        if name == "since":
            return _since(entry, snapshot, now)
        if entry.had.get(name) and not clean_text(text):
            raise ValueError("is empty; the name of the part in there, or missing, would be right")
        if name == "motor":
            return clean_name(text)
        return read_field(TABLE[name], text, units, day)

    return read_all(entry.texts, entry.fields, read)


def _since(entry: MotorEntry, snapshot: Snapshot, now: datetime) -> str:
    """From when on other parts than before are in the motor; in a new motor, from now on."""
    if entry.edits is None:
        return stamp_of(now)
    return read_stamp(entry.texts.get("since", ""), now, snapshot.team().day_first)


def save_motor(logbook: Logbook, entry: MotorEntry, now: datetime) -> str:
    """Store the motor, its class and its parts as one action; returns the words of what was done."""
    snapshot = logbook.snapshot()
    refuse(motor_problems(entry, snapshot, now))
    records: list[Record] = []
    motor = _motor(entry, _read(entry, snapshot, now)[0], snapshot, records)
    row = motor.row()
    fitting = Fitting(snapshot, row, entry.had, _since(entry, snapshot, now))
    fitting.put({kind: entry.texts.get(kind, "") for kind in PART_KINDS})
    words = f"{'' if entry.edits is None else 'edited '}motor {row['name']}"
    logbook.save(words, [*records, motor, *fitting.records()])
    return words


def _motor(entry: MotorEntry, read: Row, snapshot: Snapshot, records: "list[Record]") -> "Record":
    old = snapshot.row("motor", entry.edits) if entry.edits else None
    row = {name: value for name, value in (old or {}).items() if name not in {*OWN, "name", "class_id"}}
    row |= {name: read[name] for name in OWN if name in read}
    marks = {mark: unchanged(old, row, mark) for mark in ("kept", "waits")}
    waits = waits_of({**row, "kept": marks["kept"]}, said=marks["waits"])
    row["waits"] = [name for name in waits if name in read and not entry.is_answered(name)]
    row["kept"] = [name for name in row if name in marks["kept"] or (name in waits and name not in row["waits"])]
    if "class" in read:
        row["class_id"] = named_or_made(snapshot, "class_sheet", read["class"], records)
    return made(model_of("motor"), {**row, "id": entry.edits or entry.becomes, "name": read["motor"]})
