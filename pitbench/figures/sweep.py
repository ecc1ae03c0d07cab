"""A timing sweep: one motor at several timing marks in one sitting, and the line through what was read.

The only place where a straight line is fitted. Timing in degrees, KV in rpm/V, current in A.
"""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike

from pitbench.figures.posterior import PRIOR_FREEDOM
from pitbench.figures.quantiles import t_point


@dataclass(frozen=True)
class Line:
    """y = middle_y + slope·(x − middle_x); sd about the line, its degrees of freedom, Σ(x − x̄)²."""

    middle_x: float
    middle_y: float
    slope: float
    sd: float
    freedom: int
    x_squares: float

    def at(self, x: float) -> float:
        """The line at x."""
        return self.middle_y + self.slope * (x - self.middle_x)

    @property
    def slope_doubt(self) -> float:
        """Standard uncertainty of the slope."""
        return self.sd / sqrt(self.x_squares)

    @property
    def reach(self) -> float:
        """How many standard uncertainties hold the truth nine times in ten."""
        return t_point(0.95, self.freedom)


def fit_line(x: ArrayLike, y: ArrayLike, usual: float | None = None) -> Line:
    """Least squares of y [n] on x [n], two different x or more; three points if there is no `usual`.

    `usual`: the tester's usual σ of y, which counts as three points more. ValueError where all x are the same. Source:
    textbook; checked against NIST StRD Norris and GUM H.3 (JCGM 100:2008).

    >>> line = fit_line([1.0, 2.0, 3.0], [1.0, 3.0, 2.0])
    >>> line.slope, line.at(4.0), line.sd, line.slope_doubt
    (0.5, 3.0, 1.2247449, 0.8660254)
    """
    given, read = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    middle_x, middle_y = float(given.mean()), float(read.mean())
    dx, dy = given - middle_x, read - middle_y
    squares = float(dx @ dx)
    if not squares:
        raise ValueError("a line needs two different x")
    slope = float(dx @ dy) / squares
    rest = dy - slope * dx
    believed = 0 if usual is None else round(PRIOR_FREEDOM)
    freedom = given.size - 2 + believed
    sd = sqrt((float(rest @ rest) + believed * (usual or 0.0) ** 2) / freedom)
    return Line(middle_x, middle_y, slope, sd, freedom, squares)
