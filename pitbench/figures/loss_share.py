"""How much of the no-load loss grows with speed, learned from motors that were run free at two voltages.

One share for all motors of a comparison: they are of one class and build. What the share is for stands in `losses`;
this is the only place that learns it.
"""

import numpy as np

from pitbench.figures import losses
from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.criteria import CURRENT, MEASURED

LEAST_APART_V = 0.5
"""Voltages closer than this say nothing about the share. Ours."""


def learned_share(motor: Ints, voltage: Floats, current: Floats, test_voltage: float | None) -> tuple[float, float]:
    """Mean and sd of the share at one cell, from runs [n]: motor, volts, amps; the stated prior where they say nothing.

    Every motor run at the test voltage and at another one gives a ratio of currents, expected (1 − s + s·V/3.7) over
    the same at the test voltage, as speed follows voltage without load. Posterior on a grid of s; a ratio is as
    uncertain as its readings, and all ratios share the doubt of two bench sessions.

    >>> learned_share(np.array([0, 0]), np.array([3.7, 7.4]), np.array([4.0, 6.4]), 3.7)
    (0.60, 0.04)
    """
    prior = losses.SPEED_SQUARED_SHARE, losses.SPEED_SQUARED_SHARE_SD
    pairs = _pairs(motor, voltage, current, test_voltage)
    if not len(pairs):
        return prior
    other, ratio, readings = pairs.T
    share = np.linspace(0, 1, 401)
    expected = np.log(_at(share, float(other.mean())) / _at(share, test_voltage or losses.ONE_CELL_V))
    figure = MEASURED[CURRENT]
    sd = 0.01 * np.sqrt(figure.noise**2 * readings.mean() / len(pairs) + 2 * figure.session_sd**2)
    log_weight = -0.5 * (((ratio.mean() - expected) / sd) ** 2 + ((share - prior[0]) / prior[1]) ** 2)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    mean = float(weight @ share)
    return mean, float(np.sqrt(weight @ (share - mean) ** 2))


def _at(share: Floats, voltage: float) -> Floats:
    """Current at a voltage over that at one cell."""
    return 1 - share + share * voltage / losses.ONE_CELL_V


def _pairs(motor: Ints, voltage: Floats, current: Floats, test_voltage: float | None) -> Floats:
    """One row a motor with runs at both [motors × 3]: mean other voltage, log ratio of currents, 1/n + 1/m of its runs.

    The other voltage is the one most of the runs elsewhere were made at, to half a volt.
    """
    if test_voltage is None:
        return np.empty((0, 3))
    apart = np.abs(voltage - test_voltage) >= LEAST_APART_V
    here = np.abs(voltage - test_voltage) < LEAST_APART_V / 2
    if not apart.any():
        return np.empty((0, 3))
    middle = np.median(voltage[apart])
    there = apart & (np.abs(voltage - middle) <= LEAST_APART_V / 2)
    log = np.log(current)
    rows = []
    for each in np.unique(motor[there]).tolist():
        one, two = here & (motor == each), there & (motor == each)
        if one.any():
            rows.append((voltage[two].mean(), log[two].mean() - log[one].mean(), 1 / one.sum() + 1 / two.sum()))
    return np.array(rows, dtype=float).reshape(-1, 3)
