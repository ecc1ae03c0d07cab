"""Which parts a class has, and which builds may be made of them: the one place that knows what may be mixed.

A part belongs to the class of the motor it was in first, and its make and its turns are that motor's.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from pitbench.desk.builds import BuildHistory, Parts, parts_of
from pitbench.desk.classes import takes_part
from pitbench.records.fields import PART_KINDS
from pitbench.records.kinds import Row
from pitbench.records.names import name_key
from pitbench.store.logbook import Snapshot

NOT_MIXED, SAME_MODEL = "no", "same model"
Triple = tuple[str, str, str]
"""Ids of a stator, a rotor and an end bell: a build without a gap."""


@dataclass(frozen=True)
class Shelf:
    """The parts of a class that can be used. parts: rows by kind, by name; in_motor: motor of each part that is in one.

    origin: the motor every part was in first. now: motors that take part with the parts they have now, None for a gap.
    """

    parts: Sequence[Sequence[Row]]
    in_motor: Mapping[str, Row]
    origin: Mapping[str, Row]
    now: Mapping[str, Parts]


def shelf_of(snapshot: Snapshot, history: BuildHistory, motors: Sequence[Row]) -> Shelf:
    """The parts of the motors of one class: those in motors that take part, and those in no motor at all."""
    own = {motor["id"]: motor for motor in motors}
    origin: dict[str, Row] = {}
    for part_id, motor_id in _first_homes(snapshot):
        if part_id not in origin:
            origin[part_id] = snapshot.row("motor", motor_id) or {"id": motor_id}
    in_motor: dict[str, Row] = {}
    now: dict[str, Parts] = {}
    for motor in snapshot.rows("motor"):
        parts = parts_now(history, motor["id"])
        in_motor |= {part_id: motor for part_id in parts if part_id is not None}
        if motor["id"] in own and takes_part(motor):
            now[motor["id"]] = parts
    usable = [
        part
        for part in snapshot.rows("part")
        if origin.get(part["id"], {}).get("id") in own
        and (part["id"] not in in_motor or in_motor[part["id"]]["id"] in now)
    ]
    by_kind = [[part for part in usable if part["kind"] == kind] for kind in PART_KINDS]
    for parts_of_kind in by_kind:
        parts_of_kind.sort(key=lambda part: (name_key(part["name"]), part["id"]))
    return Shelf(by_kind, in_motor, origin, now)


def _first_homes(snapshot: Snapshot) -> Iterator[tuple[str, str]]:
    """Parts with motors they were in, the earliest first; what was only tried counts behind what was fitted."""
    builds = sorted(
        snapshot.rows("build"),
        key=lambda build: (not build.get("fitted", True), build.get("since", ""), build["motor_id"], build["id"]),
    )
    for build in builds:
        for part_id in parts_of(build):
            if part_id is not None:
                yield part_id, build["motor_id"]


def parts_now(history: BuildHistory, motor_id: str) -> Parts:
    """Ids of the parts in a motor now, None for each that is missing."""
    build = history.in_force(motor_id)
    if build is None:
        return (None,) * len(PART_KINDS)
    gaps = history.missing(motor_id)
    return tuple(None if kind in gaps else part_id for kind, part_id in zip(PART_KINDS, parts_of(build), strict=True))


def whole(parts: Parts) -> Triple | None:
    """A build's parts, if none is missing."""
    stator, rotor, end_bell = parts
    return None if stator is None or rotor is None or end_bell is None else (stator, rotor, end_bell)


def legal_builds(shelf: Shelf, history: BuildHistory, class_row: Row | None) -> list[Triple]:
    """Every build that the class sheet allows of the parts there are, in the order of their names."""
    sheet = class_row or {}
    mixed, turns = sheet.get("parts_mixed", "yes"), sheet.get("turns")
    ids = [[part["id"] for part in parts] for parts in shelf.parts]
    if mixed == NOT_MIXED:
        usable = {part_id for kind in ids for part_id in kind}
        first = _as_first_put_together(shelf, history)
        return [build for build in product(*ids) if build in first and usable.issuperset(build)]
    return [build for build in product(*ids) if _goes_together(shelf, build, turns, mixed == SAME_MODEL)]


def _as_first_put_together(shelf: Shelf, history: BuildHistory) -> Collection[Triple]:
    firsts = [parts_of(builds[0]) for motor_id in shelf.now if (builds := history.of(motor_id))]
    return {triple for parts in firsts if (triple := whole(parts)) is not None}


def _goes_together(shelf: Shelf, build: Sequence[str], of_class: float | None, one_model: bool) -> bool:
    """Whether parts come from motors of the same turns, those of the class where a motor says none, and of one model
    where asked."""
    homes = [shelf.origin[part_id] for part_id in build]
    turns = {home.get("turns", of_class) for home in homes} - {None}
    models = {name_key(home.get("model", "")) for home in homes}
    return len(turns) <= 1 and (len(models) == 1 or not one_model)
