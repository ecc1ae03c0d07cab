"""The bench tied to the track: which bench figures told how runs came out, and whether luck alone would have done it.

A run lies beside what its day gave (`beside_its_day`, `beside_its_event`). A line in one bench figure, fitted on all
other events, foretells that inside the event left out; skill is how much smaller the error is than that of the event's
own mean. The same motors run every event, so that a figure that tells nothing keeps what skill it has by luck: the best
of seven reaches 0.14 on average. No skill is therefore worth anything without its p, for which the figures of whole
motors change places, never runs (Freedman & Lane 1983 on what may be exchanged; Westfall & Young, Resampling-Based
Multiple Testing, 1993, 2.6, minimum p, for the figures tried, of all targets together; recalled).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import permutations
from math import factorial

import numpy as np

from pitbench.figures.arrays import Bools, Floats, Ints

LEAST_RUNS, LEAST_MOTORS, LEAST_EVENTS = 18, 6, 3
"""Runs, motors run beside others, and events from which it is asked. Of five motors no order is rare enough. Ours."""
ARRANGEMENTS = 2000
"""Orders of the motors that are looked at: all of six, else as many by chance. Ours."""
KNOWN = 0.05
"""Up to this p a link counts as known. Ours."""
SEED = 20_260_412
_NOTHING = 1e-9


@dataclass(frozen=True)
class Beside:
    """Runs of one target in columns [n]: labels of motor, day and event from 0 on, how far each lies from what its day
    gave, on any level of the day, and its weight; noise: σ of a run of weight 1. Lower is better."""

    motor: Sequence[int]
    day: Sequence[int]
    event: Sequence[int]
    value: Floats
    weight: Floats
    noise: float


@dataclass(frozen=True)
class Season:
    """Runs of days on which motors ran beside each other, summed up; levels of days are taken out.

    weight, pull: sum of the weights, and of weight times how far runs lie from their day's mean [days × motors];
    squares [days]: the same squared; event [days]; runs: how many.
    """

    weight: Floats
    pull: Floats
    squares: Floats
    event: Ints
    runs: int
    noise: float

    @cached_property
    def motors(self) -> Bools:
        """Which motors ran beside others [motors]."""
        return np.asarray((self.weight > 0).any(axis=0))

    @cached_property
    def by_event(self) -> Floats:
        """1 where a day belongs to an event [events × days]."""
        return np.asarray((np.unique(self.event)[:, None] == self.event).astype(float))

    @property
    def missing(self) -> tuple[int, int, int]:
        """How many runs, motors and events more it takes."""
        events = self.by_event.shape[0]
        have = (self.runs, int(self.motors.sum()), events)
        wanted = (LEAST_RUNS, LEAST_MOTORS, LEAST_EVENTS)
        return max(0, wanted[0] - have[0]), max(0, wanted[1] - have[1]), max(0, wanted[2] - have[2])

    @property
    def enough(self) -> bool:
        """Whether anything can be told."""
        return self.missing == (0, 0, 0)

    @property
    def information(self) -> Floats:
        """Of the motors' levels, those of the days eliminated, over σ² [motors × motors]."""
        total = self.weight.sum(axis=1)
        return np.asarray(np.diag(self.weight.sum(axis=0)) - self.weight.T @ (self.weight / total[:, None]))

    @cached_property
    def levels(self) -> Floats:
        """Every motor against the mean of those that ran beside others, least squares; NaN of the others [motors]."""
        found = np.full(self.motors.size, np.nan)
        own = self.motors
        found[own] = (self._inverse @ self.pull.sum(axis=0))[own]
        return found - np.nanmean(found) if own.any() else found

    @property
    def level_variance(self) -> Floats:
        """Of every level, over σ² [motors]."""
        return np.maximum(np.diag(self._inverse), 0.0)

    @cached_property
    def _inverse(self) -> Floats:
        return np.asarray(np.linalg.pinv(self.information))


def season(runs: Beside, n_motors: int) -> Season:
    """Sum runs up by day and motor; days with one motor alone tell nothing and are left out."""
    motor, day, event = (np.asarray(each, dtype=np.int64) for each in (runs.motor, runs.day, runs.event))
    days = int(day.max(initial=-1)) + 1
    weight, pull, squares = np.zeros((days, n_motors)), np.zeros((days, n_motors)), np.zeros(days)
    np.add.at(weight, (day, motor), runs.weight)
    total = weight.sum(axis=1)
    mean = np.bincount(day, runs.weight * runs.value, days) / np.maximum(total, _NOTHING)
    off = runs.value - mean[day]
    np.add.at(pull, (day, motor), runs.weight * off)
    np.add.at(squares, day, runs.weight * off**2)
    of_day = np.zeros(days, dtype=np.int64)
    of_day[day] = event
    beside = (weight > 0).sum(axis=1) > 1
    counted = int(beside[day][runs.weight > 0].sum())
    return Season(weight[beside], pull[beside], squares[beside], of_day[beside], counted, runs.noise)


