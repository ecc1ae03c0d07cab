"""Equal warmth and equal timing: for all motors or for none."""

import numpy as np
import pytest

from pitbench.figures.conditions import RunConditions, equal_timing, equal_warmth


def runs(motor, **known):
    n = len(motor)
    blank = {name: [None] * n for name in ("motor_temp", "ambient", "timing", "timing_mark")}
    return RunConditions(motor=motor, **({"session": [0] * n, "run_number": [0] * n} | blank | known))


def test_warmth_is_counted_from_25_degrees():
    found = equal_warmth(runs([0, 1], motor_temp=[30.0, 27.0], ambient=[22.0, 22.0]))
    assert found.column == pytest.approx([5, 2])
    assert found.weight == pytest.approx([1, 1])
    assert (found.motor_temp_c, found.slope) == (25.0, (0.07, 0.04))


def test_a_run_without_a_thermometer_is_filled_in_and_counts_less():
    found = equal_warmth(runs([0, 1], motor_temp=[30.0, None], ambient=[22.0, 20.0]))
    assert found.column == pytest.approx([5, 3])  # 20 °C and the 8 K of the other motor
    assert found.weight[0] == 1 and 0.2 < found.weight[1] < 0.5


def test_without_any_temperature_nobody_is_corrected_and_order_takes_its_place():
    found = equal_warmth(runs([0, 0, 1], run_number=[0, 1, 0], ambient=[20.0, 20.0, 20.0]))
    assert found.motor_temp_c is None
    assert found.column == pytest.approx(np.array([0, 1, 0]) - 1 / 3)


def test_timing_is_counted_from_the_median_of_the_motors():
    found = equal_timing(runs([0, 0, 1], timing=[42.0, 43.2, 40.6]), 2)
    assert found.timing_deg == pytest.approx(41.6)
    assert found.away_deg == pytest.approx([1.0, -1.0])
    assert found.column == pytest.approx([-0.6, 0.6, 0.0])  # within a motor; between motors nothing is learned


def test_readings_at_one_mark_are_one_setting_its_mean_and_others_are_not():
    """0.8° apart at one mark is noise; the same at two marks is timing."""
    timing, marks = [42.0, 42.8, 42.2, 41.0, 41.0, 41.0], [35.0, 35.0, 36.0, 30.0, 30.0, 30.0]
    found = equal_timing(runs([0, 0, 0, 1, 1, 1], timing=timing, timing_mark=marks), 2)
    own = 42 + 1 / 3
    assert found.column == pytest.approx([42.4 - own, 42.4 - own, 42.2 - own, 0, 0, 0])
    assert found.timing_deg + found.away_deg == pytest.approx([own, 41.0])


def test_noisy_readings_without_marks_are_still_one_setting_and_its_doubt_falls_with_readings():
    """Five readings a motor that scatter by 0.5°: known to 0.5°/√5, the tester's noise learned from them."""
    noisy = np.random.default_rng(1).normal(0, 0.5, 60)
    motor = np.repeat(np.arange(12), 5)
    found = equal_timing(runs(motor.tolist(), timing=(40 + 2.0 * (motor % 3) + noisy).tolist()), 12)
    assert all(np.ptp(found.column[motor == m]) == pytest.approx(0) for m in range(12))
    assert found.doubt_deg == pytest.approx(0.5 / 5**0.5, rel=0.2)


def test_readings_of_timing_that_noise_explains_are_one_setting():
    """Two settings of motor 0, read 0.3° apart within each; motor 1 was read at one of them and is no part of it."""
    timing = [42.0, 45.0, 42.3, 45.3, 42.3, 42.1]
    found = equal_timing(runs([0, 0, 0, 0, 0, 1], timing=timing), 2)
    own = (3 * 42.2 + 2 * 45.15) / 5
    assert found.timing_deg == pytest.approx((own + 42.1) / 2)
    assert found.column[:5] + own == pytest.approx([42.2, 45.15, 42.2, 45.15, 42.2])


def test_a_run_without_timing_takes_its_motor_s_moved_by_the_mark():
    found = equal_timing(runs([0, 0, 0, 1], timing=[42.0, None, None, 42.0], timing_mark=[35.0, 37.0, None, None]), 2)
    assert found.column == pytest.approx([-2 / 3, 4 / 3, -2 / 3, 0.0])
    assert found.away_deg == pytest.approx([1 / 3, -1 / 3])


def test_one_motor_without_timing_leaves_all_motors_as_they_are():
    found = equal_timing(runs([0, 0, 1, 1], timing=[42.0, 42.0, None, None], timing_mark=[35.0, 35.0, 30.0, 34.0]), 2)
    assert found.timing_deg is None
    assert found.column == pytest.approx([0, 0, -2, 2])  # marks compare runs of one motor only


def test_no_runs_at_all():
    assert equal_warmth(runs([])).motor_temp_c is None
    assert equal_timing(runs([]), 0).timing_deg is None
