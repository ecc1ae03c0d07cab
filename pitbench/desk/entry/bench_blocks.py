"""The numbers of a bench run that depend on one another, laid out to be judged together: see `figures.mistyped`.

Speed, current and timings are one block: timing moves all of them. So are the temperatures, and what is uneven; the
winding stands alone. What was typed is held against what is foreseen on the scale of its figure.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from math import log

from pitbench.desk import run_figures
from pitbench.desk.entry.foreseen_bench import ForeseenBench
from pitbench.desk.entry.foreseen_values import (
    COLD,
    RISE,
    SENSORS_OFF,
    SPEEDS,
    TIMING,
    TOTAL_OFF,
    UNEVEN,
    WARM_AT,
    WARMTH,
    at_20,
)
from pitbench.figures.criteria import CURRENT, KV, RESISTANCE, TIMING_SLOPE
from pitbench.figures.foreseen import Normal
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row

SPEEDS_AGREE = 0.15
"""Percent that KV, rpm and erpm of one run differ by, rounded as a tester shows them. Ours."""
TIMING_HERE = 0.3
"""Degrees that a timing nobody read may be off that of the runs it is held against. Ours."""
SWAPS = (
    ("kv_rpm_per_v", "rpm"),
    ("timing_a_deg", "timing_b_deg"),
    ("timing_b_deg", "timing_c_deg"),
    ("timing_a_deg", "timing_c_deg"),
    ("timing_deg", "timing_a_deg"),
    ("ambient_c", "motor_temp_c"),
    UNEVEN,
)
"""Fields that stand side by side, and whose numbers may be typed one into the other."""
AIR_HERE = 1.5**2
"""Variance of the air within a session."""
LOGS = frozenset((*SPEEDS, CURRENT))
SLOPES = {**dict.fromkeys(SPEEDS, TIMING_SLOPE[KV][0]), CURRENT: TIMING_SLOPE[CURRENT][0]}
"""Percent by which a degree of timing moves speeds and current; a timing moves by itself."""
WIDE = 4.0
"""Standard deviations from which a temperature is not believed where others depend on it."""


@dataclass(frozen=True)
class Block:
    """Columns with what was typed of each, where it should lie, and with which covariance; all on the block's scales.

    scale: of a column, a number as stored brought to it. logs: columns whose scale is 100·ln. near: whether what is
    foreseen is near enough to be offered where digits are lost. side_by_side: fields whose numbers may be typed one
    into the other. used: numbers used before, where few are.
    """

    columns: tuple[str, ...]
    typed: list[float]
    centre: list[float]
    covariance: list[list[float]]
    scale: Callable[[str, float], float]
    logs: frozenset[str] = frozenset()
    near: bool = False
    side_by_side: tuple[tuple[str, str], ...] = SWAPS
    used: Mapping[str, Collection[float]] = field(default_factory=dict)

    @property
    def residuals(self) -> list[float]:
        """Typed − foreseen."""
        return [typed - centre for typed, centre in zip(self.typed, self.centre, strict=True)]

    def width(self, column: str) -> float:
        """Length of the scale over which a number of the column may lie anywhere."""
        low, high = QUANTITIES[column].likely
        return 100 * log(high / low) if column in self.logs else high - low

    def swaps(self) -> list[tuple[str, str]]:
        """Fields whose numbers may have been typed one into the other."""
        return [pair for pair in self.side_by_side if pair[0] in self.columns and pair[1] in self.columns]


def blocks_of(run: Row, motor: Row | None, known: ForeseenBench) -> list[Block]:
    """The blocks of what stands in the run."""
    warm = _warm(run, known)
    believed = {name: warm.believed(name, run) for name in ("motor_temp_c", "resistance_temp_c", "ambient_c")}
    found = (_speeds(run, motor, known, believed), warm.block(run), _uneven(run, known), _winding(run, known, believed))
    return [block for block in found if block is not None]


def _speeds(run: Row, motor: Row | None, known: ForeseenBench, believed: Mapping[str, float | None]) -> Block | None:
    """KV, rpm and erpm as read by a tester that may be set to other poles; current; total timing and sensors."""
    columns = tuple(n for n in (*SPEEDS, CURRENT, *run_figures.TIMING) if n in run and _has_place(n, run))
    if not columns:
        return None
    poles = run_figures.poles_of(motor)
    lower = 100 * log(run.get("poles_assumed", poles) / poles)
    volts = 100 * log(run["test_voltage_v"]) if "test_voltage_v" in run else 0.0
    warm = believed["motor_temp_c"]
    heat = 0.0 if warm is None else WARMTH * (warm - WARM_AT)
    behind = {"kv_rpm_per_v": heat - lower, "rpm": heat - lower + volts, "erpm": heat + volts + 100 * log(poles / 2)}
    timed = any(name in run for name in run_figures.TIMING)
    timing = known.of(TIMING, run) if timed else Normal(0.0, TIMING_HERE**2)
    parts = [_part(column, run, known, timing, behind) for column in columns]
    return Block(
        columns,
        [100 * log(run[n]) if n in LOGS else run[n] for n in columns],
        [part.mean for part in parts],
        _together(columns, [part.var for part in parts], timing.var),
        lambda name, value: 100 * log(value) if name in LOGS else value,
        LOGS & frozenset(columns),
        near=True,
    )


def _has_place(name: str, run: Row) -> bool:
    """rpm and erpm say something of a motor only with the voltage; what is 0 or less has no logarithm."""
    if name in (*SPEEDS, CURRENT) and run[name] <= 0:
        return False
    return name not in ("rpm", "erpm") or run.get("test_voltage_v", 0.0) > 0


def _part(column: str, run: Row, known: ForeseenBench, timing: Normal, behind: Mapping[str, float]) -> Normal:
    """Where one number of the block lies, and its variance without what timing adds to all."""
    if column in SPEEDS:
        mean, var = known.of(KV, run)
        return Normal(mean + behind[column], var)
    if column == CURRENT:
        return known.of(CURRENT, run)
    if column == "timing_deg":
        off = known.of(TOTAL_OFF, run) if all(n in run for n in run_figures.SENSORS) else Normal(0.0, 0.01)
    else:
        off = known.of(SENSORS_OFF[run_figures.SENSORS.index(column)], run)
    return Normal(timing.mean + off.mean, off.var)


def _together(columns: Sequence[str], own: Sequence[float], timing: float) -> list[list[float]]:
    """Covariance: timing moves all, speeds of one run are one, and the sensors' offsets sum to nothing."""
    slopes = [SLOPES.get(name, 1.0) for name in columns]
    found = [[slope * other * timing for other in slopes] for slope in slopes]
    for i, var in enumerate(own):
        found[i][i] += var
    speeds, sensors = ([i for i, name in enumerate(columns) if name in kind] for kind in (SPEEDS, run_figures.SENSORS))
    for i in speeds:
        for j in speeds:
            found[i][j] += SPEEDS_AGREE**2 if i == j else own[i]
    for i in sensors:
        for j in sensors:
            if i != j:
                found[i][j] -= (own[i] + own[j]) / 8
    return found


