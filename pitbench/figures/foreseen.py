"""Where one more reading should lie, before it is read: from its own clamping, its session, its motor and its class.

A reading is class + motor + session + clamping + noise, each normal, so that what is known of one of them is a mean
and a variance and two readings of it are taken together by precision (conjugate normal, Gelman et al., Bayesian Data
Analysis, 2.5). One that does not fit the others counts less: min(1, (2.5/|z|)⁴), as in the engine, begun from the
median, so that one wild reading does not hide itself. Without the engine and without numpy: a form asks between two
keys.
"""

from collections.abc import Iterable, Sequence
from statistics import median
from typing import NamedTuple

FITS_2 = 2.5**2
"""Standardised residual from which a reading counts less, squared. Ours, as in the engine."""
OF_A_MEDIAN = 1.3
"""How much less a median of three or more tells than their mean; π/2 for many. Ours, for few."""
FEW = 4
WORTH = 4.0
"""How many deviations a believed variance counts for. Ours."""
_CUT = 1.0229
"""A mean of squares of normal values, each cut at 2.5 sd, times this is their variance."""
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


class Taken(NamedTuple):
    """What was believed and read of one level, taken together: precision, mean × precision, and what of both each
    reading brings."""

    precision: float
    summed: float
    shares: list[tuple[float, float]]

    def level(self, without: Iterable[int] = ()) -> Normal:
        """The level, as the readings but for these say."""
        precision, summed = self.precision, self.summed
        for at in without:
            precision -= self.shares[at][0]
            summed -= self.shares[at][1]
        return Normal(summed / precision, 1 / precision)


def level(prior: Normal, read: Sequence[Normal]) -> Normal:
    """What readings of one level with these variances say of it, on top of what was believed.

    >>> level(Normal(0.0, 1.0), [Normal(2.0, 1.0)]), level(Normal(0.0, 1.0), [])
    (Normal(mean=1.0, var=0.5), Normal(mean=0.0, var=1.0))
    """
    if len(read) != 1:
        return taken(prior, read).level() if read else prior
    ((value, var),) = read
    own = _fitting(prior, value, var) / var
    precision = 1 / prior.var + own
    return Normal((prior.mean / prior.var + own * value) / precision, 1 / precision)


def taken(prior: Normal, read: Sequence[Normal]) -> Taken:
    """The same with what each of them brings. One that does not fit the others counts less."""
    if len(read) == 1:
        ((value, var),) = read
        return _weighed(prior, read, [_fitting(prior, value, var)])
    means = [mean for mean, _ in read]
    middle = median([prior.mean, *means] if len(read) == 2 else means) if read else prior.mean
    weights = [_weight((mean - middle) ** 2 / (2 * var)) for mean, var in read]
    found = _weighed(prior, read, weights)
    for _ in range(2):
        before, weights = weights, []
        for (mean, var), (own, summed) in zip(read, found.shares, strict=True):
            rest = found.precision - own
            off = mean - (found.summed - summed) / rest
            weights.append(_weight(off * off / (var + 1 / rest)))
        if weights == before:
            break
        found = _weighed(prior, read, weights)
    return found


def _fitting(prior: Normal, value: float, var: float) -> float:
    return _weight((value - prior.mean) ** 2 / (var + prior.var))


def _weight(z2: float) -> float:
    return 1.0 if z2 <= FITS_2 else (FITS_2 / z2) ** 2


def _weighed(prior: Normal, read: Sequence[Normal], weights: Sequence[float]) -> Taken:
    precision, summed = 1 / prior.var, prior.mean / prior.var
    shares = []
    for (mean, var), weight in zip(read, weights, strict=True):
        own = weight / var
        shares.append((own, own * mean))
        precision += own
        summed += own * mean
    return Taken(precision, summed, shares)


def foreseen(before: Normal, here: Sequence[Normal], noise: float) -> Normal:
    """One more reading of a motor in a session.

    before: where it stands in this clamping as its class, its other sessions and the other motors of this one say;
    here: what it read in this one, the variance of each that of the reading alone.

    >>> foreseen(Normal(0.0, 1e9), [Normal(3.0, 0.5)], 0.5)
    Normal(mean=3.0, var=1.0)
    """
    now = level(before, here)
    return Normal(round(now.mean, 6), round(now.var + noise, 9))


def learned(believed: float, off: Sequence[float]) -> float:
    """A variance as believed and as seen: `off` are deviations from their own centre, as free as those of many.

    A few wild ones move nothing: of up to four nothing is learned. Of more the median says about how far they lie
    apart, none taken for more than three believed sd; then the mean of their squares counts, cut at 2.5 of those sd.

    >>> learned(0.04, [5.0, -5.0]), round(learned(0.04, [0.4, -0.4] * 50), 3)
    (0.04, 0.159)
    """
    count = 0.37 * (len(off) - FEW)  # a median absolute deviation tells so much beside a standard deviation
    if count <= 0:
        return believed
    most = 3 * believed**0.5
    about: float = (_NORMAL * median(min(abs(each), most) for each in off)) ** 2
    cut = FITS_2 * (WORTH * believed + count * about) / (WORTH + count)
    seen = _CUT * sum(min(each * each, cut) for each in off)
    return (WORTH * believed + seen) / (WORTH + len(off))


def unsure(count: int) -> float:
    """How many times wider one more reading lies since its variance is only known from so many: that of Student's t,
    ν/(ν − 2), with what was believed for WORTH of them.

    >>> unsure(0), unsure(16)
    (2.0, 1.1111111111111112)
    """
    return (WORTH + count) / (WORTH + count - 2)
