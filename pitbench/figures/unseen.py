"""What the bench cannot see, learned: how far motors' pace lies from what their power at load foretells.

    level_m = slope · power_m + slope · unseen_m,  unseen ~ N(0, u²),  power known with an error of its own

on the levels of motors that ran beside others (`link.Season`), in percent of a lap and percent of power.
"""

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.criteria import UNSEEN_PCT
from pitbench.figures.link import Season

UNSEEN_LOG_SD = 0.6
"""Doubt about the believed size, in log. Ours."""
SLOPE, SLOPE_LOG_SD = 0.3, 1.0
"""Percent of a lap that one percent of power is believed to bring, and its doubt in log. Ours."""
_Z = np.linspace(-2.5, 2.5, 25)


def learned_unseen(runs: Season, power: Floats, power_sd: Floats) -> float:
    """u in percent of power: its posterior median, on a grid of slope and u; the believed one where runs tell nothing.

    power, power_sd [motors], percent. More power is taken to be faster. The levels of motors given slope and u are
    normal and integrated out (Bishop, Pattern Recognition and Machine Learning, 2.3.3).
    """
    own = np.flatnonzero(runs.motors)
    information = runs.information[np.ix_(own, own)] / runs.noise**2
    pull = runs.pull.sum(axis=0)[own] / runs.noise**2
    power, variance = power[own] - power[own].mean(), power_sd[own] ** 2
    unseen, slope = UNSEEN_PCT * np.exp(UNSEEN_LOG_SD * _Z), -SLOPE * np.exp(SLOPE_LOG_SD * _Z)
    spread = slope[:, None, None] ** 2 * (variance + unseen[:, None] ** 2)  # [slope × unseen × motors]
    expected = np.broadcast_to((slope[:, None] * power)[:, None], spread.shape)
    precision = information + (1 / spread)[..., None] * np.eye(own.size)
    right = pull + expected / spread
    explained = (right * np.linalg.solve(precision, right[..., None])[..., 0]).sum(axis=-1)
    log_det = np.log(spread).sum(axis=-1) + np.linalg.slogdet(precision)[1]
    log_weight = (explained - (expected**2 / spread).sum(axis=-1) - log_det) / 2 - _Z[:, None] ** 2 / 2 - _Z**2 / 2
    weight = np.exp(log_weight - log_weight.max()).sum(axis=0)
    below = (np.cumsum(weight) - weight / 2) / weight.sum()
    return float(np.exp(np.interp(0.5, below, np.log(unseen))))
