"""Whatever a logbook can hold, for tests that put it out as sheets and take it in again."""

import math
from datetime import datetime

from hypothesis import strategies as st

from pitbench.desk.gears import module_of_dp
from pitbench.records.fields import BENCH_FIGURES, CHOICE, FIELDS, PART_KINDS, QUANTITIES, TEXT
from pitbench.records.fields import NAME as OF_A_NAME
from pitbench.records.frame import Record
from pitbench.records.models import (
    BenchRun,
    Build,
    Car,
    ClassSheet,
    Cooling,
    Event,
    Gear,
    Motor,
    Part,
    SetupEntry,
    TrackRun,
)
from pitbench.records.names import clean_name, clean_text, name_key
from pitbench.records.reading import Day
from pitbench.records.stamps import stamp_of, time_key
from pitbench.sheets.tables import SHEETS

DAY = Day(datetime(2026, 5, 16, 14, 2))
SOME = st.one_of(st.text(max_size=12), st.text("'=+-@;,\t\"mising\n é", max_size=9), st.just("missing"))
NAME = SOME.filter(clean_text).map(clean_name)
NOTE = SOME.map(clean_text).filter(bool)
OWN_COLUMNS = {header for sheet in SHEETS for column in sheet.columns for header in (column.name, "id")}
EVENT_NAME = st.one_of(NAME, st.sampled_from(["Saltmouth", "saltmouth", "Saltmouth 2026-04-01", "x" * 80]))
NAMES, TEXTS, CHOICES = ({n for n, d in FIELDS.items() if d.form == form} for form in (OF_A_NAME, TEXT, CHOICE))
EXTRA = st.dictionaries(
    NOTE.filter(lambda header: header.casefold() not in OWN_COLUMNS),
    NOTE,
    max_size=2,
).filter(lambda extra: len({header.casefold() for header in extra}) == len(extra))
STAMP = st.builds(
    lambda when, how: [stamp_of(when), stamp_of(when, seconds=True), when.date().isoformat()][how],
    st.one_of(st.datetimes(datetime(1971, 1, 1), DAY.now), st.sampled_from([DAY.now, datetime(2026, 4, 1)])),
    st.integers(0, 2),
)


def number(name: str) -> st.SearchStrategy[float]:
    quantity = QUANTITIES[name]
    low, high = quantity.possible
    if quantity.whole:
        return st.integers(max(1, math.ceil(low / 2)), int(high / 2)).map(lambda half: float(2 * half))
    return st.one_of(st.floats(low, high, allow_subnormal=False), st.sampled_from([low, high, *quantity.likely]))


def record(draw, model: type[Record], **fixed) -> Record:
    """A record of this model with random fields beside the fixed ones."""
    rest = {}
    for name, field in model.model_fields.items():
        if name in fixed or name in Record.model_fields or not draw(st.booleans()):
            continue
        if name == "lap_times_s":
            rest[name] = draw(st.lists(number(name), max_size=4))
        elif name in QUANTITIES:
            rest[name] = draw(number(name))
        elif field.annotation in (bool, bool | None):
            rest[name] = draw(st.booleans())
        elif name in NAMES:
            rest[name] = draw(NAME)
        elif name in TEXTS:
            rest[name] = draw(NOTE)
        elif name in CHOICES:
            rest[name] = draw(st.sampled_from(FIELDS[name].words))
    return model.of({**rest, "extra": draw(EXTRA), **fixed})


@st.composite
def records(draw) -> list[Record]:
    """Classes, motors, parts, builds of every kind, bench and track runs on any of them, and what surrounds those."""
    ids = iter(f"{n:016x}" for n in range(1000))
    names = st.lists(NAME, unique_by=name_key, max_size=3)
    classes = [record(draw, ClassSheet, id=next(ids), name=name) for name in draw(names)]
    class_ids = st.sampled_from([None, *(each.id for each in classes)])
    motors = [record(draw, Motor, id=next(ids), name=name, class_id=draw(class_ids)) for name in draw(names)]
    parts = [
        Part(id=next(ids), kind=kind, name=name)
        for kind in PART_KINDS
        for name in draw(st.lists(NAME, min_size=1, max_size=3, unique_by=name_key))
    ]
    surroundings = Surroundings(draw, ids)
    builds, runs = [], []
    for motor in motors:
        own = _builds(draw, ids, motor, parts)
        builds += own
        runs += _runs(draw, ids, motor, own)
        runs += surroundings.outings(motor, own)
    return [*classes, *motors, *parts, *builds, *runs, *surroundings.records(motors)]


