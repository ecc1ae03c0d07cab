"""Weights a link offers for the ranking: by how much a figure, or track pace, should count beside power at load.

One unit of weight is one margin: a margin of the figure counts like half a percent of power. Levels of motors in
percent of a lap, lower is better; NaN where unknown.
"""

import numpy as np

from pitbench.figures.arrays import Floats

MOST = 3.0
"""Highest weight that is offered. Ours."""
SCORE_PER_MARGIN = 0.5
"""Percent of power that a margin counts at weight 1."""


def slope_beside(levels: Floats, figure: Floats, power: Floats | None) -> float:
    """Percent of a lap per unit of the figure at equal power at load, drawn towards 0 by its own doubt: b·(1 − (s/b)²),
    at least 0·b, with b and s of least squares (Draper & Smith, Applied Regression Analysis, 2.6, recalled).

    levels, figure, power [motors], five or more known; power None: not known of anybody. The link was found among
    several, so that b is too large as it stands; how it is drawn in is ours.
    """
    columns = [np.ones_like(levels), figure, *([] if power is None else [power])]
    known = ~np.isnan(levels + sum(columns))
    x, y = np.column_stack(columns)[known], levels[known]
    spare = y.size - x.shape[1]
    if spare < 1 or np.linalg.matrix_rank(x) < x.shape[1]:
        return 0.0
    found, *_ = np.linalg.lstsq(x, y, rcond=None)
    variance = float(((y - x @ found) ** 2).sum()) / spare * float(np.linalg.inv(x.T @ x)[1, 1])
    slope = float(found[1])
    return slope * max(0.0, 1 - variance / slope**2) if slope else 0.0


def weight_of_figure(slope: float, margin: float, pace_margin: float) -> float:
    """A margin of the figure, in its unit, in margins of track pace, in percent of a lap.

    >>> weight_of_figure(-0.12, 0.5, 0.3)
    0.2
    """
    return _rounded(abs(slope) * margin / pace_margin)


def weight_of_pace(slope: float, bench_variance: float, pace_variance: float, pace_margin: float) -> float:
    """What a margin of track pace is worth in power, as far as pace is to be trusted beside the bench.

    slope: percent of a lap per percent of power. bench_variance: of a motor's power with what the bench cannot see,
    percent²; pace_variance: of a motor's level, percent of a lap². Trust is bench ÷ (bench + pace ÷ slope²), the weight
    of the mean of two measurements (JCGM 100:2008, F.1; what it multiplies is ours).

    >>> weight_of_pace(-0.3, 0.18, 0.0081, 0.3)
    1.3
    """
    trust = bench_variance / (bench_variance + pace_variance / slope**2)
    return _rounded(trust * pace_margin / abs(slope) / SCORE_PER_MARGIN)


def _rounded(weight: float) -> float:
    return round(min(weight, MOST), 1)
