"""Whether a run says that something has changed: each run, in order of time, against what the runs before it said.

A fan that fails, another pack or a motor that draws more shows as a run out of its band. One run alone cannot tell
that from a run that was odd, so the fit weighs all of it (`heat_cells.CHANGES`); the next runs decide.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt
from operator import itemgetter

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.heat_cells import (
    CHANGE_SD,
    EVENT_SCALE,
    MOTOR_SCALE,
    NOISE,
    NOISE_LOG_SD,
    PLAIN,
    PRIOR_SD,
    TAU,
    Columns,
)

OUT_OF_98 = 2.326
"""How many sd from its forecast a run lies when it is out of its 98 % band."""
WEIGHED, LAST = 1.0, 3
"""Where no run lies out of it, the oddest of so many last ones is weighed the same way if it lies so many sd off: a
change may begin within the band. Ours."""
MISREAD, MISREAD_SD = 0.03, 0.6
"""Share of readings that are wrong, and the sd of their log rise around what was expected. Ours."""
DOUBTED = 0.5
"""A run less likely than this to have been read rightly is flagged."""
_LEAST = 1e-6
_SIGMA = NOISE * np.exp(NOISE_LOG_SD * np.linspace(-2, 2, 5))


@dataclass(frozen=True)
class Change:
    """A run out of its band: its place among the runs used, its motor and its event; since: runs used of that motor or
    that event after it; rightly: chance that it was read rightly, if something can have changed; out: whether it lies
    out of its 98 % band, or is the oddest of the last runs in it."""

    at: int
    motor: int
    event: int
    since: int
    rightly: float
    out: bool


def rightly_odds(off: float | Floats, variance: float | Floats) -> Floats:
    """Chance that readings of log rise so far off were read rightly, by what was expected of them."""
    right, wrong = (1 - MISREAD) * _density(off, variance), MISREAD * _density(off, variance + MISREAD_SD**2)
    return np.asarray(right / (right + wrong))


def _density(off: float | Floats, variance: float | Floats) -> Floats:
    return np.asarray(np.exp(-(off**2) / variance / 2) / np.sqrt(variance))


@dataclass(frozen=True)
class _Known:
    """What the runs so far say, at every scatter [s]: coefficients [s × d] off their priors, their covariance
    [s × d × d], and the scatter's weight [s]. Columns: the plain ones, the motors, the event of today."""

    mean: Floats
    covariance: Floats
    weight: Floats

    def of_event(self, column: int) -> "_Known":
        """At another event, of which nothing is known yet."""
        mean, covariance = self.mean.copy(), self.covariance.copy()
        mean[:, column], covariance[:, column], covariance[:, :, column] = 0, 0, 0
        covariance[:, column, column] = EVENT_SCALE**2
        return replace(self, mean=mean, covariance=covariance)

    def freed(self, columns: Sequence[int]) -> "_Known":
        """Where the levels of a motor and an event may have changed, one or the other."""
        covariance = self.covariance.copy()
        for column in columns:
            covariance[:, column, column] += CHANGE_SD**2 / len(columns)
        return replace(self, covariance=covariance)

    def judged(self, row: Floats, off: float, reading_var: float) -> tuple[float, float]:
        """How far a run lies from its forecast, and the forecast's variance."""
        mean = self.mean @ row
        variance = row @ self.covariance @ row + _SIGMA**2 + reading_var
        middle = float(self.weight @ mean)
        return off - middle, float(self.weight @ (variance + mean**2) - middle**2)

    def told(self, row: Floats, off: float, reading_var: float, rightly: float) -> "_Known":
        """After a run that counts by the chance that it was read rightly."""
        reach, beside = self.covariance @ row, off - self.mean @ row
        scatter = (_SIGMA**2 + reading_var) / max(rightly, _LEAST)
        variance = reach @ row + scatter
        gain = reach / variance[:, None]
        likely = self.weight * np.exp(-(beside**2) / variance / 2) / np.sqrt(variance)
        return _Known(
            self.mean + gain * beside[:, None],
            self.covariance - gain[:, :, None] * reach[:, None],
            likely / likely.sum(),
        )


def newest_change(runs: Columns, motor: Ints) -> Change | None:
    """The newest run out of its 98 % band that was not misread and that the next one does not take back; where there is
    none, the oddest of the last ones.

    Recursive least squares (Bishop, 3.3.1) at the middle time constant and spreads, the scatter weighed by what runs
    so far say of it. A run out of its band frees its motor and its event; when a run after it then lies where nothing
    had changed, it was that run alone.
    """
    off, day = runs.off[:, TAU.size // 2], PLAIN + runs.motors
    known, fallback, kept = _beforehand(runs.motors), None, _Newest()
    newest, within = kept, list[tuple[float, _Newest]]()
    for at, event in enumerate(runs.event):
        run = np.append(runs.fixed[at, :day], 1.0), float(off[at]), float(runs.reading_var[at])
        if at and event != runs.event[at - 1]:
            known, fallback = known.of_event(day), None
        if fallback is not None and _far(*known.judged(*run)) > OUT_OF_98 >= _far(*fallback.judged(*run)):
            known, fallback, newest = fallback, None, kept
        beside, variance = known.judged(*run)
        rightly, free = float(rightly_odds(beside, variance)), float(rightly_odds(beside, variance + CHANGE_SD**2))
        if _far(beside, variance) > OUT_OF_98 and free > DOUBTED:
            fallback, kept = known, newest
            known, rightly, newest = known.freed((PLAIN + motor[at], day)), free, _Newest(at, free)
        elif at and free > DOUBTED:
            within.append((_far(beside, variance), _Newest(at, free, out=False)))
        known = known.told(*run, rightly)
    return (_oddest(within) if newest.at is None else newest).change(motor, runs.event)


def _oddest(within: Sequence[tuple[float, "_Newest"]]) -> "_Newest":
    """Of the last runs in their bands, told by how far they lie off, the furthest if that is far enough."""
    far, run = max(within[-LAST:], default=(0.0, _Newest()), key=itemgetter(0))
    return run if far > WEIGHED else _Newest()


def _beforehand(motors: int) -> _Known:
    variances = np.diag([*PRIOR_SD**2, *[MOTOR_SCALE**2] * motors, EVENT_SCALE**2])
    weight = np.exp(-((np.log(_SIGMA / NOISE) / NOISE_LOG_SD) ** 2) / 2)
    start = np.zeros((_SIGMA.size, len(variances)))
    return _Known(start, np.repeat(variances[None], _SIGMA.size, axis=0), weight / weight.sum())


def _far(beside: float, variance: float) -> float:
    return abs(beside) / sqrt(variance)


@dataclass(frozen=True)
class _Newest:
    """A run that may have begun a change, as in `Change`; at None: none so far."""

    at: int | None = None
    rightly: float = 1.0
    out: bool = True

    def change(self, motor: Ints, event: Ints) -> Change | None:
        if self.at is None:
            return None
        own, day = motor[self.at], event[self.at]
        since = (motor[self.at + 1 :] == own) | (event[self.at + 1 :] == day)
        return Change(self.at, int(own), int(day), int(since.sum()), self.rightly, self.out)


def with_change(runs: Columns, change: Change) -> Columns:
    """The same runs with three columns more: that motor since then, that event since then, that run alone."""
    at = np.arange(runs.event.size)
    motor = runs.fixed[:, PLAIN + change.motor] * (at >= change.at)
    event = (runs.event == change.event) * (at >= change.at)
    return replace(runs, fixed=np.column_stack([runs.fixed, motor, event, at == change.at]))
