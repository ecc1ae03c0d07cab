"""What is on the car: what the last of the two says, a track run or the setup log.

The track form begins with it, the list of what is on the car shows it, an entry's `was` is taken from it.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pitbench.desk.builds import in_order
from pitbench.desk.states import PARTS
from pitbench.desk.told import OF_THE_MOTOR, TELLING, agrees, changed_text, things, told
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.stamps import stamp_of, time_key
from pitbench.records.typed import label_of, text_of
from pitbench.records.units import Units, units_of

SHOWN_OF_RUNS = ("pinion", "spur", "internal_ratio", "tyre", "timing_mark_deg", "esc_timing_deg")
"""What a run alone says is on the car; a pack changes every time, and of the others no run has to be asked."""


@dataclass(frozen=True)
class Carried:
    """One thing on the car: the record that said so first (an entry, or the track run it was changed in), what it is
    called, what it is, since when, and the motor that record names."""

    by: Row
    thing: str
    what: str
    now: str
    value: Any = None

    @property
    def since(self) -> str:
        return str(self.by.get("started_at") or self.by["written_at"])

    @property
    def is_run(self) -> bool:
        return "started_at" in self.by


def log_told(
    source: Source, car_id: str | None, motor_id: str | None, at: datetime | None = None
) -> list[tuple[Row, Row]]:
    """Entries that tell fields of a run of this motor in this car, and what they tell, in time; `at`: no later ones."""
    end, units = None if at is None else time_key(stamp_of(at, seconds=True)), units_of(source)
    found = []
    for entry in sorted(source.rows("setup_entry"), key=in_order):
        if end is not None and time_key(entry["written_at"]) > end:
            continue
        if None not in (car_id, entry.get("car_id")) and entry["car_id"] != car_id:
            continue
        other = None not in (motor_id, entry.get("motor_id")) and entry["motor_id"] != motor_id
        said = {name: v for name, v in told(entry, units).items() if not (other and name in OF_THE_MOTOR)}
        if said:
            found.append((entry, said))
    return found


def with_the_log(row: Row, since: Mapping[str, str], entries: Iterable[tuple[Row, Row]]) -> Row:
    """Fields of a new run as the runs before say, put right by what the log says later. since: when a run said each."""
    made = dict(row)
    for entry, said in entries:
        for name, value in said.items():
            if time_key(entry["written_at"]) >= time_key(since.get(name, "")):
                made[name] = changed_text(name, entry, value, made.get(name))
    return made


class OnCar:
    """What is on one car (None: on whichever), thing by thing: gathered once, so that every key is answered at once."""

    def __init__(self, source: Source, car_id: str | None) -> None:
        units, runs = units_of(source), source.rows("track_run")
        own = [run for run in runs if car_id in (None, run.get("car_id", car_id))]
        motor_id = max(own, key=in_order, default={}).get("motor_id")
        entries = [
            entry
            for entry in source.rows("setup_entry")
            if "now" in entry
            and car_id in (None, entry.get("car_id", car_id))
            and not (name_key(entry["what"]) in PARTS and motor_id not in (None, entry.get("motor_id", motor_id)))
        ]
        self.things: dict[str, Carried] = {}
        in_log = {name for entry in entries for name in things(entry)}
        told_by_runs = [name for name in TELLING if name in SHOWN_OF_RUNS or name in in_log]
        for row in sorted([*entries, *own], key=in_order):
            said = _said_by_run(row, told_by_runs, units) if "started_at" in row else _said_by_entry(row, units)
            for each in said:
                stands = self.things.get(each.thing)
                if (stands is None and each.value != 0) or (stands is not None and not _same(stands, each)):
                    self.things[each.thing] = each

    def newest_first(self) -> list[Carried]:
        """All of them, what was changed last first."""
        return sorted(self.things.values(), key=lambda each: in_order(each.by), reverse=True)


def _said_by_run(run: Row, names: Iterable[str], units: Units) -> Iterator[Carried]:
    for name in names:
        if name in run:
            yield Carried(run, name, label_of(name), text_of(name, run[name], units), run[name])


def _said_by_entry(entry: Row, units: Units) -> Iterator[Carried]:
    said = told(entry, units)
    for name in things(entry) - said.keys():
        yield Carried(entry, name, entry["what"], entry["now"])
    for name, value in said.items():
        alone = len(said) == 1
        yield Carried(
            entry,
            name,
            entry["what"] if alone else label_of(name),
            entry["now"] if alone else text_of(name, value, units),
            value,
        )


def _same(stands: Carried, new: Carried) -> bool:
    """Whether a run only says again what stood; an entry always tells anew."""
    if not new.is_run or stands.value is None or new.value is None:
        return False
    if stands.thing in OF_THE_MOTOR and stands.by.get("motor_id", new.by["motor_id"]) != new.by["motor_id"]:
        return False
    return agrees(stands.thing, new.value, stands.value)
