"""Percentage points of a mixture of distributions by bisection, and the normal distribution for whole arrays.

The only place with the normal distribution function of arrays: numpy has none.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import erf, sqrt
from statistics import NormalDist

import numpy as np

from pitbench.figures.arrays import Floats

POINTS = (0.5, 0.25, 0.75, 0.05, 0.95)
NORMAL_POINTS = np.array([NormalDist().inv_cdf(share) for share in POINTS])
_REACH, _STEPS = 6.0, 2400


@dataclass(frozen=True)
class Spread:
    """Median, the 25 and 75 % points and the 5 and 95 % points of one unknown, in its own unit."""

    median: float
    low50: float
    high50: float
    low90: float
    high90: float


@cache
def _table() -> tuple[Floats, Floats]:
    at = np.linspace(-_REACH, _REACH, _STEPS + 1)
    return at, np.array([(1 + erf(z / sqrt(2))) / 2 for z in at])


def normal_below(z: Floats) -> Floats:
    """Probability that a standard normal is under z, any shape; within 1e-6, 0 or 1 beyond six.

    Straight lines between the error function at steps of 1/200. Source: definition of the distribution.

    >>> normal_below(np.array([0.0, 1.6448536])).round(5).tolist()
    [0.5, 0.95]
    """
    at, below = _table()
    return np.interp(z, at, below)


def normal_point(below: Floats) -> Floats:
    """Where a standard normal is under by these chances, any shape: `normal_below` turned round, −6 to 6.

    >>> normal_point(np.array([0.5, 0.95])).round(3).tolist()
    [0.0, 1.645]
    """
    at, chance = _table()
    return np.interp(below, chance, at)


def reached(rising: Callable[[Floats], Floats], shares: Floats, low: Floats, high: Floats, steps: int) -> Floats:
    """Where a rising function of an array reaches the shares: bisection between low and high, then a straight line.

    shares, low, high: the shape the function takes and gives. Beyond an end the end is the answer.

    >>> one = np.ones(2)
    >>> reached(lambda x: x**2, np.array([0.25, 4.0]), 0 * one, one, 12).round(4).tolist()
    [0.5, 1.0]
    """
    at_low, at_high = rising(low), rising(high)
    for _ in range(steps):
        middle = (low + high) / 2
        value = rising(middle)
        under = value < shares
        low, at_low = np.where(under, middle, low), np.where(under, value, at_low)
        high, at_high = np.where(under, high, middle), np.where(under, at_high, value)
    part = (shares - at_low) / np.maximum(at_high - at_low, 1e-12)
    return low + np.clip(part, 0, 1) * (high - low)


def spreads(rising: Callable[[Floats], Floats], low: Floats, high: Floats, steps: int) -> list[Spread]:
    """Spread of several unknowns [p] at once; rising: their distribution functions, points [5 × p] in and chances out;
    low, high [5 × p]: between what the points lie, in the order of POINTS."""
    shares = np.repeat(np.array(POINTS)[:, None], low.shape[1], axis=1)
    return [Spread(*each) for each in reached(rising, shares, low, high, steps).T.tolist()]
