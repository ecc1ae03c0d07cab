"""The loss share learned from two voltages, against currents made from a known split of the losses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.figures import losses
from pitbench.figures.loss_share import learned_share

PRIOR = (losses.SPEED_SQUARED_SHARE, losses.SPEED_SQUARED_SHARE_SD)


def two_voltages(share, low=3.7, high=7.4, motors=4, runs=3):
    """Currents of a loss torque of which `share` grows with speed at one cell."""
    volts = np.tile(np.repeat([low, high], runs), motors)
    amps = 4.0 * (1 - share + share * volts / 3.7)
    return np.repeat(np.arange(motors), 2 * runs), volts, amps


@given(st.floats(0.3, 0.9))
def test_a_known_share_is_found_near_where_it_is(share):
    mean, sd = learned_share(*two_voltages(share), 3.7)
    assert abs(mean - share) < 0.03 + 0.15 * abs(share - PRIOR[0])  # drawn a little towards the prior
    assert 0.02 < sd < 0.08


def test_it_agrees_with_a_line_through_the_loss_torques():
    """V·I0/ω = Tc + ke·ω, the separation of losses in drives textbooks; with no resistance speed follows voltage."""
    motor, volts, amps = two_voltages(0.45)
    omega = volts * 4000 * 2 * np.pi / 60
    eddy, coulomb = np.polyfit(omega, volts * amps / omega, 1)
    exact = eddy * omega[0] / (coulomb + eddy * omega[0])
    assert exact == pytest.approx(0.45)
    assert learned_share(motor, volts, amps, 3.7)[0] == pytest.approx(exact, abs=0.03)


def test_learned_at_two_cells_it_is_the_same_share_at_one():
    low, high = learned_share(*two_voltages(0.4), 3.7), learned_share(*two_voltages(0.4), 7.4)
    assert low[0] == pytest.approx(high[0], abs=0.01)


@pytest.mark.parametrize(
    "runs",
    [
        (np.zeros(0, dtype=int), np.zeros(0), np.zeros(0)),
        (np.array([0, 1]), np.array([3.7, 7.4]), np.array([4.0, 6.4])),
        (np.array([0, 0]), np.array([3.7, 3.9]), np.array([4.0, 4.2])),
    ],
    ids=["no runs", "no motor at both", "voltages too close"],
)
def test_without_two_voltages_it_stays_as_believed(runs):
    assert learned_share(*runs, 3.7) == PRIOR
    assert learned_share(*runs, None) == PRIOR


def test_more_motors_leave_the_doubt_of_the_sessions():
    few, many = (learned_share(*two_voltages(0.6, motors=n), 3.7)[1] for n in (1, 40))
    assert many < few < PRIOR[1] and many > 0.03


def test_the_doubt_is_that_of_two_sessions_and_of_the_readings():
    """Closed form where the law is nearly straight: precisions of prior and ratio add (Gaussian product). The ratio of
    two currents, one a session, has the doubt of both sessions; σ 1 %, sessions 2 % of current."""
    share, ratio_at = 0.6, 2.0
    slope = ratio_at / (1 - share + share * ratio_at) - 1 / (1 - share + share * ratio_at)  # of the log ratio in s
    for motors, runs in ((1, 1), (12, 1)):
        readings = 2 / runs / motors
        sd = 0.01 * np.sqrt(1.0**2 * readings + 2 * 2.0**2)
        found = learned_share(*two_voltages(share, motors=motors, runs=runs), 3.7)
        assert found[1] == pytest.approx((PRIOR[1] ** -2 + (slope / sd) ** 2) ** -0.5, rel=0.005)
