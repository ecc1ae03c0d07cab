"""What a motor's earlier runs say of the next one: where it should lie nine times in ten.

Repeatability is pooled with its prior (scaled inverse χ², 3 degrees of freedom), so that two runs give a wide range and
not a proud one. Normal ranges; the engine of the ranking is another matter.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean

PRIOR_DF = 3
Z90 = 1.645


@dataclass(frozen=True)
class Usual:
    """Mean of `count` earlier values and the range that holds the next one nine times in ten."""

    mean: float
    low: float
    high: float
    count: int


def usual_range(values: Sequence[float], noise: float, relative: bool = False) -> Usual | None:
    """The usual range of the next value, in the unit of the values; None without any.

    `noise` is the tester's repeatability of one reading: in the unit, or in percent if `relative`.
    """
    if not values:
        return None
    count, mean = len(values), fmean(values)
    reach = Z90 * _spread(values, noise, relative) * sqrt(1 + 1 / count)
    return Usual(mean, mean - reach, mean + reach, count)


def mean_range(values: Sequence[float], noise: float, relative: bool = False) -> float | None:
    """How far the mean of these values lies from the true one nine times in ten, ±, in their unit; None without any."""
    return Z90 * _spread(values, noise, relative) / sqrt(len(values)) if values else None


def _spread(values: Sequence[float], noise: float, relative: bool) -> float:
    mean = fmean(values)
    prior = abs(mean) * noise / 100 if relative else noise
    squares = sum((value - mean) ** 2 for value in values)
    return sqrt((PRIOR_DF * prior**2 + squares) / (PRIOR_DF + len(values) - 1))
