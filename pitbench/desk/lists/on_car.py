"""What is on the car now: the last `now` of every `what` in the setup log."""

from dataclasses import dataclass
from datetime import datetime

from pitbench.desk.builds import in_order
from pitbench.desk.lists.setup_log import outcome_kind
from pitbench.desk.named import name_of
from pitbench.desk.states import PARTS
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.stamps import friendly


@dataclass(frozen=True)
class OnCar:
    """One thing on the car as it is now: the entry that said so, when, and whether its outcome is open."""

    entry_id: str
    what: str
    now: str
    since: str
    motor: str
    how: str


def car_now(snapshot: Source) -> str | None:
    """Id of the car of the newest track run or setup entry that names one."""
    named = (row for kind in ("track_run", "setup_entry") for row in snapshot.rows(kind) if "car_id" in row)
    newest = max(named, key=in_order, default=None)
    return str(newest["car_id"]) if newest else None


def _motor_in(snapshot: Source, car_id: str | None) -> str | None:
    """Id of the motor that was run last, in this car if it is known."""
    runs = (run for run in snapshot.rows("track_run") if car_id in (None, run.get("car_id", car_id)))
    newest = max(runs, key=in_order, default=None)
    return str(newest["motor_id"]) if newest else None


def last_of_each(snapshot: Source, car_id: str | None) -> dict[str, Row]:
    """The newest entry with a `now` of every `what`, by its key, the newest first; entries of another car apart, and
    parts of a motor that is not in the car."""
    motor_id = _motor_in(snapshot, car_id)
    told = (
        entry
        for entry in snapshot.rows("setup_entry")
        if "now" in entry
        and car_id in (None, entry.get("car_id", car_id))
        and not (name_key(entry["what"]) in PARTS and motor_id not in (None, entry.get("motor_id", motor_id)))
    )
    found: dict[str, Row] = {}
    for entry in sorted(told, key=in_order, reverse=True):
        found.setdefault(name_key(entry["what"]), entry)
    return found


def on_the_car(snapshot: Source, now: datetime) -> list[OnCar]:
    """What is on the car now: the last `now` of every `what`, what was changed last first."""
    return [
        OnCar(
            entry_id=entry["id"],
            what=entry["what"],
            now=entry["now"],
            since=friendly(entry["written_at"], now),
            motor=name_of(snapshot, "motor", entry.get("motor_id")),
            how=outcome_kind(entry),
        )
        for entry in last_of_each(snapshot, car_now(snapshot)).values()
    ]


def car_named(snapshot: Source) -> str:
    """Name of the car that is run now; empty where none is written down."""
    return name_of(snapshot, "car", car_now(snapshot))