def _builds(draw, ids, motor: Motor, parts: list[Part]) -> list[Build]:
    def slots(gaps: bool) -> dict[str, str | None]:
        ids_of = {kind: [part.id for part in parts if part.kind == kind] for kind in PART_KINDS}
        return {
            f"{kind}_id": draw(st.sampled_from([*found, None] if gaps else found)) for kind, found in ids_of.items()
        }

    since = draw(st.lists(STAMP, max_size=2, unique_by=time_key))
    dated = [record(draw, Build, id=next(ids), motor_id=motor.id, since=s, fitted=True, **slots(True)) for s in since]
    tried = [
        Build(id=next(ids), motor_id=motor.id, fitted=False, **slots(True)) for _ in range(draw(st.integers(0, 1)))
    ]
    return [Build(id=next(ids), motor_id=motor.id, **slots(True)), *dated, *tried]


def _runs(draw, ids, motor: Motor, builds: list[Build]) -> list[BenchRun]:
    runs = []
    for stamp in draw(st.lists(STAMP, max_size=3)):
        place = sum(time_key(run.taken_at) == time_key(stamp) for run in runs)
        figure = draw(st.sampled_from(BENCH_FIGURES))
        run = record(
            draw,
            BenchRun,
            id=next(ids),
            motor_id=motor.id,
            build_id=draw(st.sampled_from(builds)).id,
            taken_at=stamp,
            place=place,
            excluded_why=draw(st.none() | NOTE),
            test_voltage_v=draw(number("test_voltage_v")),
            **{figure: draw(number(figure))},
        )
        runs.append(run)
    return runs


class Surroundings:
    """Events and cars, track runs among them with their cooling readings, setup entries and gears."""

    def __init__(self, draw, ids) -> None:
        self._draw, self._ids = draw, ids
        named = draw(
            st.lists(st.tuples(EVENT_NAME, STAMP), max_size=3, unique_by=lambda e: (name_key(e[0]), e[1][:10]))
        )
        self._events = [record(draw, Event, id=next(ids), name=name, date=date) for name, date in named]
        cars = draw(st.lists(NAME, unique_by=name_key, max_size=2))
        self._cars = [Car(id=next(ids), name=name) for name in cars]

    def _links(self) -> dict[str, str | None]:
        draw = self._draw
        pools = {"event_id": self._events, "car_id": self._cars}
        return {name: draw(st.sampled_from([None, *(each.id for each in pool)])) for name, pool in pools.items()}

    def outings(self, motor: Motor, builds: list[Build]) -> list[Record]:
        made: list[Record] = []
        draw, ids, stamps = self._draw, self._ids, list[str]()
        for stamp in draw(st.lists(STAMP, max_size=2)):
            place = sum(time_key(other) == time_key(stamp) for other in stamps)
            stamps.append(stamp)
            fixed = {"build_id": draw(st.sampled_from(builds)).id, "started_at": stamp, "place": place}
            excluded = draw(st.none() | NOTE)
            run = record(
                draw, TrackRun, id=next(ids), motor_id=motor.id, excluded_why=excluded, **fixed, **self._links()
            )
            after = draw(st.lists(st.sampled_from([60.0, 300.5]), max_size=2))
            temps = [draw(number("temp_c")) for _ in after]
            readings = zip(after, temps, strict=True)
            made += [
                run,
                *(record(draw, Cooling, id=next(ids), track_run_id=run.id, after_s=a, temp_c=t) for a, t in readings),
            ]
        return made

    def records(self, motors: list[Motor]) -> list[Record]:
        draw, ids = self._draw, self._ids
        of = st.sampled_from([None, *(motor.id for motor in motors)])
        stamps = draw(st.lists(STAMP, max_size=2))
        entries = [
            record(
                draw, SetupEntry, id=next(ids), written_at=stamp, what=draw(NAME), motor_id=draw(of), **self._links()
            )
            for stamp in stamps
        ]
        kinds = draw(st.lists(st.sampled_from(["pinion", "spur"]), max_size=3))
        pitch = st.one_of(number("module"), st.integers(17, 253).map(module_of_dp), st.sampled_from([0.4, 0.5, 0.2]))
        gears = [
            record(draw, Gear, id=next(ids), kind=kind, teeth=draw(number("teeth")), module=draw(pitch))
            for kind in kinds
        ]
        return [*self._events, *self._cars, *entries, *gears]
