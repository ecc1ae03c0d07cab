"""What is on the car now, in words: what the last of the two says, the setup log or a track run."""

from dataclasses import dataclass
from datetime import datetime

from pitbench.desk.builds import in_order
from pitbench.desk.carried import Carried, OnCar
from pitbench.desk.named import name_of
from pitbench.records.kinds import Source
from pitbench.records.stamps import friendly


@dataclass(frozen=True)
class CarLine:
    """One thing on the car as it is now, and since when. by: id of the entry or track run that said so first."""

    key: str
    by: str
    what: str
    now: str
    since: str
    motor: str
    by_run: bool


def car_now(snapshot: Source) -> str | None:
    """Id of the car of the newest track run or setup entry that names one."""
    named = (row for kind in ("track_run", "setup_entry") for row in snapshot.rows(kind) if "car_id" in row)
    newest = max(named, key=in_order, default=None)
    return str(newest["car_id"]) if newest else None


def on_the_car(snapshot: Source, now: datetime) -> list[CarLine]:
    """What is on the car now, what was changed last first."""

    def line(each: Carried) -> CarLine:
        return CarLine(
            key=f"{each.by['id']} {each.thing}",
            by=each.by["id"],
            what=each.what,
            now=each.now,
            since=friendly(each.since, now),
            motor=name_of(snapshot, "motor", each.by.get("motor_id")),
            by_run=each.is_run,
        )

    return [line(each) for each in OnCar(snapshot, car_now(snapshot)).newest_first()]


def car_named(snapshot: Source) -> str:
    """Name of the car that is run now; empty where none is written down."""
    return name_of(snapshot, "car", car_now(snapshot))