@dataclass(frozen=True)
class Told:
    """What one bench figure told of one target: skill, p corrected for all that was tried, and by how much the target
    rises with one unit of the figure."""

    skill: float
    p_value: float
    slope: float

    @property
    def better(self) -> str:
        """Which motors did better: those with the higher or the lower figure."""
        return "lower" if self.slope > 0 else "higher"

    @property
    def known(self) -> bool:
        """Whether luck alone would hardly have done it."""
        return self.p_value <= KNOWN


def told(seasons: Mapping[str, Season], bench: Floats) -> dict[str, list[Told | None]]:
    """For every target what every bench figure [motors × figures, NaN unknown] told; None where that cannot be said.

    Deterministic. The same motors stand behind all targets, in the same order.
    """
    asked = {name: each for name, each in seasons.items() if each.enough}
    found: dict[str, list[Told | None]] = {name: [None] * bench.shape[1] for name in seasons}
    if not asked:
        return found
    taking_part = np.any([each.motors for each in asked.values()], axis=0)
    value, scale = _standardised(bench[taking_part])
    tried = np.flatnonzero(scale > 0)
    if not tried.size:
        return found
    order = arrangements(int(taking_part.sum()))
    arranged = np.swapaxes(value[order][:, :, tried], 1, 2)
    sums = {name: _Sums.of(each, arranged, taking_part) for name, each in asked.items()}
    p_values = corrected(np.concatenate([each.skill for each in sums.values()], axis=1))
    for at, (name, each) in enumerate(sums.items()):
        of_target = p_values[at * tried.size : (at + 1) * tried.size]
        for figure, skill, p_value, slope in zip(tried, each.skill[0], of_target, each.slope[0], strict=True):
            found[name][figure] = Told(float(skill), float(p_value), float(slope / scale[figure]))
    return found


def _standardised(bench: Floats) -> tuple[Floats, Floats]:
    """Figures off their means in their standard deviations, an unknown one at the mean; and these deviations, 0 for a
    figure known of too few motors or the same for all."""
    known = ~np.isnan(bench)
    count = np.maximum(known.sum(axis=0), 1)
    off = np.where(known, bench - np.where(known, bench, 0).sum(axis=0) / count, 0)
    scale = np.sqrt((off**2).sum(axis=0) / count)
    typical = np.abs(np.where(known, bench, 0)).max(axis=0)
    scale[(known.sum(axis=0) < LEAST_MOTORS) | (scale <= _NOTHING * typical)] = 0
    return np.asarray(off / np.where(scale > 0, scale, 1)), scale


@dataclass(frozen=True)
class _Sums:
    """Skill and slope of every arrangement and figure [arrangements × figures]."""

    skill: Floats
    slope: Floats

    @classmethod
    def of(cls, runs: Season, figure: Floats, taking_part: Bools) -> "_Sums":
        """figure [arrangements × figures × motors], of the motors that take part."""
        weight, pull, events = runs.weight[:, taking_part], runs.pull[:, taking_part], runs.by_event
        mean = figure @ weight.T / weight.sum(axis=1) ** 0.5
        own = (figure**2 @ weight.T - mean**2) @ events.T
        shared = (figure @ pull.T) @ events.T
        others, with_others = own.sum(axis=2, keepdims=True) - own, shared.sum(axis=2, keepdims=True) - shared
        slope = np.where(others > _NOTHING, with_others / np.maximum(others, _NOTHING), 0)
        gained = (2 * slope * shared - slope**2 * own).sum(axis=2)
        whole = np.maximum(own.sum(axis=2), _NOTHING)
        return cls(gained / max(float(runs.squares.sum()), _NOTHING), shared.sum(axis=2) / whole)


def arrangements(n: int) -> Ints:
    """Orders of so many motors, the true one first [arrangements × n]: all where they are few, else by chance."""
    if factorial(n) <= ARRANGEMENTS:
        return np.array(list(permutations(range(n))), dtype=np.int64)
    rng = np.random.default_rng([SEED, n])
    return np.concatenate([np.arange(n)[None], rng.permuted(np.tile(np.arange(n), (ARRANGEMENTS - 1, 1)), axis=1)])


def corrected(statistic: Floats) -> Floats:
    """p of each column for its first row among all rows, corrected for the columns by the minimum p of each row.

    statistic [rows × columns], large is telling; rows are equally likely without a link. Source: Westfall & Young 1993,
    2.6 (recalled).

    >>> corrected(np.array([[4.0, 1.0], [3.0, 2.0], [2.0, 3.0], [1.0, 4.0]])).tolist()
    [0.5, 1.0]
    """
    rows = statistic.shape[0]
    alone = np.empty(statistic.shape)
    rounded = np.round(statistic, 12)  # the same sums in another order must tie
    for column in range(statistic.shape[1]):
        ordered = np.sort(rounded[:, column])
        alone[:, column] = rows - np.searchsorted(ordered, rounded[:, column], side="left")
    least = np.sort(alone.min(axis=1))
    return np.asarray(np.searchsorted(least, alone[0], side="right") / rows)
