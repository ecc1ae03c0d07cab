"""What a motor's earlier runs say of the next one: where it should lie nine times in ten.

Repeatability is pooled with its prior, so that two runs give a wide range and not a proud one. What runs of several
motors say together is the ranking's business.

Values are normal, their mean unknown, σ² scaled inverse χ² with 3 degrees of freedom at the tester's repeatability: the
next value and the mean follow Student's t with 3 + n − 1 degrees of freedom (Gelman et al., Bayesian Data Analysis,
3rd ed., 3.2 and 3.3, from memory). The 3 is common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean

from pitbench.figures.quantiles import t_point

PRIOR_DF = 3


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

    >>> usual_range([42.0], 0.15)
    Usual(mean=42.0, low=41.5008, high=42.4992, count=1)
    """
    if not values:
        return None
    count, mean = len(values), fmean(values)
    reach = _spread(values, noise, relative) * sqrt(1 + 1 / count)
    return Usual(mean, mean - reach, mean + reach, count)


def mean_range(values: Sequence[float], noise: float, relative: bool = False) -> float | None:
    """How far the mean of these values lies from the true one nine times in ten, ±, in their unit; None without any.

    >>> mean_range([42.0], 0.15)
    0.3530
    """
    return _spread(values, noise, relative) / sqrt(len(values)) if values else None


def _spread(values: Sequence[float], noise: float, relative: bool) -> float:
    """Pooled standard deviation, times the t that leaves 5 % on each side."""
    mean = fmean(values)
    prior = abs(mean) * noise / 100 if relative else noise
    squares = sum((value - mean) ** 2 for value in values)
    freedom = PRIOR_DF + len(values) - 1
    return t_point(0.95, freedom) * sqrt((PRIOR_DF * prior**2 + squares) / freedom)
