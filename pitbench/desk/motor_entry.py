"""A motor written down or changed by hand: its class and parts are made on need, other parts make a new build."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from pitbench.desk.builds import current_build, own_part_name
from pitbench.desk.workshop import Workshop
from pitbench.records.names import Gap, clean_name, clean_text, name_key
from pitbench.records.numbers import Unreadable, read_number, shown
from pitbench.records.quantities import PART_KINDS, QUANTITIES
from pitbench.records.refusal import Refusal
from pitbench.records.stamps import UnreadableTime, read_stamp, shown_stamp, stamp_of

if TYPE_CHECKING:
    from pitbench.records.frame import Record
    from pitbench.records.models import Motor
    from pitbench.store.logbook import Logbook, Snapshot

Row = dict[str, Any]
NUMBERS = ("turns", "poles", "resistance_mohm", "resistance_temp_c")
YES_NO = ("check_motor", "in_use")
NEW_FIELDS = ("motor", "class", "turns", "poles", *PART_KINDS, "resistance_mohm", "resistance_temp_c", *YES_NO, "note")


@dataclass
class MotorEntry:
    """A motor being written down: texts by field, the parts it had, and the record it edits, if any."""

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
    had = _parts(snapshot, motor)
    texts = {"motor": motor["name"], "class": sheet["name"] if sheet else "", "note": motor.get("note", "")}
    texts |= {name: shown(motor[name]) for name in NUMBERS if name in motor}
    texts |= {"check_motor": "yes" if motor.get("check_motor") else "no", "in_use": "yes"}
    texts["in_use"] = "yes" if motor.get("in_use", True) else "no"
    texts |= had | {"fitted_since": shown_stamp(stamp_of(now))}
    at = NEW_FIELDS.index("end_bell") + 1
    return MotorEntry((*NEW_FIELDS[:at], "fitted_since", *NEW_FIELDS[at:]), texts, had, motor["id"])


def _parts(snapshot: "Snapshot", motor: Row) -> dict[str, str]:
    build = current_build(snapshot, motor["id"]) or {}
    names = {}
    for kind in PART_KINDS:
        part = snapshot.row("part", build[f"{kind}_id"]) if f"{kind}_id" in build else None
        own = part is not None and part["name"] == own_part_name(motor["name"], kind)
        names[kind] = part["name"] if part and not own else ""
    return names


def motor_problems(entry: MotorEntry, snapshot: "Snapshot", now: datetime) -> dict[str, str]:
    """What is wrong, a sentence a field."""
    problems: dict[str, str] = {}
    for name in NUMBERS:
        try:
            if entry.texts.get(name, "").strip():
                read_number(entry.texts[name], QUANTITIES[name])
        except Unreadable as why:
            problems[name] = f"{QUANTITIES[name].label.capitalize()} {entry.texts[name]} {why}."
    for name in ("motor", *PART_KINDS, "class"):
        try:
            if name == "motor" or entry.texts.get(name, "").strip():
                clean_name(entry.texts.get(name, ""))
        except ValueError as why:
            problems[name] = f"{name.replace('_', ' ').capitalize()}: {why}."
    taken = next(
        (m for m in snapshot.rows("motor") if name_key(m["name"]) == name_key(entry.texts.get("motor", ""))), None
    )
    if taken is not None and taken["id"] != entry.edits:
        problems["motor"] = f"There is a motor {taken['name']} already; another name would be right."
    for name in YES_NO:
        if entry.texts.get(name, "").strip().casefold() not in {"", "yes", "no", "y", "n"}:
            problems[name] = f"{name.replace('_', ' ').capitalize()} must be yes or no."
    if entry.edits:
        try:
            _since(entry, snapshot, now)
        except UnreadableTime as why:
            problems["fitted_since"] = f"Parts fitted {entry.texts.get('fitted_since', '')} {why}."
    return problems


def _since(entry: MotorEntry, snapshot: "Snapshot", now: datetime) -> str:
    return read_stamp(entry.texts.get("fitted_since", ""), now, snapshot.settings().day_first)


def save_motor(logbook: "Logbook", entry: MotorEntry, now: datetime) -> str:
    """Store the motor, its class and its parts as one action; returns the words of what was done."""
    snapshot = logbook.snapshot()
    problems = motor_problems(entry, snapshot, now)
    if problems:
        raise Refusal(next(iter(problems.values())))
    records: list[Record] = []
    motor = _motor(entry, snapshot, records)
    workshop = Workshop(snapshot)
    row = motor.row()
    if entry.edits is None:
        named = {kind: entry.texts.get(kind, "").strip() or None for kind in PART_KINDS}
        workshop.first_build(row, named)
    else:
        _change_parts(workshop, row, entry, snapshot, now)
    words = f"motor {motor.name}" if entry.edits is None else f"edited motor {motor.name}"
    logbook.save(words, [*records, motor, *workshop.to_save.values()])
    return words


def _change_parts(workshop: Workshop, row: Row, entry: MotorEntry, snapshot: "Snapshot", now: datetime) -> None:
    """A part named for the first time names what was in there; another name than before is a swap."""
    texts = {kind: clean_text(entry.texts.get(kind, "")) for kind in PART_KINDS}
    named = {k: t for k, t in texts.items() if t and not entry.had.get(k)}
    swapped: dict[str, str | Gap | None] = {
        k: t for k, t in texts.items() if t and entry.had.get(k) and name_key(t) != name_key(entry.had[k])
    }
    if named:
        workshop.describe(row, named)
    if swapped:
        workshop.fit(row, _since(entry, snapshot, now), swapped)


def _motor(entry: MotorEntry, snapshot: "Snapshot", records: "list[Record]") -> "Motor":
    from pitbench.records.models import Motor

    old = snapshot.row("motor", entry.edits) if entry.edits else None
    base = {k: v for k, v in (old or {}).items() if k not in {*NUMBERS, *YES_NO, "name", "class_id", "note"}}
    for name in NUMBERS:
        if entry.texts.get(name, "").strip():
            base[name] = read_number(entry.texts[name], QUANTITIES[name])
    base["check_motor"] = _yes(entry.texts.get("check_motor", ""), False)
    base["in_use"] = _yes(entry.texts.get("in_use", ""), True)
    if clean_text(entry.texts.get("note", "")):
        base["note"] = entry.texts["note"]
    if entry.texts.get("class", "").strip():
        base["class_id"] = _class_id(entry.texts["class"], snapshot, records)
    return Motor.of({**base, "name": entry.texts["motor"]})


def _yes(text: str, default: bool) -> bool:
    return text.strip().casefold().startswith("y") if text.strip() else default


def _class_id(name: str, snapshot: "Snapshot", records: "list[Record]") -> str:
    from pitbench.records.models import ClassSheet

    known = next((r for r in snapshot.rows("class_sheet") if name_key(r["name"]) == name_key(name)), None)
    if known:
        return str(known["id"])
    made = ClassSheet(name=name)
    records.append(made)
    return made.id


def bin_motor(logbook: "Logbook", motor_id: str) -> str:
    """Put a motor and its runs in the bin, as one action; returns the words of what was done."""
    motor = logbook.row("motor", motor_id)
    assert motor is not None
    runs = [("bench_run", r["id"]) for r in logbook.rows("bench_run") if r["motor_id"] == motor_id]
    with_runs = f" with {len(runs)} run{'' if len(runs) == 1 else 's'}" if runs else ""
    words = f"motor {motor['name']}{with_runs} to the bin"
    logbook.bin(words, [("motor", motor_id), *runs])
    return words
