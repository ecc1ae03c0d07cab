"""What one stored run comes to, against values worked by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk import run_figures

RUN = {
    "kv_rpm_per_v": 3953.0,
    "no_load_current_a": 4.1,
    "test_voltage_v": 3.7,
    "motor_temp_c": 31.0,
    "timing_deg": 42.1,
    "timing_a_deg": 42.4,
    "timing_b_deg": 41.9,
    "timing_c_deg": 42.0,
}
TWO, FOUR = {"poles": 2}, {"poles": 4}


def test_derived_figures_by_hand():
    assert run_figures.kv_of(RUN, TWO) == 3953
    # KV·exp(−0.0007·(31 − 25)), the prior slope of 0.07 % per kelvin
    assert run_figures.kv25_of(RUN, TWO) == pytest.approx(3953 * math.exp(-0.0042))
    assert run_figures.kv25_of(RUN, TWO) == pytest.approx(3936.43, abs=0.01)
    assert run_figures.speed_per_amp_of(RUN, TWO) == pytest.approx(3953 / 4.1)
    assert run_figures.idle_power_of(RUN) == pytest.approx(3.7 * 4.1)  # P = U·I
    assert run_figures.mean_timing_of(RUN) == pytest.approx((42.4 + 41.9 + 42.0) / 3)
    assert run_figures.sensor_spread_of(RUN) == pytest.approx(42.4 - 41.9)
    assert not run_figures.total_disagrees_in(RUN)


@pytest.mark.parametrize(
    ("run", "motor", "kv"),
    [
        ({"kv_rpm_per_v": 3900.0, "rpm": 99_000.0, "test_voltage_v": 3.7}, TWO, 3900),  # KV wins
        ({"rpm": 14_430.0, "test_voltage_v": 3.7, "erpm": 1.0}, TWO, 3900),  # rpm / V
        ({"erpm": 28_860.0, "test_voltage_v": 3.7}, FOUR, 3900),  # erpm / pole pairs / V
        ({"erpm": 14_430.0, "test_voltage_v": 3.7}, None, 3900),  # two poles if nobody said
        ({"kv_rpm_per_v": 7800.0, "poles_assumed": 2}, FOUR, 3900),  # read poles / poles_assumed times too high
        ({"rpm": 28_860.0, "test_voltage_v": 3.7, "poles_assumed": 2}, FOUR, 3900),
        ({"kv_rpm_per_v": 3900.0, "poles_assumed": 2}, {}, 3900),
        ({"rpm": 14_430.0}, TWO, None),
        ({"erpm": 14_430.0}, TWO, None),
        ({"test_voltage_v": 3.7}, TWO, None),
    ],
)
def test_kv_from_what_the_tester_tells(run, motor, kv):
    assert run_figures.kv_of(run, motor) == (kv if kv is None else pytest.approx(kv))


def test_unknown_is_none_never_nought():
    nothing = {"note": "looked at it"}
    assert run_figures.kv_of(nothing, TWO) is None and run_figures.kv25_of(RUN | {"motor_temp_c": None}, TWO) is None
    assert run_figures.kv25_of({"kv_rpm_per_v": 3950.0}, TWO) is None
    assert run_figures.speed_per_amp_of({"kv_rpm_per_v": 3950.0}, TWO) is None
    assert run_figures.idle_power_of({"no_load_current_a": 4.0}) is None
    assert run_figures.timing_of(nothing) is None and run_figures.mean_timing_of({"timing_deg": 42.0}) is None
    assert run_figures.sensor_spread_of({"timing_a_deg": 42.0, "timing_b_deg": 41.0}) is None
    assert not run_figures.total_disagrees_in({"timing_deg": 42.0, "timing_a_deg": 10.0})


def test_timing_is_that_of_the_sensors_else_the_total_never_the_mark():
    assert run_figures.timing_of(RUN) == pytest.approx(42.1)
    assert run_figures.timing_of({"timing_deg": 41.0, "timing_a_deg": 50.0}) == 41
    assert run_figures.timing_of({"timing_mark_deg": 35.0}) is None


ANGLE = st.floats(-30, 120)


@given(ANGLE, ANGLE, ANGLE, st.permutations([0, 1, 2]))
def test_sensors_are_alike(a, b, c, order):
    angles = [a, b, c]
    names = ("timing_a_deg", "timing_b_deg", "timing_c_deg")
    run, other = dict(zip(names, angles, strict=True)), {n: angles[i] for n, i in zip(names, order, strict=True)}
    assert run_figures.sensor_spread_of(run) == run_figures.sensor_spread_of(other) >= 0
    assert run_figures.timing_of(run) == pytest.approx(run_figures.timing_of(other))
    assert min(angles) - 1e-9 <= run_figures.timing_of(run) <= max(angles) + 1e-9


def test_kv_at_25_degrees_follows_the_slope_the_ranking_learned():
    run = {"kv_rpm_per_v": 3953.0, "motor_temp_c": 31.0}
    # KV·exp(-slope·6/100): 0.07 % per kelvin before anything is learned (ours), 0.1 % as learned
    assert run_figures.kv25_of(run, None) == pytest.approx(3936.43, abs=0.01)
    assert run_figures.kv25_of(run, None, 0.1) == pytest.approx(3929.35, abs=0.01)