@dataclass(frozen=True)
class _Warm:
    """Temperatures of a run: the air, and how far the can and the cold winding lie above it."""

    air: Normal
    above: Mapping[str, Normal]
    read: tuple[str, ...]

    def block(self, run: Row) -> Block | None:
        if not self.read:
            return None
        centre = [self._at(name).mean for name in self.read]
        covariance = [
            [self.air.var + (self.above[a].var if a == b and a != "ambient_c" else 0.0) for b in self.read]
            for a in self.read
        ]
        return Block(self.read, [run[n] for n in self.read], centre, covariance, lambda name, value: value)

    def _at(self, name: str) -> Normal:
        if name == "ambient_c":
            return self.air
        return Normal(self.air.mean + self.above[name].mean, self.air.var + self.above[name].var)

    def believed(self, name: str, run: Row) -> float | None:
        """A temperature for those that depend on it: as typed where it may be right, else as foreseen."""
        if name not in run:
            return None
        mean, var = self._at(name)
        return float(run[name]) if (run[name] - mean) ** 2 <= WIDE**2 * var else mean


def _warm(run: Row, known: ForeseenBench) -> _Warm:
    here = known.air(run)
    air = Normal(sorted(here)[len(here) // 2], AIR_HERE * (1 + 1 / len(here))) if here else known.usual_air()
    rise = {"motor_temp_c": RISE, "resistance_temp_c": COLD}
    read = tuple(name for name in ("ambient_c", *rise) if name in run)
    return _Warm(air, {name: known.of(rise[name], run) for name in read if name in rise}, read)


def _uneven(run: Row, known: ForeseenBench) -> Block | None:
    columns = tuple(name for name in UNEVEN if name in run)
    if not columns:
        return None
    parts = [known.of(name, run) for name in columns]
    covariance = [[part.var if i == j else 0.0 for j in range(len(parts))] for i, part in enumerate(parts)]
    return _plain(columns, run, [part.mean for part in parts], covariance)


def _plain(columns: tuple[str, ...], run: Row, centre: Sequence[float], covariance: list[list[float]]) -> Block:
    return Block(columns, [run[name] for name in columns], list(centre), covariance, lambda name, value: value)


def _winding(run: Row, known: ForeseenBench, believed: Mapping[str, float | None]) -> Block | None:
    if run.get(RESISTANCE, 0.0) <= 0:
        return None
    warm = believed["resistance_temp_c"] if "resistance_temp_c" in run else believed["ambient_c"]
    mean, var = known.of(RESISTANCE, run)

    def scale(name: str, value: float) -> float:
        return 100 * log(at_20(value, warm))

    return Block(
        (RESISTANCE,), [scale("", run[RESISTANCE])], [mean], [[var]], scale, frozenset((RESISTANCE,)), near=True
    )
