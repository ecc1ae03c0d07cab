"""The loss share learned from two voltages, against currents made from a known split of the losses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.figures import losses
from pitbench.figures.loss_share import learned_share

PRIOR = (losses.SPEED_SQUARED_SHARE, losses.SPEED_SQUARED_SHARE_SD)


def two_voltages(share, low=3.7, high=7.4, motors=4, runs=3):
    """Currents of a loss torque of which `share` grows with speed at one cell: the same law the split is fitted by."""
    volts = np.tile(np.repeat([low, high], runs), motors)
    amps = 4.0 * (1 - share + share * volts / 3.7)
    return np.repeat(np.arange(motors), 2 * runs), volts, amps


@given(st.floats(0.3, 0.9))
def test_a_known_share_is_found_near_where_it_is(share):
    mean, sd = learned_share(*two_voltages(share), 3.7)
    assert abs(mean - share) < 0.03 + 0.15 * abs(share - PRIOR[0])  # drawn a little towards the prior
    assert 0.02 < sd < 0.08


def test_it_agrees_with_the_split_of_the_losses():
    """With no resistance the speed follows the voltage exactly, and the split's own share is the answer."""
    motor, volts, amps = two_voltages(0.45)
    split = losses.split_losses(volts[[0, 3]], amps[[0, 3]], 0.0, volts[[0, 3]] * 4000)
    torque = losses.no_load_loss_torque_nm(3.7, amps[0], 0.0, 3.7 * 4000)
    exact = split.speed_squared * 3.7 * 4000 / losses.RPM_PER_RAD_S / torque
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
