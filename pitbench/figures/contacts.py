"""Windings whose reading lies far off the class: a bad contact, or a motor of another kind; nobody can tell from one.

Readings of one clamping share the seat of the clips, so that repeats do not show a bad one. A mixture of both answers
stands in the draws until the clips were off and on again. Priors: ours.
"""

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.criteria import MEASURED, RESISTANCE
from pitbench.figures.normals import antithetic

BAD_CONTACT, ODD_MOTOR = 0.03, 0.01
"""Share of clampings whose clips sat badly, and of motors whose winding is of another kind."""
FAR_PCT = 10.0
"""How far off either of them reads, sd in percent."""
SEED = 79


def bad_contact_chance(motor: Ints, seat: Ints, percent: Floats, weight: Floats, n_motors: int) -> Floats:
    """Chance that what is known of each motor's winding rests on a bad contact [motors].

    motor, seat (its clamping), percent (100·ln of the resistance), weight of readings [n]. A motor is held against the
    middle of the others; clampings that agree clear each other. Bayes' rule over three causes of a distance.

    >>> one = np.array([0, 1, 2, 3])
    >>> bad_contact_chance(one, one, np.array([245.0, 246.0, 244.0, 258.0]), np.ones(4), 4).round(2).tolist()
    [0.01, 0.01, 0.01, 0.71]
    """
    found = np.zeros(n_motors)
    criterion = MEASURED[RESISTANCE]
    mean = {
        m: np.array([np.average(percent[seat == s], weights=weight[seat == s]) for s in np.unique(seat[motor == m])])
        for m in sorted(set(motor.tolist()))
    }
    for m, own in mean.items():
        others = [np.median(each) for other, each in mean.items() if other != m]
        if not others:
            continue
        seat_var = criterion.clamping_sd**2 + criterion.noise**2
        near = criterion.motor_sd**2 * (1 + 1 / len(others)) + seat_var * (1 / own.size + 1 / len(others))
        off = float(np.median(own) - np.median(others))
        usual, far = (float(np.exp(-(off**2) / v / 2) / np.sqrt(v)) for v in (near, near + FAR_PCT**2))
        bad = BAD_CONTACT**own.size
        chance = bad * far / ((1 - bad - ODD_MOTOR) * usual + (bad + ODD_MOTOR) * far)
        found[m] = chance / 2 if len(others) == 1 else chance
    return found


def with_bad_contacts(resistance: Floats, chance: Floats) -> Floats:
    """Draws of resistance [draws × motors] in which a motor with a bad contact is like any other of the class."""
    draws, motors = resistance.shape
    if motors < 2 or not (chance > 0).any():
        return resistance
    rank = np.argsort(np.argsort(antithetic(draws, motors, SEED), axis=0), axis=0)
    others = (resistance.sum(axis=1, keepdims=True) - resistance) / (motors - 1)
    as_others = others * np.exp(0.01 * MEASURED[RESISTANCE].motor_sd * antithetic(draws, motors, SEED + 1))
    return np.where(rank < chance * draws, as_others, resistance)
