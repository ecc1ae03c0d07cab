"""What a load log tells, and when it refuses: every sample is accounted for, whatever it holds."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from pitbench.figures.load_log import Samples, analyse

KV, OHM = 4000.0, 0.03
RATE = 10


def pulls(count=20, rows=15, noise=0.0, seed=0):
    """Still for 3 s, then pulls of so many rows with as many at half throttle between; current falls in each."""
    rng = np.random.default_rng(seed)
    current, throttle = [np.zeros(30)], [np.zeros(30)]
    for _ in range(count):
        top, end = rng.uniform(30, 60), rng.uniform(8, 15)
        current += [end + (top - end) * np.exp(-np.arange(rows) / rng.uniform(3, 8)), np.full(rows, 5.0)]
        throttle += [np.ones(rows), np.full(rows, 0.5)]
    amps, asked = np.concatenate(current), np.concatenate(throttle)
    voltage = 8.0 - 0.01 * amps
    rpm = KV * (asked * voltage - amps * OHM) * (1 + noise * rng.standard_normal(amps.size))
    unknown = np.full(amps.size, np.nan)
    return Samples(np.arange(amps.size) / RATE, voltage, amps, False, rpm * (asked > 0), asked, *[unknown] * 3)


def test_exact_samples_give_kv_and_resistance():
    found = analyse(pulls(), no_load_current=2.0)
    assert found.separated
    assert found.basis == "full_throttle"
    assert found.kv.mean == pytest.approx(KV, rel=1e-6)
    assert found.resistance.mean == pytest.approx(OHM, rel=1e-5)
    assert found.lag == pytest.approx(0, abs=1e-3)
    assert found.doubts == ()
    assert -1 <= found.correlation <= 1


def test_power_at_the_shaft_is_torque_times_speed():
    log = pulls()
    full = log.throttle == 1
    full[1:] &= full[:-1]
    found = analyse(log, no_load_current=2.0).at_full
    torque = (log.current_a - 2.0) * 60 / (2 * np.pi * KV)
    assert found.shaft_power_w == pytest.approx((torque * log.rpm * 2 * np.pi / 60)[full].mean(), rel=1e-3)
    assert found.power_in_w == pytest.approx((log.voltage_v * log.current_a)[full].mean(), rel=1e-9)
    assert found.current_a == pytest.approx(tuple(np.percentile(log.current_a[full], (10, 90))), rel=1e-9)
    assert analyse(log).at_full.shaft_power_w is None, "friction is not known"


@pytest.mark.parametrize("late", [-2, -1, 1, 2, 3])
def test_speed_some_rows_late_is_laid_back(late):
    log = pulls(noise=0.001)
    found = analyse(replace(log, rpm=np.roll(log.rpm, late)))
    assert found.lag == pytest.approx(late, abs=0.2)
    assert found.resistance.mean == pytest.approx(OHM, abs=3 * found.resistance.se)
    assert [doubt.what for doubt in found.doubts] == ["lag"]


def test_current_read_at_rest_is_taken_off():
    log = pulls()
    found = analyse(replace(log, current_a=log.current_a + 1.5))
    assert found.current_offset == pytest.approx(1.5)
    assert found.kv.mean == pytest.approx(KV, rel=1e-4)
    assert [doubt.what for doubt in found.doubts] == ["current_offset"]
    assert found.charge_ah == pytest.approx(analyse(log).charge_ah, rel=1e-6)


def test_backwards_throughout_is_forwards():
    log = pulls()
    found = analyse(replace(log, rpm=-log.rpm))
    assert found.kv.mean == pytest.approx(KV, rel=1e-6)
    assert [doubt.what for doubt in found.doubts] == ["negative_speed"]


def test_charge_and_energy_of_a_steady_current_and_not_across_a_gap():
    time = np.append(np.arange(0, 1800.1, 0.5), np.arange(5400, 7200.1, 0.5))
    steady, unknown = np.full(time.size, 1.0), np.full(time.size, np.nan)
    found = analyse(Samples(time, 8 * steady, 3 * steady, False, unknown, unknown, unknown, unknown, unknown))
    assert found.charge_ah == pytest.approx(3.0)
    assert found.energy_wh == pytest.approx(24.0)
    assert (found.gaps, found.seconds) == (1, 7200.0)
    assert found.why == "no_speed"


def test_temperatures_first_last_highest_and_a_dead_channel():
    log = pulls()
    temp = 24 + 40 * np.sin(np.arange(log.time_s.size) / log.time_s.size * 2)
    temp[0] = np.nan
    found = analyse(replace(log, motor_temp_c=temp, esc_temp_c=0 * temp))
    assert found.motor_temp.highest == np.nanmax(temp)
    assert (found.motor_temp.start, found.motor_temp.end) == (temp[1], temp[-1])
    assert found.esc_temp is None


def steady_current(log):
    return replace(log, current_a=np.where(log.throttle == 1, 20.0, log.current_a))


REFUSED = {
    "no_speed": lambda log: replace(log, rpm=0 * log.rpm),
    "no_full_throttle": lambda log: replace(log, throttle=0.95 * log.throttle),
    "battery_current": lambda log: replace(log, throttle=0.95 * log.throttle, duty=0.95 * log.throttle),
    "too_few": lambda log: replace(log, throttle=np.where(log.time_s < 10, log.throttle, 0.9 * log.throttle)),
    "no_spread": steady_current,
    "no_resistance": lambda log: replace(log, rpm=log.throttle * KV * (log.voltage_v + 0.02 * log.current_a)),
}


@pytest.mark.parametrize("why", REFUSED)
def test_refused_with_the_reason(why):
    found = analyse(REFUSED[why](pulls(noise=0.0005)))
    assert found.why == why
    assert (found.kv, found.resistance, found.correlation) == (None, None, None)


def test_never_full_but_duty_and_the_motors_current():
    log = pulls()
    fed = replace(log, throttle=0.9 * log.throttle, duty=0.9 * log.throttle, current_is_of_motor=True)
    log = replace(fed, rpm=np.maximum(KV * (fed.duty * fed.voltage_v - fed.current_a * OHM), 0))
    found = analyse(log)
    assert found.basis == "duty"
    assert found.kv.mean == pytest.approx(KV, rel=1e-5)
    assert found.resistance.mean == pytest.approx(OHM, rel=1e-4)
    assert found.at_full is None


def accounted(log):
    found = analyse(log, 1.0)
    rows = log.time_s.size
    assert found.used.size == rows
    assert min(found.part_throttle, found.unsettled, found.unlikely) >= 0
    assert found.used.sum() + found.part_throttle + found.unsettled + found.unlikely == rows
    assert found.separated == (found.kv is not None)


def any_channel(size):
    return arrays.arrays(
        np.float64, size, elements=st.sampled_from([np.nan, 0.0, 0.5, 1.0, -1.0, 7.4, 30.0, 6553.5, 1e9])
    )


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_whatever_a_log_holds_every_row_is_accounted_for(data):
    size = data.draw(st.integers(0, 60))
    channels = [data.draw(any_channel(size)) for _ in range(7)]
    time = np.cumsum(data.draw(arrays.arrays(np.float64, size, elements=st.sampled_from([0.0, 0.1, 2.0]))))
    accounted(Samples(time, *channels[:2], data.draw(st.booleans()), *channels[2:]))


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_a_real_log_with_channels_spoiled_is_accounted_for(data):
    log = pulls(count=8)
    name = data.draw(st.sampled_from(["voltage_v", "current_a", "rpm", "throttle", "duty", "motor_temp_c"]))
    accounted(replace(log, **{name: data.draw(any_channel(log.time_s.size))}))
