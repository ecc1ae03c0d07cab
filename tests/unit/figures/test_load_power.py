"""Power at load against a calculation by hand, and its sense of direction."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.figures import load_power
from pitbench.figures.load_power import Load, power_at_load

FREE = Load("free", 7.6, 0.02, 3.7)
CAPPED = Load("capped", 7.6, 0.02, 3.7)


def draws(*motors, n=400):
    """kv, current and resistance in ohm of motors given as triples, the same in every draw."""
    return (np.tile(np.array(column), (n, 1)) for column in zip(*motors, strict=True))


def by_hand(kv, current, resistance, gearing, share, loss_share, mean_kv, mean_r):
    """One motor at one working point, written out with numbers only."""
    back_kv = kv * 3.7 / (3.7 - current * resistance)
    r = resistance + 0.02
    i = share * 7.6 / mean_r
    rpm = mean_kv * (7.6 - i * mean_r)
    if gearing == "capped":
        i = (7.6 - rpm / back_kv) / r
    rpm_own = back_kv * (7.6 - i * r)
    drag = current * (1 - loss_share + loss_share * rpm_own / (kv * 3.7))
    return (7.6 - i * r) * (i - drag)


@pytest.mark.parametrize("gearing", ["free", "capped"])
def test_power_agrees_with_a_calculation_by_hand(gearing, monkeypatch):
    monkeypatch.setitem(load_power.SHARE, gearing, (0.4, 0.4))
    monkeypatch.setattr(load_power, "LEADS_DOUBT", 0.0)
    motors = [(3950.0, 4.1, 0.0112), (3900.0, 3.9, 0.0118)]
    back = [kv * 3.7 / (3.7 - i * r) for kv, i, r in motors]
    mean_kv, mean_r = sum(back) / 2, sum(r for _, _, r in motors) / 2 + 0.02
    expected = [by_hand(*motor, gearing, 0.4, 0.6, mean_kv, mean_r) for motor in motors]
    found = power_at_load(*draws(*motors), Load(gearing, 7.6, 0.02, 3.7, loss_share=(0.6, 0.0)))
    assert found.watts[0] == pytest.approx(expected, rel=1e-9)
    assert found.current == pytest.approx((0.4 * 7.6 / mean_r,) * 2)


def test_equal_motors_have_equal_power_and_don_t_know_is_half_of_each():
    motor = (3950.0, 4.0, 0.0115)
    found = power_at_load(*draws(motor, motor), Load("unknown", 7.6, 0.02, 3.7))
    assert found.watts[:, 0] == pytest.approx(found.watts[:, 1])
    low, high = found.current
    assert low == pytest.approx(0.20 * 7.6 / 0.0315) and high == pytest.approx(0.55 * 7.6 / 0.0315)


def test_leads_are_as_uncertain_as_believed(monkeypatch):
    """Stall current of each draw tells its leads: V ÷ stall − R; 20 ± 8 mΩ, common practice, no source."""
    monkeypatch.setitem(load_power.SHARE, "free", (0.4, 0.4))
    motor = (3950.0, 0.0, 0.0115)
    watts = power_at_load(*draws(motor, n=4000), FREE).watts[:, 0]
    leads = 7.6**2 * 0.4 * 0.6 / watts - 0.0115
    assert (leads.mean(), leads.std()) == pytest.approx((0.020, 0.008), rel=0.02)


@given(st.floats(3000, 5000), st.floats(2, 6), st.floats(0.008, 0.03))
def test_less_resistance_and_less_drag_are_worth_power_and_kv_only_where_gearing_is_capped(kv, current, resistance):
    base = (kv, current, resistance)
    for load in (FREE, CAPPED):
        watts = power_at_load(*draws(base, (kv, current, resistance * 0.97)), load).watts
        assert (watts[:, 1] > watts[:, 0]).all()
        watts = power_at_load(*draws(base, (kv, current * 0.9, resistance)), load).watts
        assert (watts[:, 1] > watts[:, 0]).all()
    free, capped = (
        100 * (watts[:, 1] / watts[:, 0] - 1).mean()
        for watts in (
            power_at_load(*draws(base, (kv * 1.01, current, resistance)), load).watts for load in (FREE, CAPPED)
        )
    )
    assert abs(free) < 0.1 < capped


def test_a_bench_voltage_nobody_wrote_down_counts_as_one_cell():
    motor = (3950.0, 4.0, 0.0115)
    assert power_at_load(*draws(motor), Load("free", 7.6, 0.02, None)).watts == pytest.approx(
        power_at_load(*draws(motor), FREE).watts
    )


def test_don_t_know_is_half_of_each_when_the_two_disagree():
    """At one current the motor of less resistance gives more, at one speed the faster one: each leads half."""
    fast, cool = (4350.0, 4.0, 0.0122), (3900.0, 4.0, 0.0110)
    ahead = {}
    for gearing in ("free", "capped", "unknown"):
        watts = power_at_load(*draws(fast, cool), Load(gearing, 7.6, 0.02, 3.7)).watts
        ahead[gearing] = np.mean(watts[:, 0] > watts[:, 1])
    assert ahead == {"free": 0.0, "capped": 1.0, "unknown": 0.5}


def test_currents_a_log_has_seen_take_the_place_of_the_shares(monkeypatch):
    """Half of the draws at 20 A and half at 40 A by hand, where (V − i·R)·(i − I0) with a steady loss is the power."""
    monkeypatch.setattr(load_power, "LEADS_DOUBT", 0.0)
    motor = (3950.0, 4.0, 0.0115)
    load = Load("free", 7.6, 0.02, 3.7, loss_share=(0.0, 0.0), working_current=(20.0, 40.0))
    found = power_at_load(*draws(motor, n=4000), load)
    assert found.current == (20.0, 40.0)
    i = np.linspace(20, 40, 2001)
    assert found.watts.mean() == pytest.approx(((7.6 - i * 0.0315) * (i - 4.0)).mean(), rel=1e-3)
    assert found.watts.min() == pytest.approx((7.6 - 20 * 0.0315) * 16, rel=1e-2)
