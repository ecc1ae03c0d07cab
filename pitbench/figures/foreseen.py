"""Where one more reading should lie, before it is read: from its own clamping, its session, its motor and its class.

A reading is class + motor + session + clamping + noise, each normal, so that what is known of one of them is a mean
and a variance and two readings of it are taken together by precision (conjugate normal, Gelman et al., Bayesian Data
Analysis, 2.5). One that does not fit the others counts less: min(1, (2.5/|z|)⁴), as in the engine, begun from the
median, so that one wild reading does not hide itself. Without the engine and without numpy: a form asks between two
keys.
"""

from collections.abc import Sequence
from statistics import median
from typing import NamedTuple

FITS = 2.5
"""Standardised residual from which a reading counts less. Ours, as in the engine."""
OF_A_MEDIAN = 1.3
"""How much less a median of three or more tells than their mean; π/2 for many. Ours, for few."""
FEW = 4
_NORMAL = 1.4826
"""A median absolute deviation of normal values times this is their sd (Rousseeuw, Croux 1993, from memory)."""


class Normal(NamedTuple):
    """A mean and a variance, in the unit of the figure and its square."""

    mean: float
    var: float


class Spreads(NamedTuple):
    """Variances of one figure: of a reading, between clampings of a session, sessions, motors of a class."""

    noise: float
    clamping: float
    session: float
    motor: float


def lot_of(values: Sequence[float], noise: float) -> list[Normal]:
    """Readings of one clamping as one: their median, or the mean of two; two that contradict each other stay two.

    >>> lot_of([42.0, 42.2], 0.02), [round(each.mean) for each in lot_of([42.0, 24.1], 0.02)]
    ([Normal(mean=42.1, var=0.01)], [42, 24])
    """
    n = len(values)
    if n == 2 and (values[0] - values[1]) ** 2 > 2 * (4**2) * noise:
        return [Normal(value, noise) for value in values]
    return [Normal(median(values), noise * (OF_A_MEDIAN if n > 2 else 1.0) / n)] if n else []


def level(prior: Normal, read: Sequence[Normal]) -> Normal:
    """What readings of one level with these variances say of it, on top of what was believed.

    >>> level(Normal(0.0, 1.0), [Normal(2.0, 1.0)]), level(Normal(0.0, 1.0), [])
    (Normal(mean=1.0, var=0.5), Normal(mean=0.0, var=1.0))
    """
    if not read:
        return prior
    if len(read) == 1:
        ((value, var),) = read
        apart = (value - prior.mean) ** 2 / (var + prior.var)
        return _taken(prior, read, [_weight(apart)])
    means = [mean for mean, _ in read]
    middle = median([prior.mean, *means] if len(read) == 2 else means)
    if (all_fit := _if_all_fit(prior, read, middle)) is not None:
        return all_fit
    weights = [_weight((mean - middle) ** 2 / (2 * var)) for mean, var in read]
    for _ in range(2):
        precision, summed = _sums(prior, read, weights)
        before, weights = weights, []
        for (mean, var), weight in zip(read, before, strict=True):
            rest = precision - weight / var
            off = mean - (summed - weight * mean / var) / rest
            weights.append(_weight(off * off / (var + 1 / rest)))
        if weights == before:
            return Normal(summed / precision, 1 / precision)
    return _taken(prior, read, weights)


def _if_all_fit(prior: Normal, read: Sequence[Normal], middle: float) -> Normal | None:
    """The usual case, without weights: each fits the middle and, left out, all the others."""
    fits = FITS**2
    precision, summed = 1 / prior.var, prior.mean / prior.var
    for mean, var in read:
        if (mean - middle) ** 2 / (2 * var) > fits:
            return None
        precision += 1 / var
        summed += mean / var
    for mean, var in read:
        rest = precision - 1 / var
        off = mean - (summed - mean / var) / rest
        if off * off / (var + 1 / rest) > fits:
            return None
    return Normal(summed / precision, 1 / precision)


def _weight(z2: float) -> float:
    return 1.0 if z2 <= FITS**2 else (FITS**2 / z2) ** 2


def _sums(prior: Normal, read: Sequence[Normal], weights: Sequence[float]) -> tuple[float, float]:
    precision, summed = 1 / prior.var, prior.mean / prior.var
    for (mean, var), weight in zip(read, weights, strict=True):
        precision += weight / var
        summed += weight * mean / var
    return precision, summed


def _taken(prior: Normal, read: Sequence[Normal], weights: Sequence[float]) -> Normal:
    precision, summed = _sums(prior, read, weights)
    return Normal(summed / precision, 1 / precision)


def foreseen(before: Normal, here: Sequence[Normal], noise: float) -> Normal:
    """One more reading of a motor in a session.

    before: where it stands in this clamping as its class, its other sessions and the other motors of this one say;
    here: what it read in this one, the variance of each that of the reading alone.

    >>> foreseen(Normal(0.0, 1e9), [Normal(3.0, 0.5)], 0.5)
    Normal(mean=3.0, var=1.0)
    """
    now = level(before, here)
    return Normal(round(now.mean, 6), round(now.var + noise, 9))


def learned(believed: float, off: Sequence[float], worth: float = 4.0) -> float:
    """A variance as believed and as seen: `off` are deviations from their own centre, as free as those of many.

    `worth`: how many deviations the belief counts for. A few wild ones move nothing: of up to four nothing is learned,
    of more the median, none taken for more than three believed sd.

    >>> learned(0.04, [5.0, -5.0]), round(learned(0.04, [0.4, -0.4] * 50), 3)
    (0.04, 0.32)
    """
    count = 0.37 * (len(off) - FEW)  # a median absolute deviation tells so much beside a standard deviation
    if count <= 0:
        return believed
    most = 3 * believed**0.5
    seen: float = (_NORMAL * median(min(abs(each), most) for each in off)) ** 2
    return (worth * believed + count * seen) / (worth + count)
