"""Which class is asked about: one by its name, the motors that name none, or the class last worked on.

A question carries a class as text: its name, or NO_CLASS. What None stands for is decided here and nowhere else.
"""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from pitbench.desk.sessions import in_time
from pitbench.records.names import name_key

if TYPE_CHECKING:
    from pitbench.store.logbook import Snapshot

Row = Mapping[str, Any]

NO_CLASS = ""
"""Asks for the motors that name no class; every class has a name."""


def class_choices(snapshot: "Snapshot") -> list[str]:
    """The classes that have a motor, by name; NO_CLASS last where a motor names none."""
    sheets = _sheets(snapshot)
    found = {_name(sheets, motor) for motor in snapshot.rows("motor")}
    return sorted(found, key=lambda name: (name == NO_CLASS, name_key(name)))


def first_class(snapshot: "Snapshot") -> str:
    """The class of the newest bench run, else that of the first motor by name; NO_CLASS where it names none."""
    run = max(snapshot.rows("bench_run"), key=in_time, default=None)
    motors = sorted(snapshot.rows("motor"), key=lambda motor: name_key(motor["name"]))
    motor = snapshot.row("motor", run["motor_id"]) if run else next(iter(motors), None)
    return _name(_sheets(snapshot), motor or {})


def _sheets(snapshot: "Snapshot") -> dict[str, Row]:
    return {sheet["id"]: sheet for sheet in snapshot.rows("class_sheet")}


def _name(sheets: Mapping[str, Row], motor: Row) -> str:
    sheet = sheets.get(motor.get("class_id", ""))
    return str(sheet["name"]) if sheet else NO_CLASS
