"""One tester over its bench sessions: how well it repeats itself now and before, and its check motor against history.

Works on readings of one figure at one test voltage, on the scale of the engine (percent where MEASURED says relative),
brought to equal warmth with the slope that the engine learns from them.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Bools, Floats, Ints
from pitbench.figures.conditions import RunConditions, equal_warmth
from pitbench.figures.control import chart
from pitbench.figures.criteria import MEASURED
from pitbench.figures.estimate import Estimate, Prior, estimate
from pitbench.figures.layout import Layout
from pitbench.figures.repeatability import ClampingSpread, Repeatability, Shares, clamping_spread, repeatability, shares

LEAST_REPEATS = 3
"""Repeats in the newest session from which its own scatter is held against the usual one. Ours."""


@dataclass(frozen=True)
class BenchReadings:
    """Readings [n] of figure `name` by one tester: value in its unit, motor (one build at one timing mark), session.

    Sessions count from 0, the oldest; the highest is the newest. alike: whether the motor is of the class whose motors
    are set against each other. conditions: of the same runs, for warmth.
    """

    name: str
    value: Sequence[float]
    motor: Sequence[int]
    session: Sequence[int]
    alike: Sequence[bool]
    conditions: RunConditions


@dataclass(frozen=True)
class Scatter:
    """σ of one reading in the newest session and before it, None without a repeat; how far clampings lie apart, None
    before two motors were in two sessions; where scatter comes from.

    shares: of motors of one class. noisier: whether the newest session scatters beyond doubt more than those before.
    """

    now: Repeatability | None
    before: Repeatability | None
    clampings: ClampingSpread | None
    shares: Shares | None
    noisier: bool


@dataclass(frozen=True)
class CheckMotor:
    """The check motor's newest session: shift from the mean of the `sessions` before, and drift of its moving average.

    Each with the limit it passes 3 times in 1,000 if nothing changed; means: of every session, the oldest first.
    """

    sessions: int
    shift: float
    shift_limit: float
    drift: float
    drift_limit: float
    means: tuple[float, ...]

    @property
    def off(self) -> bool:
        """Whether the newest session alone is out of line."""
        return abs(self.shift) > self.shift_limit

    @property
    def drifting(self) -> bool:
        """Whether the last sessions together are."""
        return abs(self.drift) > self.drift_limit


def scatter(readings: BenchReadings) -> Scatter:
    """Repeatability now and before, and spread of clampings, at equal warmth. One reading or more."""
    value = at_equal_warmth(readings)
    session, cell = np.array(readings.session), _cells(readings)
    newest = session == session.max()
    criterion = MEASURED[readings.name]
    noise = criterion.noise
    before = repeatability(value[~newest], cell[~newest].tolist(), noise) if (~newest).any() else None
    usual = noise if before is None else before.sd
    now = repeatability(value[newest], cell[newest].tolist(), usual)
    alone = repeatability(value[newest], cell[newest].tolist())
    noisier = (
        before is not None and alone is not None and alone.freedom >= LEAST_REPEATS and alone.low90 > before.high90
    )
    sigma = usual if now is None else now.sd
    apart = clamping_spread(value, readings.motor, readings.session, sigma, criterion.clamping_sd)
    alike = np.array(readings.alike)
    of_class = shares(value[alike], np.array(readings.motor)[alike].tolist(), session[alike].tolist())
    return Scatter(now, before, apart, of_class, noisier)


def check_motor(readings: BenchReadings, motor: int) -> CheckMotor | None:
    """The newest session of `motor` against its sessions before; None if it was not in the newest or in none before.

    A session mean varies by the spreads of sessions and clampings and by σ over its runs. All are learned from the
    sessions before, from all motors: what the newest session did must not widen its own limits.
    """
    session = np.array(readings.session)
    newest = int(session.max())
    own = np.array(readings.motor) == motor
    seen = np.unique(session[own])
    if newest not in seen or seen.size < 2:
        return None
    value, before = at_equal_warmth(readings), session < newest
    found = _learned(readings, before, np.zeros((value.size, 0)), np.ones(value.size), (), value)
    count = np.array([np.sum(own & (session == each)) for each in seen])
    means = np.array([value[own & (session == each)].mean() for each in seen])
    variance = found.spreads[1] ** 2 + found.spreads[2] ** 2 + found.noise**2 / count
    single, moving = chart(means, variance, weight=1.0), chart(means, variance)
    return CheckMotor(
        sessions=seen.size - 1,
        shift=float(single.smoothed[-1] - single.centre),
        shift_limit=float(single.limit[-1]),
        drift=float(moving.smoothed[-1] - moving.centre),
        drift_limit=float(moving.limit[-1]),
        means=tuple(means.tolist()),
    )


def at_equal_warmth(readings: BenchReadings) -> Floats:
    """Values [n] on the scale of the engine, KV at 25 °C; without any thermometer at equal place in the session."""
    value = np.array(readings.value, dtype=float)
    value = 100 * np.log(value) if MEASURED[readings.name].relative else value
    if readings.name != "kv_rpm_per_v":
        return value
    warmth = equal_warmth(readings.conditions)
    every = np.ones(value.size, dtype=bool)
    found = _learned(readings, every, warmth.column[:, None], warmth.weight, (warmth.slope,), value)
    return np.asarray(value - warmth.column * found.slopes[0])


def _learned(
    readings: BenchReadings,
    which: Bools,
    columns: Floats,
    weight: Floats,
    slopes: tuple[tuple[float, float], ...],
    value: Floats,
) -> Estimate:
    """The engine on some of the readings, motors and sessions crossed, a clamping for each motor in each session;
    motors of several classes may lie far apart."""
    levels = tuple(_numbered(np.array(each)[which]) for each in (readings.motor, readings.session))
    sizes = tuple(int(level.max()) + 1 for level in levels)
    criterion = MEASURED[readings.name]
    apart = max(criterion.motor_sd, float(np.std(value[which])))
    layout = Layout(
        value[which], levels, sizes, weight[which], columns[which], clamping=_numbered(_cells(readings)[which])
    )
    scales = (apart, criterion.session_sd, criterion.clamping_sd)
    return estimate(layout, Prior(criterion.noise, scales, 0.0, slopes))


def _cells(readings: BenchReadings) -> Ints:
    """One number for every motor in a session."""
    motor, session = _numbered(np.array(readings.motor)), _numbered(np.array(readings.session))
    return np.asarray(motor * (session.max() + 1) + session)


def _numbered(labels: Ints) -> Ints:
    return np.asarray(np.unique(labels, return_inverse=True)[1])
