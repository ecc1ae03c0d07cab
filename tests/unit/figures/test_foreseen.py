"""Where one more reading should lie, held against the normal distribution conditioned with numpy, and scipy's."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm, t

from pitbench.figures.foreseen import _CUT, FITS_2, Normal, Spreads, foreseen, learned, level, lot_of, taken, unsure

SPREADS = Spreads(0.04, 0.06, 0.09, 2.25)


def conditioned(mean: np.ndarray, cov: np.ndarray, seen: np.ndarray) -> tuple[float, float]:
    """The last of a joint normal given all before it: Schur complement, any text."""
    gain = np.linalg.solve(cov[:-1, :-1], cov[:-1, -1])
    return float(mean[-1] + gain @ (seen - mean[:-1])), float(cov[-1, -1] - gain @ cov[:-1, -1])


@given(st.lists(st.floats(-0.5, 0.5), min_size=2, max_size=2), st.lists(st.floats(-0.5, 0.5), max_size=2))
def test_it_is_the_conditional_normal_of_the_levels(elsewhere, here):
    """Class, motor, session, clamping and noise written out as one covariance; nothing far enough off to weigh less."""
    lots = [lot_of([value], SPREADS.noise)[0] for value in elsewhere]
    apart = SPREADS.session + SPREADS.clamping
    motor = level(Normal(0.0, SPREADS.motor), [Normal(m, v + apart) for m, v in lots])
    before = Normal(motor.mean, motor.var + SPREADS.session + SPREADS.clamping)
    found = foreseen(before, lot_of(here, SPREADS.noise), SPREADS.noise)
    n = len(elsewhere) + len(here) + 1
    session = np.array([*range(len(elsewhere)), *([9] * (len(here) + 1))])
    cov = SPREADS.motor + (session[:, None] == session) * apart + np.eye(n) * SPREADS.noise
    mean, var = conditioned(np.zeros(n), cov, np.array([*elsewhere, *here]))
    assert found.mean == pytest.approx(mean, abs=2e-6) and found.var == pytest.approx(var, rel=1e-5)


@given(st.lists(st.floats(-0.3, 0.3), min_size=4, max_size=9), st.floats(20, 1e5), st.randoms())
def test_one_wild_session_moves_the_level_by_little(values, wild, shuffled):
    read = [Normal(value, 0.1) for value in (*values, wild)]
    shuffled.shuffle(read)
    found = level(Normal(0.0, 4.0), read)
    without = level(Normal(0.0, 4.0), [Normal(value, 0.1) for value in values])
    assert abs(found.mean - without.mean) < 0.05 and found.var < 1.5 * without.var


@given(st.lists(st.tuples(st.floats(-1, 1), st.floats(0.3, 3)), min_size=1, max_size=9), st.data())
def test_left_out_one_tells_nothing(read, data):
    """Where all fit, what is left is the level of the others."""
    read = [Normal(*each) for each in read]
    at = data.draw(st.integers(0, len(read) - 1))
    others = level(Normal(0.0, 4.0), [*read[:at], *read[at + 1 :]])
    assert taken(Normal(0.0, 4.0), read).level(without=[at]) == pytest.approx(others)


def test_of_two_sessions_the_class_tells_which_is_wrong():
    found = level(Normal(0.0, 1.0), [Normal(0.2, 0.1), Normal(900.0, 0.1)])
    assert abs(found.mean) < 0.4


@pytest.mark.parametrize(("sd", "believed"), [(1.0, 1.0), (2.0, 1.0), (0.5, 1.0), (0.5, 4.0)])
def test_what_is_learned_is_the_variance_of_normal_values(sd, believed):
    off = np.random.default_rng(1).normal(0, sd, 4000)
    assert learned(believed, off.tolist()) == pytest.approx(sd**2, rel=0.08)


def test_squares_cut_at_two_and_a_half_sd_are_brought_back_to_the_variance():
    """E[min(z², c²)] = 1 − 2c·φ(c) − 2Q(c) + 2c²·Q(c), by parts, of a standard normal."""
    c, tail = math.sqrt(FITS_2), norm.sf(math.sqrt(FITS_2))
    assert pytest.approx(1 - 2 * c * norm.pdf(c) + 2 * (c * c - 1) * tail, rel=1e-4) == 1 / _CUT


def test_a_wild_one_in_twenty_moves_it_by_little():
    """Each counts for no more than 6.25 variances: a twentieth of them for about a third."""
    off = [*np.random.default_rng(2).normal(0, 1, 190), *[1000.0] * 10]
    assert learned(1.0, off) < 1.4 * learned(1.0, off[:190])


@given(st.integers(0, 500))
def test_one_more_reading_lies_as_wide_as_students_t(count):
    assert unsure(count) == pytest.approx(t.var(4 + count) if count else 2.0, rel=1e-9)


def test_a_few_wild_ones_teach_nothing():
    assert learned(0.04, [9.0, -9.0, 9.0]) == 0.04
    assert learned(0.04, [0.1, -0.2, 0.2, -0.1, 0.15, 50.0, -0.1, 0.2, 0.1]) < 0.05
