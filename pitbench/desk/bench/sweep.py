"""Timing sweeps of a motor, found in its runs: KV and current against timing, the lines, and what one degree costs.

A sweep is a motor as built, run at three or more timing marks in one sitting at one voltage. Timing is that of the
sensors or the total where every run has it, else the mark: within one motor its own scale serves.
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from statistics import fmean
from typing import Any

from pitbench.desk import run_figures
from pitbench.desk.answered import counting
from pitbench.desk.builds import BuildHistory
from pitbench.desk.run_figures import Measure, same_voltage
from pitbench.desk.sessions import in_time, sessions
from pitbench.figures.criteria import MEASURED
from pitbench.records.kinds import Row, Source

LEAST_MARKS = 3


@dataclass(frozen=True)
class SweepPoint:
    """One run of a sweep; a figure that was not read is None."""

    mark_deg: float
    timing_deg: float
    kv: float | None
    current: float | None
    speed_per_amp: float | None


@dataclass(frozen=True)
class SweepLine:
    """A figure against timing: value at `middle_deg`, change a degree, and how far that holds nine times in ten."""

    middle_deg: float
    middle: float
    slope: float
    slope_low90: float
    slope_high90: float

    def at(self, timing_deg: float) -> float:
        """The line at a timing, for a plot."""
        return self.middle + self.slope * (timing_deg - self.middle_deg)


@dataclass(frozen=True)
class SweepAnswer:
    """One sweep: runs by timing, the lines, the mark with the best speed per amp. by_sensors: else by mark."""

    began: str
    tester: str
    by_sensors: bool
    warmth_equal: bool
    points: list[SweepPoint]
    kv: SweepLine | None
    current: SweepLine | None
    best_mark_deg: float | None


def sweeps(snapshot: Source, motor_id: str, slope: float | None = None) -> list[SweepAnswer]:
    """Sweeps of one motor, the newest first; empty where it has none."""
    motor = snapshot.row("motor", motor_id)
    every = snapshot.rows("bench_run")
    session_of = sessions(every)
    history = BuildHistory(snapshot.rows("build"))
    sittings: dict[Any, list[Row]] = defaultdict(list)
    for run in counting(sorted(every, key=in_time)):
        if run["motor_id"] == motor_id and "timing_mark_deg" in run:
            sittings[session_of[run["id"]], history.one(run["build_id"])].append(run)
    found = [_at_one_voltage(runs) for runs in sittings.values()]
    marked = [runs for runs in found if len({run["timing_mark_deg"] for run in runs}) >= LEAST_MARKS]
    return [_answer(runs, motor, slope) for runs in reversed(marked)]


def _at_one_voltage(runs: list[Row]) -> list[Row]:
    """The runs at the voltage that covers most marks; of two the later."""
    voltages = [run.get("test_voltage_v") for run in runs]
    lots = [[run for run in runs if same_voltage(run.get("test_voltage_v"), voltage)] for voltage in voltages[::-1]]
    return max(lots, key=lambda lot: len({run["timing_mark_deg"] for run in lot}))


def _answer(runs: list[Row], motor: Row | None, slope: float | None) -> SweepAnswer:
    by_sensors = all(run_figures.timing_of(run) is not None for run in runs)
    warm = run_figures.all_warm(runs)
    kv_of = run_figures.kv_measure(motor, warm, slope)
    points = sorted((_point(run, motor, by_sensors, kv_of) for run in runs), key=lambda point: point.timing_deg)
    kv = _line(points, lambda point: point.kv, MEASURED["kv_rpm_per_v"].noise)
    current = _line(points, lambda point: point.current, MEASURED["no_load_current_a"].noise)
    return SweepAnswer(
        began=runs[0]["taken_at"],
        tester=runs[0].get("tester", ""),
        by_sensors=by_sensors,
        warmth_equal=warm,
        points=points,
        kv=kv,
        current=current,
        best_mark_deg=_best_mark(points),
    )


def _point(run: Row, motor: Row | None, by_sensors: bool, kv_of: Measure) -> SweepPoint:
    mark = run["timing_mark_deg"]
    kv, current = kv_of(run), run.get("no_load_current_a")
    timing = run_figures.timing_of(run) if by_sensors else None
    return SweepPoint(
        mark_deg=mark,
        timing_deg=mark if timing is None else timing,
        kv=kv,
        current=current,
        speed_per_amp=run_figures.speed_per_amp_of(run, motor),
    )


def _line(points: list[SweepPoint], figure: Callable[[SweepPoint], float | None], noise_pct: float) -> SweepLine | None:
    """The line through a figure; None with fewer than three timings of it."""
    from pitbench.figures.sweep import fit_line

    read = [(point.timing_deg, value) for point in points if (value := figure(point)) is not None]
    if len({timing for timing, _ in read}) < LEAST_MARKS:
        return None
    values = [value for _, value in read]
    line = fit_line([timing for timing, _ in read], values, fmean(values) * noise_pct / 100)
    reach = line.reach * line.slope_doubt
    return SweepLine(line.middle_x, line.middle_y, line.slope, line.slope - reach, line.slope + reach)


def _best_mark(points: list[SweepPoint]) -> float | None:
    """The mark with the highest mean speed per amp."""
    by_mark: dict[float, list[float]] = defaultdict(list)
    for point in points:
        if point.speed_per_amp is not None:
            by_mark[point.mark_deg].append(point.speed_per_amp)
    return max(by_mark, key=lambda mark: (fmean(by_mark[mark]), -mark), default=None)
