"""Windings whose reading lies far off the class: a bad contact, or a motor of another kind; nobody can tell from one.

Readings of one clamping share one contact of the clips, so that repeats do not show a bad one. A mixture of both
answers stands in the draws until the clips were off and on again. Priors: ours.
"""

from statistics import NormalDist

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.conditions import medians
from pitbench.figures.criteria import MEASURED, RESISTANCE
from pitbench.figures.layout import relabelled
from pitbench.figures.normals import antithetic

BAD_CONTACT, ODD_MOTOR = 0.03, 0.01
"""Share of clampings whose clips sat badly, and of motors whose winding is of another kind."""
FAR_PCT = 10.0
"""How far off either of them reads, sd in percent."""
LEAST_CHANCE = 0.01
"""A chance below is not worth a draw."""
SEED = 79


def bad_contact_chance(motor: Ints, clamping: Ints, percent: Floats, weight: Floats, n_motors: int) -> Floats:
    """Chance that what is known of each motor's winding rests on a bad contact [motors].

    motor, clamping, percent (100·ln of the resistance), weight of readings [n]. A motor is held against the
    middle of the others; clampings that agree clear each other. Bayes' rule over three causes of a distance.

    >>> one = np.array([0, 1, 2, 3])
    >>> bad_contact_chance(one, one, np.array([245.0, 246.0, 244.0, 258.0]), np.ones(4), 4).round(2).tolist()
    [0.01, 0.01, 0.01, 0.71]
    """
    found = np.zeros(n_motors)
    if not percent.size:
        return found
    label = relabelled(clamping)
    seats = np.bincount(label, weight * percent) / np.bincount(label, weight)
    of = np.empty(seats.size, dtype=np.int64)
    of[label] = motor
    level = medians(seats, of, n_motors)
    known = ~np.isnan(level)
    others = int(known.sum()) - 1
    if others > 0:
        off = level[known] - _middle_of_others(level[known])
        found[known] = _chance(off, np.bincount(of, minlength=n_motors)[known], others)
    return found


def _middle_of_others(level: Floats) -> Floats:
    """Median of all the others for each of two or more levels [n]."""
    order = np.argsort(level)
    rising, rank, last = level[order], np.argsort(order), level.size - 1
    return np.asarray(np.mean([rising[at + (at >= rank)] for at in ((last - 1) // 2, last // 2)], axis=0))


def _chance(off: Floats, clampings: Ints, others: int) -> Floats:
    """That motors so many percent off the middle of the others [n] were read badly in all their clampings [n]."""
    criterion = MEASURED[RESISTANCE]
    contact = criterion.clamping_sd**2 + criterion.noise**2
    near = criterion.motor_sd**2 * (1 + 1 / others) + contact * (1 / clampings + 1 / others)
    usual, far = (np.exp(-(off**2) / v / 2) / np.sqrt(v) for v in (near, near + FAR_PCT**2))
    bad = BAD_CONTACT**clampings
    chance = bad * far / ((1 - bad - ODD_MOTOR) * usual + (bad + ODD_MOTOR) * far)
    return np.asarray(chance / 2 if others == 1 else chance)


def with_bad_contacts(resistance: Floats, chance: Floats) -> Floats:
    """Draws of resistance [draws × motors] in which a motor with a bad contact is like any other of the class."""
    draws, motors = resistance.shape
    doubted = np.flatnonzero(chance >= LEAST_CHANCE)
    if motors < 2 or not doubted.size:
        return resistance
    found, total = resistance.copy(), resistance.sum(axis=1)
    below, spread = antithetic(draws, motors, SEED), antithetic(draws, motors, SEED + 1)
    for m in doubted.tolist():
        bad = below[:, m] < NormalDist().inv_cdf(float(chance[m]))
        others = (total[bad] - resistance[bad, m]) / (motors - 1)
        found[bad, m] = others * np.exp(0.01 * MEASURED[RESISTANCE].motor_sd * spread[bad, m])
    return found
