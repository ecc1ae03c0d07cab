"""A motor written down or changed by hand: its class and parts are made on need, other parts make a new build."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from pitbench.desk.entry.motor_parts import Fitting, parts_now
from pitbench.desk.entry.run_entry import runs_of, with_runs
from pitbench.desk.entry.suspects import unlikely
from pitbench.records import fields
from pitbench.records.fields import PART_KINDS, QUANTITIES, RECORDS
from pitbench.records.ids import new_id
from pitbench.records.names import clean_name, clean_text, name_key
from pitbench.records.reading import Day
from pitbench.records.stamps import read_stamp, shown_stamp, stamp_of
from pitbench.records.typed import made, read_all, read_field, refuse, sentences, text_of
from pitbench.records.units import units_of

if TYPE_CHECKING:
    from pitbench.records.frame import Record
    from pitbench.records.kinds import Source
    from pitbench.records.models import Motor
    from pitbench.store.logbook import Logbook, Snapshot

Row = dict[str, Any]
TABLE = {datum.name: datum for datum in RECORDS["motor"]}
NEW_FIELDS = tuple(TABLE)
OWN = tuple(name for name, datum in TABLE.items() if datum.field == name)
"""Fields that stand in the motor's record under their own name."""
YES_NO = tuple(name for name in OWN if TABLE[name].form == fields.YES_NO)


@dataclass
class MotorEntry:
    """A motor being written down: texts by field, names of the parts it had, and the record it edits, if any."""

    fields: tuple[str, ...]
    texts: dict[str, str]
    had: dict[str, str] = field(default_factory=dict)
    edits: str | None = None
    becomes: str = field(default_factory=new_id, compare=False)
    """Id of the record it makes, chosen when it begins: what is saved is never saved a second time."""


def motor_entry(snapshot: "Snapshot", motor_id: str | None, now: datetime) -> MotorEntry:
    """An empty entry, or one that edits a motor; part fields are blank for parts nobody has named."""
    motor = snapshot.row("motor", motor_id) if motor_id else None
    if motor is None:
        return MotorEntry(NEW_FIELDS, {name: "yes" if TABLE[name].default else "no" for name in YES_NO})
    sheet = snapshot.row("class_sheet", motor["class_id"]) if "class_id" in motor else None
    had = parts_now(snapshot, motor)
    texts = {"motor": motor["name"], "class": sheet["name"] if sheet else ""}
    units = units_of(snapshot)
    texts |= {name: units.typed(name, motor[name]) for name in OWN if name in motor and name in QUANTITIES}
    texts |= {name: text_of(name, motor[name], units) for name in OWN if name in motor and name not in QUANTITIES}
    texts |= {name: text_of(name, motor.get(name, TABLE[name].default), units) for name in YES_NO}
    texts |= had | {"since": shown_stamp(stamp_of(now))}
    at = NEW_FIELDS.index("end_bell") + 1
    return MotorEntry((*NEW_FIELDS[:at], "since", *NEW_FIELDS[at:]), texts, had, motor["id"])


def motor_problems(entry: MotorEntry, snapshot: "Snapshot", now: datetime) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    problems = sentences(entry.texts, _read(entry, snapshot, now)[1])
    taken = _motor_named(snapshot, entry.texts.get("motor", ""))
    if taken is not None and taken["id"] != entry.edits:
        problems["motor"] = f"There is a motor {taken['name']} already; another name would be right."
    return problems


def _read(entry: MotorEntry, snapshot: "Snapshot", now: datetime) -> tuple[Row, dict[str, str]]:
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


def _motor_named(snapshot: "Snapshot", name: str) -> Row | None:
    return next((row for row in snapshot.rows("motor") if name_key(row["name"]) == name_key(name)), None)


def _since(entry: MotorEntry, snapshot: "Snapshot", now: datetime) -> str:
    """From when on other parts than before are in the motor; in a new motor, from now on."""
    if entry.edits is None:
        return stamp_of(now)
    return read_stamp(entry.texts.get("since", ""), now, snapshot.team().day_first)


def save_motor(logbook: "Logbook", entry: MotorEntry, now: datetime) -> str:
    """Store the motor, its class and its parts as one action; returns the words of what was done."""
    snapshot = logbook.snapshot()
    refuse(motor_problems(entry, snapshot, now))
    records: list[Record] = []
    motor = _motor(entry, _read(entry, snapshot, now)[0], snapshot, records)
    fitting = Fitting(snapshot, motor.row(), entry.had, _since(entry, snapshot, now))
    fitting.put({kind: entry.texts.get(kind, "") for kind in PART_KINDS})
    words = f"motor {motor.name}" if entry.edits is None else f"edited motor {motor.name}"
    logbook.save(words, [*records, motor, *fitting.records()])
    return words


def _motor(entry: MotorEntry, read: Row, snapshot: "Snapshot", records: "list[Record]") -> "Motor":
    from pitbench.records.models import Motor

    old = snapshot.row("motor", entry.edits) if entry.edits else None
    row = {name: value for name, value in (old or {}).items() if name not in {*OWN, "name", "class_id"}}
    row |= {name: read[name] for name in OWN if name in read}
    row["kept"] = [suspect.column for suspect in unlikely(row)]
    if "class" in read:
        row["class_id"] = _class_id(read["class"], snapshot, records)
    return made(Motor, {**row, "id": entry.edits or entry.becomes, "name": read["motor"]})


def _class_id(name: str, snapshot: "Snapshot", records: "list[Record]") -> str:
    from pitbench.records.models import ClassSheet

    known = next((r for r in snapshot.rows("class_sheet") if name_key(r["name"]) == name_key(name)), None)
    if known is not None:
        return str(known["id"])
    made = ClassSheet(name=name)
    records.append(made)
    return made.id


def bin_question(source: "Source", motor_id: str) -> str:
    """What is asked before a motor goes to the bin with its runs; nothing where it has none."""
    motor, runs = source.row("motor", motor_id), runs_of(source, motor_id)
    return f"M{with_runs(motor, runs)[1:]} to the bin?" if motor and runs else ""


def bin_motor(logbook: "Logbook", motor_id: str) -> str:
    """Put a motor and its runs in the bin, as one action; returns the words of what was done."""
    motor = logbook.row("motor", motor_id)
    assert motor is not None
    runs = runs_of(logbook, motor_id)
    words = f"{with_runs(motor, runs)} to the bin"
    logbook.bin(words, [("motor", motor_id), *runs])
    return words
