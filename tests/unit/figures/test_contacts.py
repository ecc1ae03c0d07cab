"""Windings far off the class: Bayes' rule written out with scipy's normal distribution; priors: ours."""

import numpy as np
import pytest
from scipy.stats import norm

from pitbench.figures import contacts
from pitbench.figures.contacts import BAD_CONTACT, FAR_PCT, ODD_MOTOR, bad_contact_chance, with_bad_contacts
from pitbench.figures.criteria import MEASURED, RESISTANCE


def chances(levels, clampings=1):
    """Of motors that read so many percent, in as many clampings each, two readings in every one."""
    motor = np.repeat(np.arange(len(levels)), 2 * clampings)
    seat = np.repeat(np.arange(len(levels) * clampings), 2)
    return bad_contact_chance(motor, seat, np.array(levels)[motor], np.ones(motor.size), len(levels))


@pytest.mark.parametrize("clampings", [1, 2])
@pytest.mark.parametrize("off", [0.0, 4.0, 8.0, 13.0, -13.0])
def test_the_chance_of_a_bad_contact_is_bayes_rule(off, clampings):
    figure = MEASURED[RESISTANCE]
    seat = figure.clamping_sd**2 + figure.noise**2
    sd = np.sqrt(figure.motor_sd**2 * (1 + 1 / 3) + seat * (1 / clampings + 1 / 3))
    bad = BAD_CONTACT**clampings
    weight = np.array([1 - bad - ODD_MOTOR, bad, ODD_MOTOR])
    likely = weight * norm.pdf(off, 0, [sd, np.hypot(sd, FAR_PCT), np.hypot(sd, FAR_PCT)])
    assert chances([245.0, 245.0, 245.0, 245.0 + off], clampings)[3] == pytest.approx(likely[1] / likely.sum())


def test_clampings_that_agree_clear_each_other_and_of_two_motors_nobody_knows_which():
    assert chances([245.0] * 3 + [258.0])[3] > 0.6 > 0.1 > chances([245.0] * 3 + [258.0], clampings=2)[3]
    assert chances([245.0, 260.0])[0] == pytest.approx(chances([245.0, 260.0])[1])


def test_as_many_draws_as_the_chance_says_are_like_the_others():
    draws = np.tile([11.6, 11.6, 13.1], (2000, 1))
    found = with_bad_contacts(draws, np.array([0.0, 0.0, 0.3]))
    moved = found[:, 2] != 13.1
    assert moved.mean() == pytest.approx(0.3, abs=0.001)
    assert found[moved, 2].mean() == pytest.approx((11.6 + 11.6) / 2, rel=0.005)
    assert (found[:, :2] == 11.6).all()


@pytest.mark.parametrize("motors", [2, 3, 4, 7])
def test_each_motor_is_held_against_the_middle_of_the_others(motors):
    level = np.random.default_rng(motors).normal(245, 4, motors)
    others = [np.median(np.delete(level, at)) for at in range(motors)]
    assert contacts._middle_of_others(level) == pytest.approx(others)
