"""What motor temperatures in load logs tell: against integrals by scipy, and what must never happen."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from pitbench.figures import cooling, log_heat
from pitbench.figures.forecast import forecast
from pitbench.figures.heat_cells import TAU
from pitbench.figures.heat_fit import fit
from pitbench.figures.heating import heated, left
from pitbench.figures.log_heat import LoggedCan, finish_by_log, told_of_tau
from tests.unit.figures.test_forecast import PLAN, runs

AIR = 25.0


def logged(tau, rise=50.0, start=AIR, length=300.0, points=13):
    after = np.linspace(0, length, points)
    level = rise / heated(length, tau)
    temp = AIR + level * heated(after, tau) + (start - AIR) * left(after, tau)
    return LoggedCan(after.tolist(), temp.tolist(), AIR)


@pytest.mark.parametrize("tau", [60.0, 150.0, 400.0])
def test_weights_of_one_log_against_an_integral(tau):
    """Judge: scipy.integrate.quad over the log of the probe's time constant, level by numpy's least squares."""
    curve, spread = logged(tau, start=32.0), np.hypot(log_heat.OWN_SD, log_heat.SLOWER_SD)
    after, temp = (np.array(each) for each in (curve.after_s, curve.temp_c))
    variance = log_heat.READ_K**2 + (log_heat.SHAPE * (temp[-1] - temp[0])) ** 2

    def likelihood(log_tau):
        other = np.exp(log_tau)
        own = temp[1:] - AIR - (temp[0] - AIR) * left(after[1:], other)
        rest = np.linalg.lstsq(heated(after[1:], other)[:, None], own, rcond=None)[1][0]
        return np.exp(-rest / variance / 2)

    def weight(node):
        middle = np.log(node) + log_heat.SLOWER
        return integrate.quad(
            lambda x: likelihood(x) * stats.norm.pdf(x, middle, spread), np.log(10), np.log(4000), limit=200
        )[0]

    expected = np.log([weight(node) for node in TAU])
    assert told_of_tau([curve]) == pytest.approx(expected - expected.max(), abs=0.05)


def test_many_logs_never_wear_away_what_a_probe_differs_from_the_can():
    """Judge: a probe known exactly leaves the normal of what it differs by."""
    known = told_of_tau([logged(200.0)] * 200)
    off = (np.log(200.0) - np.log(TAU) - log_heat.SLOWER) / log_heat.SLOWER_SD
    assert known == pytest.approx((off**2).min() / 2 - off**2 / 2, abs=0.15)


@pytest.mark.parametrize(
    "curve", [logged(150.0, rise=3.0), logged(150.0, points=3), LoggedCan([0.0], [40.0], AIR), LoggedCan([], [], AIR)]
)
def test_a_log_too_flat_or_too_short_tells_nothing(curve):
    assert told_of_tau([curve]).tolist() == [0.0] * TAU.size
    assert told_of_tau([]).tolist() == [0.0] * TAU.size


@given(st.lists(st.lists(st.floats(-20, 150), min_size=4, max_size=13), max_size=4))
def test_whatever_a_probe_reads_the_weights_are_numbers(temps):
    found = told_of_tau([LoggedCan(np.linspace(0, 300, len(t)).tolist(), t, AIR) for t in temps])
    assert np.isfinite(found).all() and found.max() == 0


def test_a_longer_main_is_forecast_hotter_where_logs_saw_the_can_still_warming():
    before, plan = runs([70.0, 71.0, 69.0, 70.5]), replace(PLAN, length_s=480.0)
    quick, slow, none = (
        forecast(fit(replace(before, curves=curves), 44.0), plan).finish
        for curves in ([logged(60.0)] * 3, [logged(600.0)] * 3, [])
    )
    assert quick.median < none.median < slow.median
    assert quick.high90 - quick.low90 < none.high90 - none.low90


def test_a_finish_by_log_is_less_sure_than_one_that_was_read_and_all_are_off_alike():
    rest = cooling.learn()
    found = finish_by_log(logged(150.0, rise=50.0), rest)
    read = cooling.finish(cooling.CanReadings([60.0], [found.temp_c], AIR), rest)
    assert AIR + 40 < found.temp_c < AIR + 46
    assert found.doubt_k > 3 * read.doubt_k
    assert abs(found.shared_k) > found.own_k, "more runs of one car do not tell where its probe sits"
    assert not finish_by_log(logged(150.0, rise=1.0), rest).told
