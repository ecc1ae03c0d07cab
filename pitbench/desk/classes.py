"""Which class is asked about: one by its name, the motors that name none, or the class last worked on.

A question carries a class as text: its name, or NO_CLASS. What None stands for is decided here and nowhere else.
"""

from collections.abc import Mapping, Sequence

from pitbench.desk.named import class_sheet_of
from pitbench.desk.sessions import newest, timely
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key, nearest
from pitbench.records.refusal import Refusal
from pitbench.records.stamps import time_key

NO_CLASS = ""
"""Asks for the motors that name no class; every class has a name."""


def class_choices(snapshot: Source) -> list[str]:
    """The classes that have a motor, by name; NO_CLASS last where a motor names none."""
    sheets = _sheets(snapshot)
    found = {_name(sheets, motor) for motor in snapshot.rows("motor")}
    return sorted(found, key=lambda name: (name == NO_CLASS, name_key(name)))


def first_class(snapshot: Source, runs: Sequence[Row] | None = None) -> str:
    """The class of the newest bench run, else that of the first motor by name; NO_CLASS where it names none.

    runs: all bench runs in time, for one who has them sorted.
    """
    run = newest(_latest(snapshot) if runs is None else runs)
    motors = sorted(snapshot.rows("motor"), key=lambda motor: name_key(motor["name"]))
    motor = snapshot.row("motor", run["motor_id"]) if run else next(iter(motors), None)
    return _name(_sheets(snapshot), motor or {})


def class_asked(snapshot: Source, runs: Sequence[Row], wanted: str | None) -> Row | None:
    """The sheet of the class asked for (None: of `first_class`); None for the motors that name none.

    Refusal for a class nobody wrote down, and for NO_CLASS where every motor has one.
    """
    sheets = _sheets(snapshot)
    by_name = {name_key(sheet["name"]): sheet for sheet in sheets.values()}
    if wanted is None:
        wanted = first_class(snapshot, runs)
    elif wanted == NO_CLASS:
        motors = snapshot.rows("motor")
        if motors and all(_name(sheets, motor) for motor in motors):
            raise Refusal(f"Every motor in this logbook has a class; {_known(sheets)} would be right.")
    elif name_key(wanted) not in by_name:
        raise Refusal(_unknown_class(wanted, sheets))
    return by_name.get(name_key(wanted))


def class_called(source: Source, motor: Row) -> str:
    """The class of a motor as questions name it; a class in the bin names nothing."""
    sheet = class_sheet_of(source, motor)
    return str(sheet["name"]) if sheet and "binned_at" not in sheet else NO_CLASS


def motors_of(snapshot: Source, sheet: Row | None) -> list[Row]:
    """The motors of a class, or those that name none; a class in the bin names nothing."""
    sheets = _sheets(snapshot)
    return [motor for motor in snapshot.rows("motor") if sheets.get(motor.get("class_id", "")) == sheet]


def takes_part(motor: Row) -> bool:
    """Whether a motor is compared and planned for: it is in use, and the user's own."""
    return bool(motor.get("in_use", True)) and "owner" not in motor


def _latest(snapshot: Source) -> list[Row]:
    """The bench runs of the newest time: one, as a rule; all of them are not sorted for it."""
    rows = snapshot.rows("bench_run")
    last = time_key(max((row["taken_at"] for row in rows), default=""))
    return timely(row for row in rows if row["taken_at"].startswith(last) and time_key(row["taken_at"]) == last)


def _sheets(snapshot: Source) -> dict[str, Row]:
    return {sheet["id"]: sheet for sheet in snapshot.rows("class_sheet")}


def _name(sheets: Mapping[str, Row], motor: Row) -> str:
    sheet = sheets.get(motor.get("class_id", ""))
    return str(sheet["name"]) if sheet else NO_CLASS


def _known(sheets: Mapping[str, Row]) -> str:
    return " or ".join(sorted(sheet["name"] for sheet in sheets.values()))


def _unknown_class(wanted: str, sheets: Mapping[str, Row]) -> str:
    if not sheets:
        return f"There is no class {wanted} in this logbook; it names no class yet, so leave --class out."
    near = nearest(wanted, [sheet["name"] for sheet in sheets.values()])
    return f"There is no class {wanted} in this logbook; {near or _known(sheets)} would be right."
