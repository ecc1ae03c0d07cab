"""Points of Student's t and the chi-squared distribution, the only place where they are worked out.

Standard library only: forms ask while somebody types, before numpy is loaded.
"""

from collections.abc import Callable
from functools import cache
from math import atan, cos, exp, lgamma, log, pi, sin, sqrt


@cache
def t_point(probability: float, freedom: int) -> float:
    """The point that Student's t with `freedom` ≥ 1 degrees of freedom stays under with this probability, 0.5 or more.

    Source: finite sums of Abramowitz & Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4 (from memory).

    >>> t_point(0.95, 10), t_point(0.995, 16)
    (1.812461, 2.920782)
    """
    return _point(lambda t: _t_within(t, freedom), 2 * probability - 1)


def _t_within(t: float, freedom: int) -> float:
    """Probability that |T| < t."""
    angle = atan(t / sqrt(freedom))
    square, odd = cos(angle) ** 2, freedom % 2
    term = total = (cos(angle) if freedom > 1 else 0.0) if odd else 1.0
    for k in range(2 + odd, freedom - 1, 2):
        term *= square * (k - 1) / k
        total += term
    return 2 / pi * (angle + sin(angle) * total) if odd else sin(angle) * total


@cache
def chi_squared_point(probability: float, freedom: float) -> float:
    """The point that χ² with `freedom` > 0 degrees of freedom stays under with this probability.

    Source: series of the incomplete gamma function, Abramowitz & Stegun 6.5.29 and 26.4.19 (from memory).

    >>> chi_squared_point(0.95, 1), chi_squared_point(0.05, 10)
    (3.841459, 3.940299)
    """
    return _point(lambda x: _chi_squared_below(x, freedom), probability)


def _chi_squared_below(x: float, freedom: float) -> float:
    if x <= 0:
        return 0.0
    half, below = freedom / 2, x / 2
    term = total = 1.0
    k = half
    while term > 1e-17 * total:
        k += 1
        term *= below / k
        total += term
    return exp(half * log(below) - below - lgamma(half + 1)) * total


def _point(below: Callable[[float], float], probability: float) -> float:
    """Where a rising function of x ≥ 0 reaches the probability, by bisection."""
    low, high = 0.0, 1.0
    while below(high) < probability:
        low, high = high, 2 * high
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if below(middle) < probability else (low, middle)
    return (low + high) / 2
