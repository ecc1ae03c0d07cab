"""Which gears lapped quickest on one track: gears compared inside race days, motors and the trend of the day taken out.

    100·ln(lap) = day + trend over the day + motor + gears + how the pace was come by + noise

The law of `pace` with an effect for every set of gears in place of the slope of rollout, which knows no best gearing.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pitbench.figures.arrays import Bools, Floats, Ints
from pitbench.figures.day_curves import draw
from pitbench.figures.estimate import DRAWS
from pitbench.figures.intervals import Interval, intervals
from pitbench.figures.pace import NOISE, ROLLOUT_SD, SEED, TrackRuns, laid_out

USUAL_STEP = 3.0
"""Percent of rollout from one pinion to the next."""
GEARS_SD = ROLLOUT_SD * USUAL_STEP
"""How far gears a tooth apart lie from each other beforehand, percent of a lap. Ours."""


@dataclass(frozen=True)
class GearPace:
    """Every set of gears run beside another on one day; the others are None and 0.

    seconds: a lap against the mean of those compared, below 0 quicker; chance_best: to be the quickest of them;
    lead_s: the quickest over the next, above 0.
    """

    seconds: tuple[Interval | None, ...]
    chance_best: tuple[float, ...]
    lead_s: Interval | None


def gear_pace(runs: TrackRuns, gears: Sequence[int], *, n_draws: int = DRAWS) -> GearPace:
    """gears: which set every run was made with, from 0 on [n]. Deterministic."""
    problem, n, which = laid_out(runs), runs.n_motors, np.asarray(gears, dtype=np.int64)
    sets = np.equal.outer(which, np.arange(which.max() + 1)).astype(float)
    count, kinds = sets.shape[1], problem.columns[:, n + 1 :]
    columns = np.column_stack([problem.columns[:, :n], sets, kinds])
    found = draw(
        replace(
            problem,
            weight=np.array([reading.weight for reading in runs.reading]),
            columns=columns,
            size=np.concatenate([problem.size[:n], np.full(count, GEARS_SD / NOISE), problem.size[n + 1 :]]),
            group=np.arange(columns.shape[1]) < n,
        ),
        n_draws,
        SEED,
    )
    lap_s = float(np.exp(problem.value.mean() / 100))
    beside = _beside(problem.day, sets)
    if not beside.any():
        return GearPace((None,) * count, (0.0,) * count, None)
    percent = found.columns[:, n : n + count][:, beside]
    seconds = lap_s * np.expm1((percent - percent.mean(axis=1, keepdims=True)) / 100)
    each, best = iter(intervals(seconds)), iter(np.bincount(seconds.argmin(axis=1), minlength=beside.sum()))
    order = seconds.mean(axis=0).argsort()
    lead = intervals((seconds[:, order[1]] - seconds[:, order[0]])[:, None])[0]
    return GearPace(
        seconds=tuple(next(each) if known else None for known in beside),
        chance_best=tuple(float(next(best)) / len(seconds) if known else 0.0 for known in beside),
        lead_s=lead,
    )


def _beside(day: Ints, sets: Floats) -> Bools:
    """Which sets share a day with another one [sets]."""
    ran = np.zeros((int(day.max()) + 1, sets.shape[1]))
    np.add.at(ran, day, sets)
    return np.asarray((ran[(ran > 0).sum(axis=1) > 1] > 0).any(axis=0))
