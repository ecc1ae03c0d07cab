"""Figures of one bench run: speed, poles, timing, copper, magnets, uncertainty."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.figures import speed, timing, uncertainty, warmth, winding
from tests.reference import motor_figures as reference

angles = st.floats(20, 60)
poles = st.sampled_from([2, 4, 6, 8])


def test_one_rpm_in_rad_per_second():
    assert pytest.approx(1, rel=1e-15) == speed.RPM_PER_RAD_S * reference.RAD_S_PER_RPM


@pytest.mark.parametrize("count", [0, 3, -2])
def test_odd_pole_counts_are_refused(count):
    with pytest.raises(ValueError, match="even number"):
        speed.mechanical_rpm(1000, count)


@given(st.floats(1000, 12_000), poles, poles)
def test_a_wrong_pole_setting_is_taken_back(kv, own, assumed):
    reading = speed.mechanical_rpm(kv * own / 2, assumed)  # what a tester shows that divides by the wrong pole pairs
    assert speed.corrected_for_poles(reading, own, assumed) == pytest.approx(kv)


def test_sensor_spread_is_the_largest_departure_of_a_step_from_60_degrees():
    a, b, c = reference.HALL["errors"]
    edges = sorted([a, 60 + c, 120 + b, 180 + a, 240 + c, 300 + b])
    steps = [*np.diff(edges), edges[0] + 360 - edges[-1]]
    assert steps == pytest.approx(reference.HALL["steps"], abs=1e-9)
    assert timing.sensor_spread(a, b, c) == max(abs(step - 60) for step in steps)


@given(angles, angles, angles, st.floats(-20, 20))
def test_a_common_shift_is_timing_and_no_spread(a, b, c, shift):
    shifted = (a + shift, b + shift, c + shift)
    assert timing.sensor_spread(*shifted) == pytest.approx(timing.sensor_spread(a, b, c), abs=1e-9)
    assert timing.mean_timing(*shifted) == pytest.approx(timing.mean_timing(a, b, c) + shift)


def test_timing_comes_from_three_sensors_else_from_the_total():
    assert timing.timing_of(42.0, 41.0, 43.0, 30.0) == 42.0
    assert timing.timing_of(42.0, None, 43.0, 30.0) == 30.0
    assert timing.timing_of(42.0, None, 43.0, None) is None
    assert timing.total_disagrees(42.1, 42.4, 41.9, 24.1)
    assert not timing.total_disagrees(42.1, 42.4, 41.9, 42.1)


def test_copper_constants_and_a_book_example():
    assert pytest.approx(1, abs=5e-5) == winding.COPPER_PER_K * (reference.COPPER_K_FROM_ALPHA + 20)
    book = reference.WINDING_RISE
    assert winding.resistance_20(book["hot"], 20 + book["rise_alpha"]) == pytest.approx(book["cold"], abs=1e-4)


def test_kv_follows_the_can_less_than_magnets_lose_flux():
    """The can warms more than the rotor it stands for."""
    low, high = sorted(flux := reference.NDFEB["remanence_kg"])
    per_k = (flux[high] / flux[low] - 1) / (high - low) * 100
    assert per_k == pytest.approx(reference.NDFEB["per_k_percent"], abs=1e-3)
    assert 0 < warmth.KV_SLOPE_PCT_PER_K < -max(per_k, *reference.NDFEB["range_percent"])


@given(st.floats(-1, 1))
def test_correlated_kv_and_current_make_speed_per_amp_surer(correlation):
    found = uncertainty.speed_per_amp_uncertainty(4000, 8, 4, 0.04, correlation)
    x, y = 0.002, 0.01
    assert found == pytest.approx(np.sqrt(max(0, x * x + y * y - 2 * correlation * x * y)), rel=1e-6, abs=1e-9)


def test_speed_per_amp_uncertainty_agrees_with_simulation():
    draws = np.random.default_rng(5).multivariate_normal([4000, 4], [[64, 0.16], [0.16, 0.0016]], 400_000)
    ratio = draws[:, 0] / draws[:, 1]
    found = uncertainty.speed_per_amp_uncertainty(4000, 8, 4, 0.04, 0.16 / (8 * 0.04))
    assert found == pytest.approx(ratio.std() / ratio.mean(), rel=0.01)


def test_correlation_needs_ten_pooled_repeats():
    x = np.arange(11.0)
    assert uncertainty.pooled_correlation(x, 2 * x, [0] * 11) == pytest.approx(1.0)
    assert uncertainty.pooled_correlation(x[:10], 2 * x[:10], [0] * 10) == 0.0
    assert uncertainty.pooled_correlation([5.0] * 11, x, [0] * 11) == 0.0
    assert uncertainty.pooled_correlation([], [], []) == 0.0


def test_a_run_without_a_thermometer_gets_ambient_and_the_rise_of_the_others():
    temps = warmth.filled_temperatures(
        [30.0, 34.0, None, None], [20.0, 20.0, 22.0, None], [0, 0, 1, 1], [0, 0, 0, 0], [0, 1, 0, 1]
    )
    assert temps == [30.0, 34.0, 32.0, 34.0]


def test_a_sitting_without_any_thermometer_takes_the_rise_of_the_logbook():
    temps = warmth.filled_temperatures([30.0, None], [20.0, 10.0], [0, 1], [0, 1], [0, 0])
    assert temps == [30.0, 20.0]


def test_without_ambient_the_median_motor_temperature_stands_in():
    assert warmth.filled_temperatures([30.0, None], [None, None], [0, 1], [0, 0], [0, 0]) == [30.0, 30.0]


def test_without_any_temperature_nothing_is_filled():
    assert warmth.filled_temperatures([None, None], [20.0, 20.0], [0, 1], [0, 0], [0, 0]) is None


@given(st.floats(2000, 8000), st.floats(0, 80), st.floats(0, 80))
def test_warmer_reads_faster_and_correcting_takes_it_out(kv, one, other):
    slope = warmth.KV_SLOPE_PCT_PER_K
    warmed = kv * np.exp(slope * (other - one) / 100)
    assert warmth.kv_at_reference(warmed, other) == pytest.approx(warmth.kv_at_reference(kv, one))
