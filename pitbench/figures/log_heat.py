"""What the motor temperature in load logs tells about heat: how fast the can warms, and what it finished at.

A probe in the motor is neither the can nor the winding. How much warmer and how much slower it reads is the same for
all logs of a class, so many logs do not wear that doubt away. The law is that of `heating`; how it enters the forecast
stands in `heat_cells`. Temperatures in °C, times in s from the start of the run.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.cooling import CanReadings, Finish, Rest, finish
from pitbench.figures.heat_cells import TAU
from pitbench.figures.heating import heated, left

SLOWER, SLOWER_SD = 0.25, 0.35
"""Log of the time constant a probe shows over the one that carries the can's rise to other run lengths, and its sd.
Ours, from a physical simulation (tests/benchmarks/unseen_heat_days.py, the worlds for choosing), as are all here."""
COOLER, COOLER_SD = -0.14, 0.10
"""Log of the can's rise at one minute over the probe's at the finish, and its sd."""
OWN_SD = 0.2
"""How far the time constants of two logs lie apart, sd of log: laps and air of every run."""
READ_K, SHAPE = 1.0, 0.02
"""What a point of a curve is off, in K, and as a share of the rise at its end."""
LEAST_RISE_K, LEAST_POINTS = 8.0, 4
_FINE = np.exp(np.linspace(np.log(10.0), np.log(4000.0), 121))


@dataclass(frozen=True)
class LoggedCan:
    """A motor temperature over one run: seconds since it started and °C, both [k], rising in time, the first near 0;
    ambient in °C."""

    after_s: Sequence[float]
    temp_c: Sequence[float]
    ambient_c: float


def told_of_tau(curves: Sequence[LoggedCan]) -> Floats:
    """Log weight of every time constant of the grid from the curves of one class [tau], 0 for the likeliest.

    Each is fitted with a level of its own; what its time constants are worth is spread over what logs lie apart, all
    together over what a probe differs from the can. Curves too short or too flat tell nothing.
    """
    apart = np.log(_FINE)[:, None] - np.log(_FINE)
    own = np.exp(-((apart / OWN_SD) ** 2) / 2)
    weights = [weight for curve in curves if (weight := _weights(curve)) is not None]
    if not weights:
        return np.zeros(TAU.size)
    found = np.sum([np.log(own @ weight) for weight in weights], axis=0)
    shifted = (np.log(_FINE) - np.log(TAU)[:, None] - SLOWER) / SLOWER_SD
    told = np.log(np.exp(-(shifted**2) / 2) @ np.exp(found - found.max()))
    return np.asarray(told - told.max())


def _weights(curve: LoggedCan) -> Floats | None:
    """How well every time constant carries a curve, its level the best for each; None where it tells nothing."""
    after, temp = np.asarray(curve.after_s, dtype=float), np.asarray(curve.temp_c, dtype=float)
    if after.size < LEAST_POINTS or temp[-1] - temp[0] < LEAST_RISE_K:
        return None
    over = temp[0] - curve.ambient_c
    shape = heated(after[1:], _FINE[:, None])
    own = temp[1:] - curve.ambient_c - over * left(after[1:], _FINE[:, None])
    level = (own * shape).sum(axis=1) / (shape**2).sum(axis=1)
    variance = READ_K**2 + (SHAPE * (temp[-1] - temp[0])) ** 2
    log = -((own - level[:, None] * shape) ** 2).sum(axis=1) / variance / 2
    return np.asarray(np.exp(log - log.max()))


def finish_by_log(curve: LoggedCan, rest: Rest) -> Finish:
    """The finish of a run nobody read the can of, by the probe at its end; rest: how the class cools."""
    rise = (curve.temp_c[-1] - curve.ambient_c) * float(np.exp(COOLER))
    found = finish(CanReadings([60.0], [curve.ambient_c + rise], curve.ambient_c), rest)
    doubt = COOLER_SD * max(rise, 0.0)
    return replace(found, sd_k=np.hypot(found.sd_k, doubt), probe_k=doubt)
