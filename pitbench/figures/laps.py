"""The pace of one track run as one number: the mean of the better half of its laps, or what comes nearest to it.

The only place that chooses between laps, totals and a best lap. Seconds a lap; scatter in percent of a lap. Runs with
an incident have no pace: whoever calls leaves them out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

LEAST_LAPS = 4
"""From so many laps on there is a better half to speak of. Ours."""
RUN_SD, LAP_SD, USUAL_LAPS = 0.4, 1.0, 20
"""Percent: how far runs of one motor lie apart whatever their laps, how far the better laps of one run do; laps of a
usual run. Common practice, no source."""


@dataclass(frozen=True)
class Kind:
    """How a pace was come by: how far it lies from the better half of the laps, percent, and how much more it scatters.

    offset, offset_sd: mean over runs, which differs from driver to driver and is learned; extra_sd: from run to run.
    """

    offset: float
    offset_sd: float
    extra_sd: float


LAPS, BEST_AND_AVERAGE, AVERAGE, BEST = "laps", "best and average", "average", "best"
KINDS = {
    LAPS: Kind(0.0, 0.0, 0.0),
    BEST_AND_AVERAGE: Kind(0.0, 0.3, 0.5),
    AVERAGE: Kind(1.5, 0.5, 1.0),
    BEST: Kind(-1.2, 0.5, 0.5),
}
"""Ours, from simulated runs of 12 to 27 laps by drivers of all kinds, which the tests repeat."""
TOWARDS_BEST = 0.55
"""How far the better half lies from the average lap towards the best one. From the same runs."""


@dataclass(frozen=True)
class Reading:
    """The pace of one run in s a lap, its kind (a key of KINDS), and its weight: 1 for 20 laps, all known."""

    lap_s: float
    kind: str
    weight: float


def better_half_mean(laps: Sequence[float]) -> float:
    """Mean of the faster half of the laps, the middle one of an odd number included. ValueError without a lap.

    Mistakes and traffic make laps slower, never faster: they fall out of it.

    >>> better_half_mean([20.0, 26.5, 20.4, 20.2, 21.0])
    20.2
    """
    if not laps:
        raise ValueError("a pace needs one lap or more")
    better = sorted(laps)[: ceil(len(laps) / 2)]
    return sum(better) / len(better)


def read(
    lap_times_s: Sequence[float] = (),
    *,
    laps: int | None = None,
    run_time_s: float | None = None,
    best_lap_s: float | None = None,
    average_lap_s: float | None = None,
) -> Reading | None:
    """The pace of one run from whatever was written down of it, the laps first; None if nothing tells it.

    Without four laps: best and average together, else the average (or run time ÷ laps), else the best alone. A best
    lap above the average is left out.

    >>> read([20.1, 20.2, 23.0, 20.3]).lap_s, read(laps=15, run_time_s=303.0).lap_s
    (20.15, 20.2)
    >>> read(best_lap_s=20.0, average_lap_s=21.0)
    Reading(lap_s=20.45, kind='best and average', weight=0.5098)
    """
    if len(lap_times_s) >= LEAST_LAPS:
        return Reading(better_half_mean(lap_times_s), LAPS, _weight(LAPS, len(lap_times_s)))
    count, average = laps or None, average_lap_s
    if average is None and count and run_time_s:
        average = run_time_s / count
    best = min([*lap_times_s, best_lap_s or float("inf")])
    if average is None and lap_times_s:
        count, average = len(lap_times_s), sum(lap_times_s) / len(lap_times_s)
    if average is None:
        return None if best == float("inf") else Reading(best, BEST, _weight(BEST, count))
    if best > average:
        return Reading(average, AVERAGE, _weight(AVERAGE, count))
    between = average - TOWARDS_BEST * (average - best)
    return Reading(between, BEST_AND_AVERAGE, _weight(BEST_AND_AVERAGE, count))


def _weight(kind: str, count: int | None) -> float:
    """Variance of a usual run ÷ variance of this one."""

    def variance(laps: int) -> float:
        return RUN_SD**2 + LAP_SD**2 / ceil(laps / 2)

    return variance(USUAL_LAPS) / (variance(count or USUAL_LAPS) + KINDS[kind].extra_sd ** 2)
