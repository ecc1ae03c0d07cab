"""Where one more reading should lie, held against the normal distribution conditioned with numpy, and scipy's MAD."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import median_abs_deviation

from pitbench.figures.foreseen import Normal, Spreads, foreseen, learned, level, lot_of

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


def test_of_two_sessions_the_class_tells_which_is_wrong():
    found = level(Normal(0.0, 1.0), [Normal(0.2, 0.1), Normal(900.0, 0.1)])
    assert abs(found.mean) < 0.4


@given(st.lists(st.floats(-5, 5), min_size=50, max_size=80))
def test_what_is_learned_comes_near_the_normal_mad(off):
    seen = median_abs_deviation(off, center=lambda values, axis=None: 0.0, scale="normal")
    found = learned(4.0, off)
    assert min(4.0, seen**2) - 1e-9 <= found <= max(4.0, seen**2) + 1e-9
    assert abs(found - seen**2) <= 0.3 * abs(4.0 - seen**2) + 1e-9


def test_a_few_wild_ones_teach_nothing():
    assert learned(0.04, [9.0, -9.0, 9.0]) == 0.04
    assert learned(0.04, [0.1, -0.2, 0.2, -0.1, 0.15, 50.0, -0.1, 0.2, 0.1]) < 0.05
