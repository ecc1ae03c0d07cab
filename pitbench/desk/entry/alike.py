"""What bench runs say under the same conditions, and which of their numbers lie far off: more than ten predictive
standard deviations off the runs of their motor like them, or, before there are two others, off the motors of its class.

What follows from it, `waiting` decides. Warmth is left alone: 40 K move KV by less than is far.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import exp, log
from operator import itemgetter
from statistics import median
from typing import Any, NamedTuple

from pitbench.desk import run_figures
from pitbench.desk.answered import answered
from pitbench.figures.criteria import CURRENT, KV, MEASURED, RESISTANCE
from pitbench.figures.far_off import Expected, expected
from pitbench.figures.winding import REFERENCE_C, resistance_20
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key

TIMING_NOISE, TIMING_SET = 0.15, 0.5
"""Degrees: of one reading, and how well an end bell is set to its mark again. Common practice, no source."""
TIMING_STEP = 5.0
"""Speed and current of runs without a mark are compared where their timing is alike to so many degrees. Ours."""
MOST, NEWEST = 50, 5
"""Newest runs of a motor, and of every other of its class, that a form looks at: it answers between two keys."""
TIMINGS = ("timing_deg", *run_figures.SENSORS)
SPEEDS = ("kv_rpm_per_v", "rpm", "erpm")
Group = tuple[Any, ...]


@dataclass(frozen=True)
class Far:
    """A number far off: from where to where it would not be, and whether its own motor says so or the class."""

    low: float
    high: float
    of_motor: bool


@dataclass(frozen=True)
class _Figure:
    """What is compared: a value of a run on a scale where noise and spreads are alike everywhere.

    besides: what one more reading differs by for reasons all readings of a session share; motor_sd: how far motors of
    a class lie apart, None where they are not compared. group: under which conditions runs are alike, None: with none.
    """

    columns: tuple[str, ...]
    relative: bool
    value: Callable[[Row, Row | None], float | None]
    noise: float
    besides: float
    motor_sd: float | None
    group: Callable[[Row], Group | None]


class _Reading(NamedTuple):
    """One value of a run, the group of its motor's it belongs to, and that of its class."""

    figure: _Figure
    column: str
    value: float
    own: Group
    of_class: Group | None


class _Lot:
    """The values of one motor under the same conditions, with their runs and columns. A list each, and nothing more:
    there are ten for every run of a sheet.
    """

    def __init__(self, figure: _Figure, of_class: Group | None) -> None:
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
        return {each.column: far for each in told if (far := self._far(run, each)) is not None}

    def all_far(self) -> dict[str, dict[str, Far]]:
        """The same of all runs there are, by their ids; those without any, and what waits already, are absent."""
        found: dict[str, dict[str, Far]] = defaultdict(dict)
        for own, lot in self._own.items():
            for run, column, value in zip(lot.runs, lot.columns, lot.values, strict=True):
                far = self._far(run, _Reading(lot.figure, column, value, own, lot.of_class))
                if far is not None:
                    found[run["id"]][column] = far
        return found

    def _far(self, run: Row, reading: _Reading) -> Far | None:
        figure, own = reading.figure, self._of_motor(reading.figure, reading.own)
        should = own or self._of_others(figure, reading.of_class)
        if should is None or not should.is_far(reading.value):
            return None
        low, high = (_back(figure, run[reading.column], reading.value, end) for end in should.reach)
        return Far(low, high, own is not None)

    def lacks(self, run: Row) -> bool:
        """Whether its motor alone has too few runs like this one to judge all its numbers by."""
        classed = (reading for reading in self._readings(run) if reading.figure.motor_sd)
        return any(self._of_motor(reading.figure, reading.own) is None for reading in classed)

    def _readings(self, run: Row) -> Iterator[_Reading]:
        motor = self._motors.get(run["motor_id"])
        whose, of_class = (run["motor_id"], run.get("build_id")), _class_of(motor)
        for figure in _FIGURES:
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

    def _of_motor(self, figure: _Figure, own: Group) -> Expected | None:
        if own not in self._expected:
            self._expected[own] = expected(
                lot.values if (lot := self._own.get(own)) else (), figure.noise, figure.besides
            )
        return self._expected[own]

    def _of_others(self, figure: _Figure, of_class: Group | None) -> Expected | None:
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


def _back(figure: _Figure, typed: float, value: float, end: float) -> float:
    """The number of this run that would come to `end` on the scale of the figure."""
    return typed * exp(min((end - value) / 100, 50.0)) if figure.relative else typed + end - value


def _winding(run: Row, motor: Row | None) -> float | None:
    if RESISTANCE not in run:
        return None
    warm = run.get("resistance_temp_c", run.get("ambient_c"))
    return resistance_20(run[RESISTANCE], REFERENCE_C if warm is None else warm)


def _plain(name: str) -> Callable[[Row, Row | None], float | None]:
    return lambda run, motor: run.get(name)


def _voltage_and_timing(run: Row) -> Group:
    """Test voltage to 0.1 V, and the timing mark, else the timing about."""
    voltage, mark = run.get("test_voltage_v"), run.get("timing_mark_deg")
    timing = run_figures.timing_of(run) if mark is None else None
    about = None if timing is None else round(timing / TIMING_STEP)
    return (None if voltage is None else round(voltage, 1), mark, about)


def _mark(run: Row) -> Group | None:
    """Without a mark nobody knows that the timing was not changed on purpose."""
    return (run["timing_mark_deg"],) if "timing_mark_deg" in run else None


def _tester(run: Row) -> Group:
    """Testers state unevenness on scales of their own."""
    return (name_key(run.get("tester", "")),)


def _figures() -> tuple[_Figure, ...]:
    def of(name: str, columns: tuple[str, ...], value: Any, group: Any, classed: bool) -> _Figure:
        each = MEASURED[name]
        motor_sd = each.motor_sd if classed else None
        return _Figure(columns, each.relative, value, each.noise, each.session_sd, motor_sd, group)

    uneven = ("pole_imbalance_pct", "hall_level_spread_pct")
    timings = (_Figure((n,), False, _plain(n), TIMING_NOISE, TIMING_SET, None, _mark) for n in TIMINGS)
    return (
        of(KV, SPEEDS, run_figures.kv_of, _voltage_and_timing, True),
        of(CURRENT, (CURRENT,), _plain(CURRENT), _voltage_and_timing, True),
        of(RESISTANCE, (RESISTANCE,), _winding, lambda run: (), True),
        *(of(name, (name,), _plain(name), _tester, False) for name in uneven),
        *timings,
    )


_FIGURES = _figures()
