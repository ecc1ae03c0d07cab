"""Control chart of the check motor: limits, false alarms, and what it finds; published charts: tests/reference."""

import numpy as np
import pytest

from pitbench.figures.control import chart


def test_limits_about_a_known_centre_are_the_textbook_ones():
    """width·s·√(w/(2 − w)·(1 − (1 − w)^2t)): Montgomery, Introduction to Statistical Quality Control (recalled)."""
    t = np.arange(1, 13)
    expected = 3 * 0.5 * np.sqrt(0.2 / 1.8 * (1 - 0.8 ** (2 * t)))
    assert chart(np.zeros(12), np.full(12, 0.25), centre=0.0).limit == pytest.approx(expected)


@pytest.mark.parametrize("count", [2, 3, 6, 12])
@pytest.mark.parametrize("weight", [0.2, 1.0])
def test_limits_are_three_standard_deviations_whatever_the_number_of_sessions(count, weight):
    """Also when the centre is the mean of the very sessions, and some have fewer runs than others."""
    rng = np.random.default_rng(count)
    variance = rng.uniform(0.5, 2, count)
    drawn = np.sqrt(variance) * rng.standard_normal((3000, count))
    charts = [chart(each, variance, weight=weight) for each in drawn]
    departure = np.array([each.smoothed[-1] - each.centre for each in charts])
    assert departure.std() == pytest.approx(charts[0].limit[-1] / 3, rel=0.05)
    assert np.mean([each.off for each in charts]) < 0.008


def test_limits_from_repeatability_alone_would_alarm_all_the_time():
    """Sessions apart by 0.3 %, two runs of 0.2 % each: the spread of sessions belongs into the limits."""
    rng = np.random.default_rng(1)
    drawn = np.sqrt(0.3**2 + 0.02) * rng.standard_normal((2000, 6))
    alarms = [np.mean([chart(x, np.full(6, v), weight=1.0).off for x in drawn]) for v in (0.3**2 + 0.02, 0.02)]
    assert alarms[0] < 0.01 and alarms[1] > 0.2


def test_a_slow_drift_is_found_by_the_average_before_any_single_point_tells():
    drift = np.array([0.0, 0.1, 0.0, 0.3, 0.5, 0.8, 0.9, 1.1])
    variance = np.full(8, 0.16)
    assert chart(drift, variance, centre=0.0).off
    assert not chart(drift, variance, centre=0.0, weight=1.0).off


def test_a_sudden_shift_is_found_by_the_single_point():
    last = [0.0, 0.1, -0.1, 0.0, 1.6]
    assert chart(last, np.full(5, 0.16), weight=1.0).off
    assert not chart([0.0, 0.1, -0.1, 0.0, 0.5], np.full(5, 0.16), weight=1.0).off
