"""Finish temperature: thermometer readings after a run, brought to one minute after the finish; how cans cool at rest.

Earlier than a minute the can is still heated by the winding, so one minute is the agreed moment. How long a can takes
to cool is learned over the runs that have several readings, on a fixed line of time constants. Nothing else brings a
reading to a minute. Temperatures in °C, times in s after the finish.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Bools, Floats
from pitbench.figures.heating import left

FINISH_S = 60.0
EARLIEST_S = 30.0
"""A reading taken earlier counts as taken now: the can is then still warming. Ours, from one physical simulation."""
UNKNOWN_DELAY_S, UNKNOWN_DELAY_SD_S = 65.0, 30.0
READING_SD_K = 1.0
"""Noise of one reading of a hand-held thermometer on a can. Common practice, no source."""
REST_S, REST_SD = 480.0, 0.4
"""Time constant of a can at rest, median in s, and sd of its logarithm. Ours, from one physical simulation."""
RISE_K, RISE_SD_K = 45.0, 25.0
"""What a finish is without readings, K over ambient. Wide; it keeps a reading an hour late from meaning anything."""
TOLD_LOG_SD = 0.35
LEAST_RISE_K = 3.0

TAU = REST_S * np.exp(REST_SD * np.linspace(-3.2, 3.2, 65))
_OFF = np.log(TAU / REST_S)
_RUN_SPREAD = np.array([0.05, 0.1, 0.2, 0.35])
_RUN_SPREAD_SCALE = 0.15
"""Spread of log time constants between runs of one class: nodes, and scale of its half-normal prior. Ours."""


@dataclass(frozen=True)
class CanReadings:
    """Readings of one can at rest: seconds after the finish (NaN: unknown) and °C, both [n]; ambient in °C."""

    after_s: Sequence[float]
    temp_c: Sequence[float]
    ambient_c: float


@dataclass(frozen=True)
class Rest:
    """Chances [nodes] of the time constants TAU for one more run at rest; runs: how many it was learned from."""

    weight: Floats
    runs: int


@dataclass(frozen=True)
class Finish:
    """What is known of one finish: a mixture over time constants [m], each with a normal rise at one minute.

    weight: chances, sum 1; tau_s; rise_k and sd_k: mean and sd of the can over ambient at one minute.
    """

    weight: Floats
    tau_s: Floats
    rise_k: Floats
    sd_k: Floats
    ambient_c: float

    @property
    def temp_c(self) -> float:
        """Finish temperature in °C, the mean."""
        return self.ambient_c + float(self.weight @ self.rise_k)

    @property
    def doubt_k(self) -> float:
        """Its standard deviation in K."""
        mean = self.temp_c - self.ambient_c
        return float(np.sqrt(self.weight @ (self.sd_k**2 + (self.rise_k - mean) ** 2)))

    @property
    def told(self) -> bool:
        """Whether the readings tell a finish temperature: over ambient, and not so late that all could have been."""
        return tells(self.temp_c - self.ambient_c, self.doubt_k)


def tells(rise_k: float, doubt_k: float) -> bool:
    """Whether a rise with its sd, both K, says anything about the heat of a run."""
    return rise_k >= LEAST_RISE_K and doubt_k <= TOLD_LOG_SD * rise_k


def _normal(z: Floats) -> Floats:
    return np.asarray(np.exp(-(z**2) / 2))


def _shares(weight: Floats) -> Floats:
    return np.asarray(weight / weight.sum())


def learn(runs: Sequence[CanReadings] = ()) -> Rest:
    """Time constant of the next run at rest, learned over the runs of one class, still air and fan apart.

    Runs with fewer than two readings at known times tell nothing. Every run has its own constant, normal in log around
    that of the class; class constant and spread between runs on a grid. Without runs: lognormal, 8 min, sd 0.4.
    """
    likely = [_tau_likelihood(run) for run in runs if _known(run).sum() >= 2]
    total = np.zeros(TAU.size)
    for spread in _RUN_SPREAD:
        kernel = _normal((_OFF[:, None] - _OFF) / spread)
        kernel = kernel / kernel.sum(axis=0)
        of_class = _normal(_OFF / np.sqrt(REST_SD**2 - spread**2))
        of_class = of_class / of_class.sum() * _normal(spread / _RUN_SPREAD_SCALE)
        for run in likely:
            of_class = of_class * (run @ kernel)
        total += kernel @ of_class
    return Rest(_shares(total), len(likely))


def _known(run: CanReadings) -> Bools:
    return np.asarray(~np.isnan(np.asarray(run.after_s, dtype=float)))


def _tau_likelihood(run: CanReadings) -> Floats:
    """Likelihood of every time constant [nodes], largest 1."""
    known = _known(run)
    evidence, _, _ = _rises(np.asarray(run.after_s, float)[known, None], np.asarray(run.temp_c, float)[known], run, TAU)
    return np.asarray(np.exp(evidence - evidence.max()))


def finish(run: CanReadings, rest: Rest) -> Finish:
    """The finish temperature from any number of readings, and how this can cools.

    A delay under 30 s counts as 30 s, an unknown one as 65 ± 30 s. Rise at one minute = rise at d × e^((d − 60)/τ); for
    every τ the rise is a conjugate normal (noise 1 K). The same readings in any order give the same finish.
    """
    delay, chance = _unknown_delays() if not _known(run).all() else (np.array([0.0]), np.array([1.0]))
    after = np.asarray(run.after_s, dtype=float)[:, None, None]
    after = np.where(np.isnan(after), delay[:, None], after) + 0 * TAU
    evidence, rise, sd = _rises(after, np.asarray(run.temp_c, dtype=float), run, TAU)
    weight = chance[:, None] * rest.weight * np.exp(evidence - evidence.max())
    tau = np.broadcast_to(TAU, weight.shape)
    return Finish(_shares(weight.ravel()), tau.ravel(), rise.ravel(), sd.ravel(), run.ambient_c)


def guessed(temp_c: float, doubt_k: float, ambient_c: float, rest: Rest) -> Finish:
    """A finish nobody measured, from its temperature and sd, as a forecast gives them."""
    same = np.ones(TAU.size)
    return Finish(rest.weight, TAU, (temp_c - ambient_c) * same, doubt_k * same, ambient_c)


def _unknown_delays() -> tuple[Floats, Floats]:
    z = np.linspace(-2, 2, 9)
    return np.maximum(UNKNOWN_DELAY_S + UNKNOWN_DELAY_SD_S * z, EARLIEST_S), _shares(_normal(z))


def _rises(after: Floats, temp: Floats, run: CanReadings, tau: Floats) -> tuple[Floats, Floats, Floats]:
    """Log evidence, mean and sd of the rise at one minute for readings [n × …]: one conjugate normal an element."""
    share = left(np.maximum(after, EARLIEST_S) - FINISH_S, tau)
    rise = (temp - run.ambient_c).reshape(-1, *[1] * (share.ndim - 1))
    known = 1 / READING_SD_K**2
    precision = 1 / RISE_SD_K**2 + known * (share**2).sum(axis=0)
    pull = RISE_K / RISE_SD_K**2 + known * (share * rise).sum(axis=0)
    evidence = (pull**2 / precision - known * (rise**2).sum(axis=0) - np.log(precision)) / 2
    return evidence, pull / precision, 1 / np.sqrt(precision)
