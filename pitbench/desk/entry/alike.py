"""What bench runs say under the same conditions, and which of their numbers lie far off: more than ten predictive
standard deviations off the runs of their motor like them, or, before there are two others, off the motors of its class.

What follows from it, `waiting` decides. Warmth is left alone: 40 K move KV by less than is far.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import log
from operator import itemgetter
from statistics import median
from typing import NamedTuple

from pitbench.desk.answered import answered
from pitbench.desk.entry.alike_figures import COMPARED, AlikeFigure, Group
from pitbench.figures.far_off import Expected, expected
from pitbench.records.kinds import Row, Source

MOST, NEWEST = 50, 5
"""Newest runs of a motor, and of every other of its class, that a form looks at: it answers between two keys."""


@dataclass(frozen=True)
class Far:
    """A number far off, and whether its own motor says so or the class."""

    of_motor: bool


class _Reading(NamedTuple):
    """One value of a run, the group of its motor's it belongs to, and that of its class."""

    figure: AlikeFigure
    column: str
    value: float
    own: Group
    of_class: Group | None


class _Lot:
    """The values of one motor under the same conditions, with their runs and columns. A list each, and nothing more:
    there are ten for every run of a sheet.
    """

    def __init__(self, figure: AlikeFigure, of_class: Group | None) -> None:
        self.figure, self.of_class = figure, of_class
        self.runs: list[Row] = []
        self.columns: list[str] = []
        self.values: list[float] = []

    def add(self, run: Row, reading: _Reading) -> None:
        self.runs.append(run)
        self.columns.append(reading.column)
        self.values.append(reading.value)


class Alike:
    """What the bench runs of a logbook say under the same conditions, motor by motor and class by class.

    Numbers that wait, and runs left out, tell nothing. All the runs there are go in, those that are judged too: a wild
    one moves nothing, so that the order in which runs came does not matter.
    """

    def __init__(self, runs: Iterable[Row], motors: Mapping[str, Row]) -> None:
        self._motors = motors
        self._own: dict[Group, _Lot] = {}
        self._of_class: dict[Group, dict[str, _Lot]] = defaultdict(dict)
        self._expected: dict[Group, Expected | None] = {}
        for run in runs:
            if "excluded_why" not in run:
                for reading in self._readings(answered(run)):
                    self._lot(reading, run["motor_id"]).add(run, reading)

    def _lot(self, reading: _Reading, motor_id: str) -> _Lot:
        if (lot := self._own.get(reading.own)) is None:
            lot = self._own[reading.own] = _Lot(reading.figure, reading.of_class)
            if reading.of_class is not None:
                self._of_class[reading.of_class][motor_id] = lot
        return lot

    def far(self, run: Row) -> dict[str, Far]:
        """Numbers of a run that lie far off, by column, also of one that waits already."""
        told = self._readings(run) if "excluded_why" not in run else ()
        return {each.column: far for each in told if (far := self._far(each)) is not None}

    def all_far(self) -> dict[str, dict[str, Far]]:
        """The same of all runs there are, by their ids; those without any, and what waits already, are absent."""
        found: dict[str, dict[str, Far]] = defaultdict(dict)
        for own, lot in self._own.items():
            for run, column, value in zip(lot.runs, lot.columns, lot.values, strict=True):
                far = self._far(_Reading(lot.figure, column, value, own, lot.of_class))
                if far is not None:
                    found[run["id"]][column] = far
        return found

    def _far(self, reading: _Reading) -> Far | None:
        figure, own = reading.figure, self._of_motor(reading.figure, reading.own)
        should = own or self._of_others(figure, reading.of_class)
        if should is None or not should.is_far(reading.value):
            return None
        return Far(own is not None)

    def lacks(self, run: Row) -> bool:
        """Whether its motor alone has too few runs like this one to judge all its numbers by."""
        classed = (reading for reading in self._readings(run) if reading.figure.motor_sd)
        return any(self._of_motor(reading.figure, reading.own) is None for reading in classed)

    def _readings(self, run: Row) -> Iterator[_Reading]:
        motor = self._motors.get(run["motor_id"])
        whose, of_class = (run["motor_id"], run.get("build_id")), _class_of(motor)
        for figure in COMPARED:
            column = figure.columns[0]
            if column not in run:
                column = next((name for name in figure.columns[1:] if name in run), "")
            if not column or (group := figure.group(run)) is None or (value := figure.value(run, motor)) is None:
                continue
            if figure.relative:
                if value <= 0:
                    continue
                value = 100 * log(value)
            classed = None if figure.motor_sd is None or of_class is None else (figure.columns, *of_class, *group)
            yield _Reading(figure, column, value, (figure.columns, *whose, *group), classed)

    def _of_motor(self, figure: AlikeFigure, own: Group) -> Expected | None:
        if own not in self._expected:
            self._expected[own] = expected(
                lot.values if (lot := self._own.get(own)) else (), figure.noise, figure.besides
            )
        return self._expected[own]

    def _of_others(self, figure: AlikeFigure, of_class: Group | None) -> Expected | None:
        if of_class is None:
            return None
        if of_class not in self._expected:
            means = [median(lot.values) for lot in self._of_class[of_class].values()]
            besides = (figure.besides**2 + figure.noise**2) ** 0.5
            self._expected[of_class] = expected(means, figure.motor_sd or 0.0, besides)
        return self._expected[of_class]


def alike_in(source: Source, run: Row, others: Sequence[Row]) -> Alike:
    """For one run being typed: its motor's `others`, oldest first; its class too where those say too little."""
    motors = {motor["id"]: answered(motor) for motor in source.rows("motor")}
    own = [*others[-MOST:], run]
    alike = Alike(own, motors)
    if not alike.lacks(run):
        return alike
    class_id = motors.get(run["motor_id"], {}).get("class_id")
    classed = {key for key, motor in motors.items() if motor.get("class_id") == class_id} - {run["motor_id"]}
    newest: dict[str, list[Row]] = defaultdict(list)
    for each in sorted((r for r in source.rows("bench_run") if r["motor_id"] in classed), key=itemgetter("taken_at")):
        newest[each["motor_id"]].append(each)
    return Alike([*own, *(each for runs in newest.values() for each in runs[-NEWEST:])], motors)


def _class_of(motor: Row | None) -> Group | None:
    """Within a class, turn for turn; of motors without either nobody knows that they are alike."""
    class_id, turns = (motor or {}).get("class_id"), (motor or {}).get("turns")
    return None if class_id is None and turns is None else ("class", class_id, turns)
