"""Power at load against use as a picture: a motor's sessions one by one, and the straight line through them with its
band.

Everything stands beside the line where it begins, so what the line comes to at its end is what is said in words
(`wear`). What work did to the motor is taken out of the sessions, as far as the engine tells it from wear.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.drift import against, wear_shape
from pitbench.figures.session_levels import Levels

NINE_IN_TEN = 1.645
PLACES = 25
"""Of the line that its band is given at."""


@dataclass(frozen=True)
class WearLine:
    """Use before each session [k] in order, with its level and half of its 90 % interval; use [j] along the line, with
    the line and half of its 90 % band. worked [k]: whether somebody had worked on the motor since the session before.
    """

    use: Floats
    level: Floats
    arm: Floats
    along: Floats
    line: Floats
    band: Floats
    worked: Floats


def wear_line(levels: Sequence[Levels], weighs: Sequence[float]) -> WearLine:
    """The line of a sum of figures read in the same sessions, each times what it weighs.

    A session's arm is its own scatter: the variance of its level given all others is 1 / the diagonal of V⁻¹ (Rasmussen
    and Williams, Gaussian Processes for Machine Learning, 5.4.2, recalled), of which 1/k is that of their mean. The
    band is that of a regression line, √(s²/k + (x − x̄)²·s_b²).
    """
    use = levels[0].use
    k, course = use.size, wear_shape(levels[0])[:, 0]
    level, square, slope, slope_square = np.zeros(k), np.zeros(k), 0.0, 0.0
    for each, weigh in zip(levels, weighs, strict=True):
        fit = against(each, wear_shape(each))
        change, sd = float(fit.change[0]), float(fit.sd[0])
        weight = np.linalg.inv(each.covariance)
        common = weight.sum(axis=1)
        weight -= np.outer(common, common) / common.sum()  # the level that all have in common is open
        same = each.state[:, None] == each.state
        level += weigh * (each.level - each.work_sd**2 * (same @ weight @ (each.level - change * course)))
        square += weigh**2 * (1 - 1 / k) / weight.diagonal() * float(fit.scale[0])
        slope, slope_square = slope + weigh * change, slope_square + (weigh * sd) ** 2
    middle = float(course.mean())
    along = np.linspace(0.0, 1.0, PLACES)
    start = float(level.mean()) - slope * middle
    band = NINE_IN_TEN * np.sqrt(square.mean() / k + (along - middle) ** 2 * slope_square)
    return WearLine(
        use=use,
        level=level - start,
        arm=NINE_IN_TEN * np.sqrt(square),
        along=use[0] + along * (use[-1] - use[0]),
        line=slope * along,
        band=band,
        worked=np.diff(levels[0].state, prepend=levels[0].state[0]) != 0,
    )
