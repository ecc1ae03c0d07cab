"""Track pace: which motor laps faster, compared inside race days only, and how every run lies against its day.

    100·ln(lap) = day + trend over the day + motor + slope · rollout + how the pace was come by + noise

on the pace of every run (`laps`), in percent of a lap, solved by `day_curves`. The level of a day is free: nothing
of one day is compared with another. Whoever runs two classes asks once for each. The priors are ours.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Bools, Floats, Ints
from pitbench.figures.day_curves import Drawn, Problem, draw
from pitbench.figures.estimate import DRAWS
from pitbench.figures.intervals import Interval, intervals
from pitbench.figures.laps import KINDS, LAP_SD, LAPS, RUN_SD, USUAL_LAPS, Reading
from pitbench.figures.misfit import DOES_NOT_FIT

LEAST_RUNS, LEAST_MOTORS = 8, 3
"""Track runs and motors from which a ranking lists pace."""
NOISE = float(np.sqrt(RUN_SD**2 + 2 * LAP_SD**2 / USUAL_LAPS))
"""σ of the pace of one usual run, percent. The sizes below are in percent too, and grow and shrink with σ."""
MOTOR_SD = 0.8
"""How far motors of a class lie apart."""
TREND_HOURS, TREND_SD, BEND_SD = 4.0, 0.8, 0.4
"""By how much a day drifts in so many hours, and bends away from a straight drift."""
ROLLOUT_SD = 0.15
"""Percent of a lap per percent of rollout: near the best gearing it is nil, and either side is possible."""
UNKNOWN_ROLLOUT_SD = 3.0
"""By how much a rollout nobody wrote down may differ from the others of its day."""
SEED = 7
"""Other normals than those of the bench figures."""


@dataclass(frozen=True)
class TrackRuns:
    """Runs of one class in columns [n], without those with an incident, in canonical order.

    motor: from 0 to n_motors − 1; day: one day of one event, any number; hour: time of the start in hours; rollout_mm:
    None where unknown.
    """

    n_motors: int
    motor: Sequence[int]
    day: Sequence[int]
    hour: Sequence[float]
    reading: Sequence[Reading]
    rollout_mm: Sequence[float | None]


@dataclass(frozen=True)
class Against:
    """How far a lap lies from another, below 0 faster: in percent of a lap and in seconds."""

    percent: Interval
    seconds: Interval


@dataclass(frozen=True)
class Pace:
    """What track runs say. motors: every motor against the mean of those compared, None without a day beside another.

    lap_s: the mean lap, at which seconds are meant; draws: seconds a lap of every motor there [draws × motors]; counts
    [motors]: runs; rollout_slope: percent of a lap per percent of rollout; noise: σ of a usual run, percent; fits:
    False for a run that lies far off.
    """

    lap_s: float
    draws: Floats
    counts: tuple[int, ...]
    motors: tuple[Against | None, ...]
    rollout_slope: Interval
    noise: float
    fits: tuple[bool, ...]
    problem: Problem
    drawn: Drawn
    mean: Floats

    def known(self, motor: int) -> bool:
        """Whether runs carry the pace of a motor, and not the prior."""
        return self.motors[motor] is not None

    @property
    def missing(self) -> tuple[int, int]:
        """How many track runs, and how many motors run beside others, a ranking still needs to list pace."""
        compared = [count for count, found in zip(self.counts, self.motors, strict=True) if found]
        return max(0, LEAST_RUNS - sum(compared)), max(0, LEAST_MOTORS - len(compared))

    @property
    def enough(self) -> bool:
        """Whether a ranking lists pace."""
        return self.missing == (0, 0)

    def against_its_day(self, runs: Sequence[int], *, with_rollout: bool = False) -> list[Against | None]:
        """Some runs, by their place, each against what its day would have given the mean motor then, at its rollout.

        with_rollout: at the day's middle rollout instead, so that what the run's own gearing brought stays in it. A
        run's own luck is part of it; the interval is the doubt about the day. None for the only run of a day.
        """
        rows, of = np.asarray(runs, dtype=np.int64), self.problem
        rest = ~of.group
        if with_rollout:
            rest[of.group.sum()] = False  # the column behind the motors
        level = np.einsum("rnk,nk->rn", self.drawn.curves[:, of.day[rows]], of.curve[rows])
        level += self.drawn.columns[:, rest] @ of.columns[rows][:, rest].T + self.mean[:, None]
        alone = np.bincount(of.day)[of.day[rows]] == 1
        found = intervals(of.value[rows] - level)
        laps = np.exp(of.value[rows] / 100).tolist()
        both = zip(alone, found, laps, strict=True)
        return [None if lone else Against(each, _seconds(each, lap, -1)) for lone, each, lap in both]

    def beside_its_day(self) -> tuple[Floats, Floats]:
        """How far every run lies from what its day would have given the mean motor, percent, and its weight [n]."""
        of, rest = self.problem, ~self.problem.group
        level = (self.drawn.curves.mean(axis=0)[of.day] * of.curve).sum(axis=1)
        level += of.columns[:, rest] @ self.drawn.columns[:, rest].mean(axis=0) + self.mean.mean()
        return of.value - level, of.weight * self.drawn.fit


def pace(runs: TrackRuns, *, n_draws: int = DRAWS) -> Pace | None:
    """Everything about track pace; None without a run. Deterministic: the same runs always give the same numbers."""
    if not len(runs.motor):
        return None
    problem, n = laid_out(runs), runs.n_motors
    found = draw(problem, n_draws, SEED)
    motor = np.asarray(runs.motor)
    beside, counts = _beside_others(problem), np.bincount(motor, minlength=n)
    mean = found.columns[:, :n][:, beside if beside.any() else counts > 0].mean(axis=1)
    percent = found.columns[:, :n] - mean[:, None]
    lap_s = float(np.exp(problem.value.mean() / 100))
    each = zip(beside, intervals(percent), strict=True)
    return Pace(
        lap_s=lap_s,
        draws=np.asarray(lap_s * np.exp(percent / 100)),
        counts=tuple(counts.tolist()),
        motors=tuple(Against(found, _seconds(found, lap_s, 1)) if other else None for other, found in each),
        rollout_slope=intervals(found.columns[:, [n]])[0],
        noise=found.noise,
        fits=tuple((found.fit >= DOES_NOT_FIT).tolist()),
        problem=problem,
        drawn=found,
        mean=mean,
    )


def _seconds(percent: Interval, lap_s: float, sign: int) -> Interval:
    """Percent as seconds: of a lap that departs from `lap_s` (+1), or of `lap_s` that departs from another (−1)."""
    seconds = (sign * lap_s * float(np.expm1(sign * p / 100)) for p in (percent.mean, percent.low90, percent.high90))
    return Interval(*seconds)


def laid_out(runs: TrackRuns) -> Problem:
    """The runs as a problem of least squares, one run or more; columns: motors, rollout, kinds of pace.

    The value is less what the kind of each pace is believed to add. The curve of a day: level, slope, bend.
    """
    _, labels = np.unique(np.asarray(runs.day), return_inverse=True)
    day = labels.astype(np.int64)
    rollout, known = _rollout(runs, day)
    kinds = [reading.kind for reading in runs.reading]
    others = sorted({*kinds} - {LAPS})
    of_kind = [np.array([each == kind for each in kinds], dtype=float) for kind in others]
    motors = np.equal.outer(np.asarray(runs.motor), np.arange(runs.n_motors)).astype(float)
    columns = np.column_stack([motors, rollout, *of_kind])
    hour = np.asarray(runs.hour, dtype=float)
    x = (hour - (np.bincount(day, hour) / np.bincount(day))[day]) / TREND_HOURS
    unknown = NOISE**2 / (NOISE**2 + (ROLLOUT_SD * UNKNOWN_ROLLOUT_SD) ** 2)
    sizes = [MOTOR_SD] * runs.n_motors + [ROLLOUT_SD] + [KINDS[kind].offset_sd for kind in others]
    return Problem(
        value=np.array([100 * np.log(reading.lap_s) - KINDS[reading.kind].offset for reading in runs.reading]),
        weight=np.array([reading.weight for reading in runs.reading]) * np.where(known, 1.0, unknown),
        day=day,
        curve=np.column_stack([np.ones_like(x), x, x**2]),
        curve_size=np.array([np.inf, TREND_SD, BEND_SD]) / NOISE,
        columns=columns,
        size=np.array(sizes) / NOISE,
        group=np.arange(columns.shape[1]) < runs.n_motors,
        scale=MOTOR_SD / NOISE,
        noise=NOISE,
        fit=np.ones(day.size),
    )


def _rollout(runs: TrackRuns, day: Ints) -> tuple[Floats, Bools]:
    """Percent by which every rollout lies from the middle one of its day, 0 where unknown, and which are known [n]."""
    log = 100 * np.log(np.array([np.nan if each is None else each for each in runs.rollout_mm], dtype=float))
    known = ~np.isnan(log)
    for each in np.unique(day[known]):
        own = known & (day == each)
        log[own] -= np.median(log[own])
    return np.where(known, log, 0.0), known


def _beside_others(problem: Problem) -> Bools:
    """Which motors share a day with another one [motors]."""
    ran = np.zeros((int(problem.day.max()) + 1, int(problem.group.sum())))
    np.add.at(ran, problem.day, problem.columns[:, problem.group])
    return np.asarray((ran[(ran > 0).sum(axis=1) > 1] > 0).any(axis=0))
