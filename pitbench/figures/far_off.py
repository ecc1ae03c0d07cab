"""Whether a number lies so far from others that should agree with it that it is more likely mistyped than true.

A few wild ones among the others move neither the centre nor the spread: the centre is the median, the spread the median
absolute deviation times 1.4826, which is the standard deviation of normal values (Rousseeuw, Croux 1993, J. Am. Stat.
Assoc. 88, from memory). It is never taken for less than what is believed beforehand, so that two alike are not proud.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import median

FAR = 10.0
"""Predictive standard deviations from which a number is far off. Ours."""
ENOUGH = 3
"""Numbers that must be known, itself among them: of two that differ nobody can tell which is wrong. Ours."""
_NORMAL = 1.4826


@dataclass(frozen=True)
class Expected:
    """Where one more value should lie: centre and standard deviation, in the unit of the values."""

    centre: float
    sd: float

    def is_far(self, value: float) -> bool:
        """Whether a value is far off."""
        return abs(value - self.centre) > FAR * self.sd


def expected(values: Sequence[float], spread: float, besides: float = 0.0) -> Expected | None:
    """Where one more of these values should lie; None with fewer than three. All in one unit.

    `spread`: standard deviation of the values as believed beforehand; `besides`: what one more may differ by on top,
    all values alike, as another bench session does. sd² = max(spread, 1.4826·MAD)²·(1 + 1/n) + besides².

    >>> expected([42.0, 42.1, 24.1], 0.15)
    Expected(centre=42.0, sd=0.1732)
    """
    if len(values) < ENOUGH:
        return None
    centre = median(values)
    seen = _NORMAL * median(abs(value - centre) for value in values)
    return Expected(centre, sqrt(max(spread, seen) ** 2 * (1 + 1 / len(values)) + besides**2))
