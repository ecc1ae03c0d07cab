"""What more measuring would do: runs to settle, and the one reading that would tell most.

Simulated readings reweight the draws. What a reading is about is one number of every draw (a lead, or one figure of one
motor), so the draws are sorted by it into bins of equal count once and the futures worked out on the bins. Source:
preposterior analysis (Raiffa & Schlaifer, Applied Statistical Decision Theory, 1961); Gauss-Hermite quadrature.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.chances import clear_share

BINS = 24
READING_NODES = 5
STEPS = (1, 2, 3, 4, 6, 8, 12, 16, 24, 32)
TOO_CLOSE = 0.90
"""Probability that the measurable lead is inside the margin from which more runs are pointless. Ours."""
LIKELY = 0.5
WORTH_A_READING = 0.01
"""Gain in chance below which no reading is worth naming. Ours."""


@dataclass(frozen=True)
class Bins:
    """Draws sorted by what a reading would measure, for r readings: centre of every bin [r × b], and means of whatever
    was asked [r × b × columns]."""

    centre: Floats
    mean: Floats


def binned(about: Floats, table: Floats) -> Bins:
    """Sort draws by each of `about` [r × draws] into bins of equal count; table [draws × columns]."""
    draws = about.shape[1]
    count = min(BINS, draws)
    order = np.argsort(about, axis=1)
    starts = (np.arange(count) * draws) // count
    sizes = np.diff(np.append(starts, draws))
    centre = np.add.reduceat(np.take_along_axis(about, order, axis=1), starts, axis=1) / sizes
    return Bins(centre, np.add.reduceat(table[order], starts, axis=1) / sizes[:, None])


def futures(bins: Bins, noise: Floats) -> tuple[Floats, Floats]:
    """Means after a reading with normal noise [r] [r × futures × columns], and each future's probability [futures].

    noise 0: measured exactly.
    """
    readings, count = bins.centre.shape
    if not noise.any():
        return bins.mean, np.full(count, 1 / count)
    nodes, weights = _nodes()
    sd = noise[:, None, None]
    reading = (bins.centre[:, :, None] + sd * nodes).reshape(readings, -1, 1)
    likelihood = -0.5 * ((reading - bins.centre[:, None, :]) / sd) ** 2
    posterior = np.exp(likelihood - likelihood.max(axis=2, keepdims=True))
    posterior /= posterior.sum(axis=2, keepdims=True)
    return posterior @ bins.mean, np.tile(weights / weights.sum(), count) / count


@cache
def _nodes() -> tuple[Floats, Floats]:
    return np.polynomial.hermite_e.hermegauss(READING_NODES)


@dataclass(frozen=True)
class Settle:
    """runs of each of the two leaders if why is "runs"; else why: done, too_close, bench_cannot_tell, over_32."""

    runs: int | None
    why: str


def further_runs(within: float, between: float, before: Ints, counts: Ints, session: float = 0.0) -> Floats:
    """Noise variance [k] of an independent reading that says as much as `counts` [k] further runs of each motor.

    The motors' runs are summed up: two read a difference. within: σ² of one reading; between: variance from clamping
    to clamping; before [motors]: runs of each in the clamping that is gone on with, which k runs turn from a mean of n
    into one of n + k, with 0 the clamping is a new one; session: variance of what all readings of the session share.

    >>> further_runs(1.0, 0.0, np.array([2, 2]), np.array([1, 4])).round(3).tolist()
    [2.0, 0.5]
    """
    known = 1 / (session + (between + within / before).sum()) if before.all() else 0.0
    after = session + (between + within / (before[:, None] + counts)).sum(axis=0)
    return np.asarray(1 / np.maximum(1 / after - known, 1e-12))


def runs_to_settle(
    lead: Floats, differences: Floats, variance: Floats, best: Floats, score: Floats, margin: float, done: bool
) -> Settle:
    """More bench runs of each of the two leaders until the verdict is clear at least half the time.

    lead [draws]: score of the first less the second; differences [draws × figures]: the same of every figure that a
    bench run measures; variance [figures × STEPS]: of reading them in so many runs (`further_runs`); best, score
    [draws × motors]. The measurable lead is the part of the lead that is linear in the differences.
    """
    if done:
        return Settle(None, "done")
    measurable, slopes = _measurable(lead, differences)
    if float((np.abs(measurable) < margin).mean()) >= TOO_CLOSE:
        return Settle(None, "too_close")
    bins, n_motors = binned(measurable[None, :], np.concatenate([best, score], axis=1)), best.shape[1]

    def likely(sd: float) -> bool:
        mean, probability = futures(bins, np.array([sd]))
        return clear_share(mean[0, :, :n_motors], mean[0, :, n_motors:], probability, margin) >= LIKELY

    if not likely(0.0):
        return Settle(None, "bench_cannot_tell")
    sd = np.sqrt(slopes**2 @ variance).tolist()
    if not likely(sd[-1]):
        return Settle(None, "over_32")
    return Settle(next(k for k, each in zip(STEPS, sd, strict=True) if likely(each)), "runs")


def _measurable(lead: Floats, differences: Floats) -> tuple[Floats, Floats]:
    """Least squares of the lead on the differences: fitted lead [draws] and slopes [figures]."""
    columns = differences - differences.mean(axis=0)
    if not columns.shape[1]:
        return np.full_like(lead, lead.mean()), np.zeros(0)
    inner = columns.T @ columns
    slopes = np.linalg.lstsq(inner, columns.T @ (lead - lead.mean()), rcond=None)[0]
    return lead.mean() + columns @ slopes, slopes


def chances_after(readings_of: Floats, noise: Floats, best: Floats) -> Floats:
    """Mean, over simulated readings, of the highest chance of best afterwards [r].

    readings_of [r × draws]: one figure of one motor each, noise [r]; best [draws × motors].
    """
    chance, probability = futures(binned(readings_of, best), noise)
    return np.asarray(chance.max(axis=2) @ probability)
