"""A motor written down or changed by hand: its class and parts are made on need, other parts make a new build."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from pitbench.desk.entry.motor_parts import Fitting, parts_now
from pitbench.desk.entry.run_entry import runs_of, with_runs
from pitbench.desk.entry.suspects import unlikely
from pitbench.records.kinds import PART_KINDS
from pitbench.records.names import clean_name, clean_note, clean_text, name_key
from pitbench.records.refusal import Refusal
from pitbench.records.stamps import read_stamp, shown_stamp, stamp_of
from pitbench.records.typed import label_of, sentence
from pitbench.records.units import units_of

if TYPE_CHECKING:
    from pitbench.records.frame import Record
    from pitbench.records.kinds import Source
    from pitbench.records.models import Motor
    from pitbench.store.logbook import Logbook, Snapshot

Row = dict[str, Any]
NUMBERS = ("turns", "poles", "resistance_mohm", "resistance_temp_c")
YES_NO = ("check_motor", "in_use")
NEW_FIELDS = (
    "motor",
    "class",
    "turns",
    "poles",
    *PART_KINDS,
    "resistance_mohm",
    "resistance_temp_c",
    *YES_NO,
    "owner",
    "note",
)


@dataclass
class MotorEntry:
    """A motor being written down: texts by field, names of the parts it had, and the record it edits, if any."""

    fields: tuple[str, ...]
    texts: dict[str, str]
    had: dict[str, str] = field(default_factory=dict)
    edits: str | None = None


def motor_entry(snapshot: "Snapshot", motor_id: str | None, now: datetime) -> MotorEntry:
    """An empty entry, or one that edits a motor; part fields are blank for parts nobody has named."""
    motor = snapshot.row("motor", motor_id) if motor_id else None
    if motor is None:
        return MotorEntry(NEW_FIELDS, {"check_motor": "no", "in_use": "yes"})
    sheet = snapshot.row("class_sheet", motor["class_id"]) if "class_id" in motor else None
    had = parts_now(snapshot, motor)
    texts = {"motor": motor["name"], "class": sheet["name"] if sheet else "", "note": motor.get("note", "")}
    texts["owner"] = motor.get("owner", "")
    units = units_of(snapshot)
    texts |= {name: units.typed(name, motor[name]) for name in NUMBERS if name in motor}
    texts |= {"check_motor": "yes" if motor.get("check_motor", False) else "no"}
    texts |= {"in_use": "yes" if motor.get("in_use", True) else "no"}
    texts |= had | {"fitted_since": shown_stamp(stamp_of(now))}
    at = NEW_FIELDS.index("end_bell") + 1
    return MotorEntry((*NEW_FIELDS[:at], "fitted_since", *NEW_FIELDS[at:]), texts, had, motor["id"])


def motor_problems(entry: MotorEntry, snapshot: "Snapshot", now: datetime) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    problems = {}
    for name in entry.fields:
        text = entry.texts.get(name, "")
        try:
            _check(entry, name, text, snapshot, now)
        except ValueError as why:
            problems[name] = sentence(label_of(name), text, str(why))
    taken = _motor_named(snapshot, entry.texts.get("motor", ""))
    if taken is not None and taken["id"] != entry.edits:
        problems["motor"] = f"There is a motor {taken['name']} already; another name would be right."
    return problems


def _check(entry: MotorEntry, name: str, text: str, snapshot: "Snapshot", now: datetime) -> None:
    """Raises ValueError with a clause when the text cannot stand in this field."""
    blank = not clean_text(text)
    if name == "fitted_since":
        _since(entry, snapshot, now)
    elif name == "motor" or (name in {"class", "owner", *PART_KINDS} and not blank):
        clean_name(text)
    elif blank and entry.had.get(name):
        raise ValueError("is empty; the name of the part in there, or missing, would be right")
    elif name in NUMBERS and not blank:
        units_of(snapshot).read(name, text)
    elif name == "note":
        clean_note(text)
    elif name in YES_NO and clean_text(text).casefold() not in {"", "yes", "no", "y", "n"}:
        raise ValueError("must be yes or no")


def _motor_named(snapshot: "Snapshot", name: str) -> Row | None:
    return next((row for row in snapshot.rows("motor") if name_key(row["name"]) == name_key(name)), None)


def _since(entry: MotorEntry, snapshot: "Snapshot", now: datetime) -> str:
    """From when on other parts than before are in the motor; in a new motor, from now on."""
    if entry.edits is None:
        return stamp_of(now)
    return read_stamp(entry.texts.get("fitted_since", ""), now, snapshot.team().day_first)


def save_motor(logbook: "Logbook", entry: MotorEntry, now: datetime) -> str:
    """Store the motor, its class and its parts as one action; returns the words of what was done."""
    snapshot = logbook.snapshot()
    for problem in motor_problems(entry, snapshot, now).values():
        raise Refusal(problem)
    records: list[Record] = []
    motor = _motor(entry, snapshot, records)
    fitting = Fitting(snapshot, motor.row(), entry.had, _since(entry, snapshot, now))
    fitting.put({kind: entry.texts.get(kind, "") for kind in PART_KINDS})
    words = f"motor {motor.name}" if entry.edits is None else f"edited motor {motor.name}"
    logbook.save(words, [*records, motor, *fitting.records()])
    return words


def _motor(entry: MotorEntry, snapshot: "Snapshot", records: "list[Record]") -> "Motor":
    from pitbench.records.models import Motor

    old = snapshot.row("motor", entry.edits) if entry.edits else None
    row = {k: v for k, v in (old or {}).items() if k not in {*NUMBERS, *YES_NO, "name", "class_id", "owner", "note"}}
    texts = {name: text for name in entry.fields if clean_text(text := entry.texts.get(name, ""))}
    units = units_of(snapshot)
    row |= {name: units.read(name, texts[name]) for name in NUMBERS if name in texts}
    row["kept"] = [suspect.column for suspect in unlikely(row)]
    row |= {name: _is_yes(texts[name]) for name in YES_NO if name in texts}
    row |= {name: texts[name] for name in ("owner", "note") if name in texts}
    if "class" in texts:
        row["class_id"] = _class_id(texts["class"], snapshot, records)
    return Motor.of({**row, "name": texts["motor"]})


def _is_yes(text: str) -> bool:
    return clean_text(text).casefold().startswith("y")


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
