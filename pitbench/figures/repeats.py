"""How many bench runs a difference needs before it can be told: sample sizes.

For planning an evening. What a further run does to the verdict of a ranking is `foresight`.
"""

from math import sqrt
from statistics import NormalDist

from pitbench.figures.quantiles import t_point

MOST = 32
"""Runs of one motor beyond which nobody goes on. Ours."""


def readings(shift: float, false_alarm: float, missed: float, freedom: int | None = None) -> float:
    """Readings needed to see a mean `shift` from a known value, in σ of one reading, before rounding up.

    One-sided; false_alarm and missed are the two error rates, at most 0.5. σ known (freedom None): (z₁ + z₂)² /
    shift², else t with these degrees of freedom for z. Source: NIST/SEMATECH e-Handbook 7.2.2.2.

    >>> readings(1.0, 0.05, 0.10), readings(1.0, 0.05, 0.10, 8)
    (8.563847, 10.603902)
    """
    points = (1 - false_alarm, 1 - missed)
    if freedom is None:
        return (sum(NormalDist().inv_cdf(p) for p in points) / shift) ** 2
    return (sum(t_point(p, freedom) for p in points) / shift) ** 2


def runs_to_tell(difference: float, false_alarm: float = 0.10, missed: float = 0.20) -> int | None:
    """Runs of each of two motors that show which is ahead when they differ by `difference`, in σ of one run.

    From 2 to 32, None if those are too few. The difference of two readings scatters by √2·σ, and both motors' repeats
    tell σ; the number is the first that its own t allows (e-Handbook 7.2.2.2). Rates: ours.

    >>> runs_to_tell(1.25), runs_to_tell(2.5), runs_to_tell(0.1)
    (7, 3, None)
    """
    shift = difference / sqrt(2)
    enough = (runs for runs in range(2, MOST + 1) if readings(shift, false_alarm, missed, 2 * runs - 2) <= runs)
    return next(enough, None)
