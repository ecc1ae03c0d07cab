"""What changes brought on the track: a step in pace and in finish temperature from each on, all of a class at once.

A change adds a step to every run made after it; the steps of one class are learned together, so that one made an hour
later is no part of the first. Days and events, their trends, motors and rollouts are the columns of `pace`; events,
their drift, motors, rollout, timing and length those of `heat_fit`. What a change does through one of these columns is
its own: a gear change is judged at its own rollout. Solved by `day_curves`. Sizes of steps: ours.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pitbench.figures.arrays import Bools, Floats
from pitbench.figures.day_curves import Problem, draw
from pitbench.figures.estimate import DRAWS
from pitbench.figures.heat_cells import EVENT_SCALE, MOTOR_SCALE, NOISE, PLAIN, PRIOR_MEAN, PRIOR_SD, TAU
from pitbench.figures.heat_fit import TrackRuns as HeatRuns
from pitbench.figures.heat_fit import used_columns
from pitbench.figures.intervals import Interval, intervals
from pitbench.figures.pace import TREND_HOURS, TrackRuns, laid_out

PACE_SD, HEAT_SD = 1.0, 0.15
"""How large a step may be: percent of a lap, and log rise of the can."""
HEAT_TREND_SD = 0.05
"""By how much log rise drifts in TREND_HOURS of an event, beyond what the air explains."""
TOLD = 0.9
"""The runs tell it where the posterior sd is less than this share of the prior's; else the prior speaks."""
ROLLOUT, TIMING = 1, 2
"""Plain columns of `heat_fit` that a change may be made through."""
SEED = 11


@dataclass(frozen=True)
class Step:
    """One change, or some told together: `of`, its columns among those of all changes; before and after [n], the runs
    that tell of it. geared, marked: whether it was made through rollout, or through timing. builds: where parts were
    swapped, the motor as a column before and after it."""

    of: Sequence[int]
    before: Bools
    after: Bools
    geared: bool = False
    marked: bool = False
    builds: tuple[int, int] | None = None

    @property
    def asked(self) -> bool:
        """Whether runs stand on both sides."""
        return bool(self.before.any() and self.after.any())


@dataclass(frozen=True)
class Brought:
    """After less before, in seconds a lap or in K; below 0 is faster, or cooler. chance_less: that it is below 0."""

    difference: Interval
    chance_less: float


def pace_steps(runs: TrackRuns, since: Bools, steps: Sequence[Step], *, n_draws: int = DRAWS) -> list[Brought | None]:
    """What every change brought in pace; None without a run on both sides, or where the runs do not tell it.

    since [n × changes]: the runs made after each.
    """
    if not any(step.asked for step in steps):
        return [None] * len(steps)
    problem, rollout = laid_out(runs), runs.n_motors
    through = [{rollout: 0.0} if step.geared else {} for step in steps]
    found = _found(problem, since, PACE_SD / problem.noise, steps, through, n_draws)

    def seconds(step: Step, percent: Floats) -> Floats:
        lap = float(np.exp(problem.value[step.after].mean() / 100))
        return np.asarray(-lap * np.expm1(-percent / 100))

    return [_brought(step, draws, seconds) for step, draws in zip(steps, found, strict=True)]


def heat_steps(
    runs: HeatRuns, hours: Sequence[float], since: Bools, steps: Sequence[Step], *, n_draws: int = DRAWS
) -> list[Brought | None]:
    """What every change brought in finish temperature, at the conditions of the runs after it; None as in `pace_steps`.

    hours [n]: when each started, in hours of its day.
    """
    used, *_, columns = used_columns(runs)
    since = since[used]
    steps = [replace(step, before=step.before[used], after=step.after[used]) for step in steps]
    if not any(step.asked for step in steps):
        return [None] * len(steps)
    motors, day = np.arange(columns.fixed.shape[1]) >= PLAIN, columns.event
    hour = np.asarray(hours, dtype=float)[used]
    x = (hour - (np.bincount(day, hour) / np.maximum(np.bincount(day), 1))[day]) / TREND_HOURS
    problem = Problem(
        value=columns.off[:, TAU.size // 2],
        weight=NOISE**2 / (NOISE**2 + columns.reading_var),
        day=day,
        curve=np.column_stack([np.ones_like(x), x]),
        curve_size=np.array([EVENT_SCALE, HEAT_TREND_SD]) / NOISE,
        columns=columns.fixed,
        size=np.concatenate([PRIOR_SD, np.full(int(motors.sum()), MOTOR_SCALE)]) / NOISE,
        group=motors,
        scale=MOTOR_SCALE / NOISE,
        noise=NOISE,
        fit=np.ones(day.size),
    )
    rise = np.asarray(runs.finish_c, dtype=float)[used] - np.asarray(runs.ambient_c, dtype=float)[used]
    through = [
        {column: float(PRIOR_MEAN[column]) for column in [ROLLOUT] * step.geared + [TIMING] * step.marked}
        for step in steps
    ]

    def kelvin(step: Step, log_rise: Floats) -> Floats:
        return np.asarray(-rise[step.after].mean() * np.expm1(-log_rise))

    found = _found(problem, since, HEAT_SD / NOISE, steps, through, n_draws)
    return [_brought(step, draws, kelvin) for step, draws in zip(steps, found, strict=True)]


def _found(
    problem: Problem,
    since: Bools,
    size: float,
    steps: Sequence[Step],
    through: Sequence[Mapping[int, float]],
    n_draws: int,
) -> list[Floats | None]:
    """Draws of every step on the scale of the problem [draws]; None where nothing is asked, or nothing tells it.

    through: the columns every change was made through, and what each was believed to add, already off the value.
    """
    first, changes = problem.columns.shape[1], since.shape[1]
    problem = replace(
        problem,
        columns=np.column_stack([problem.columns, since.astype(float)]),
        size=np.concatenate([problem.size, np.full(changes, size)]),
        group=np.concatenate([problem.group, np.zeros(changes, dtype=bool)]),
    )
    drawn, found = draw(problem, n_draws, SEED), list[Floats | None]()
    for step, own in zip(steps, through, strict=True):
        if not step.asked:
            found.append(None)
            continue
        contrast, lead = np.zeros(problem.size.size), 0.0
        contrast[[first + at for at in step.of]] = 1.0
        if step.builds is not None:
            contrast[list(step.builds)] = -1.0, 1.0
        for column, believed in own.items():
            values = problem.columns[:, column]
            contrast[column] = values[step.after].mean() - values[step.before].mean()
            lead += believed * float(contrast[column])
        draws = lead + drawn.columns @ contrast
        beforehand = drawn.noise * float(np.sqrt(contrast**2 @ problem.size**2))
        found.append(draws if float(draws.std()) < TOLD * beforehand else None)
    return found


def _brought(step: Step, draws: Floats | None, unit: Callable[[Step, Floats], Floats]) -> Brought | None:
    if draws is None:
        return None
    difference = unit(step, draws)
    return Brought(intervals(difference[:, None])[0], float(np.mean(difference < 0)))
