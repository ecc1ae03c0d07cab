"""Bringing the runs of one comparison to equal warmth and equal timing, or saying that it cannot be done.

A correction must never separate motors: all runs are corrected or none. This module makes the columns; their slopes are
learned by `estimate` together with everything else.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures import warmth
from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.criteria import MEASURED, RUN_ORDER_SLOPE

Known = Sequence[float | None]
ONE_SETTING_DEG = 0.6
"""Readings of timing less than this apart are one setting: four times the noise of a reading. Ours."""


@dataclass(frozen=True)
class RunConditions:
    """What is known of each bench run [n]; all runs are of motors compared, at one test voltage.

    Motor, session and place within its sitting (0 the first), temperatures in °C, timing and timing mark in degrees.
    """

    motor: Sequence[int]
    session: Sequence[int]
    run_number: Sequence[int]
    motor_temp: Known
    ambient: Known
    timing: Known
    timing_mark: Known


@dataclass(frozen=True)
class Warmth:
    """Column [n] for KV and its slope's prior; weight [n] of a KV reading; motor_temp_c: what it was brought to."""

    column: Floats
    slope: tuple[float, float]
    weight: Floats
    motor_temp_c: float | None


@dataclass(frozen=True)
class Timing:
    """Column [n] of degrees away from the common timing; timing_deg None: only within one motor, by its marks."""

    column: Floats
    timing_deg: float | None


def equal_warmth(runs: RunConditions) -> Warmth:
    """Kelvin away from 25 °C, a run without a thermometer filled in and given less weight.

    Without any temperature at all the place of the run in its sitting stands in, centred, and nothing is equalised.
    """
    filled = warmth.filled_temperatures(runs.motor_temp, runs.ambient, runs.motor, runs.session, runs.run_number)
    n = len(runs.motor)
    if filled is None:
        order = np.asarray(runs.run_number, dtype=float)
        return Warmth(order - (order.mean() if n else 0.0), RUN_ORDER_SLOPE, np.ones(n), None)
    noise = MEASURED["kv_rpm_per_v"].noise
    doubt = warmth.KV_SLOPE_PCT_PER_K * warmth.FILLED_IN_SD_K
    measured = np.array([t is not None for t in runs.motor_temp])
    weight = np.where(measured, 1.0, noise**2 / (noise**2 + doubt**2))
    slope = (warmth.KV_SLOPE_PCT_PER_K, warmth.KV_SLOPE_SD_PCT_PER_K)
    return Warmth(np.array(filled) - warmth.REFERENCE_C, slope, weight, warmth.REFERENCE_C)


def equal_timing(runs: RunConditions, n_motors: int) -> Timing:
    """Degrees away from the median timing of the motors, if every motor has a run with sensor or total timing.

    Readings of one motor that noise can explain are one setting, and its median counts: else the noise would pass for
    timing that does nothing to KV. A run without takes its motor's median, moved by the timing mark where that is
    known. Else degrees of the mark away from the median mark of the same motor, and no common timing.
    """
    motor = np.asarray(runs.motor, dtype=np.int64)
    timing, mark = (np.array(known, dtype=float) for known in (runs.timing, runs.timing_mark))
    centre = _medians(timing, motor, n_motors)
    if not n_motors or np.isnan(centre).any():
        return Timing(np.nan_to_num(mark - _medians(mark, motor, n_motors)[motor]), None)
    common = float(_medians(centre, np.zeros_like(motor, shape=n_motors), 1)[0])
    by_mark = mark + _medians(timing - mark, motor, n_motors)[motor]
    filled = np.where(np.isnan(by_mark), centre[motor], by_mark)
    known = ~np.isnan(timing)
    filled[known] = _settings(timing[known], motor[known])
    return Timing(filled - common, common)


def _settings(timing: Floats, motor: Ints) -> Floats:
    """Timing of the setting that each reading [n] belongs to: one motor's readings without a gap that is more than
    noise."""
    order = np.lexsort((timing, motor))
    anew = (np.diff(motor[order]) != 0) | (np.diff(timing[order]) > ONE_SETTING_DEG)
    setting = np.empty(timing.size, dtype=np.int64)
    setting[order] = np.concatenate([np.zeros(min(timing.size, 1), dtype=np.int64), np.cumsum(anew)])
    return _medians(timing, setting, int(setting.max(initial=-1)) + 1)[setting]


def _medians(value: Floats, motor: Ints, n_motors: int) -> Floats:
    """Median of every motor's known values [motors], NaN where it has none; value [n] is NaN where not known."""
    known = ~np.isnan(value)
    value, motor = value[known], motor[known]
    value = value[np.lexsort((value, motor))]
    count = np.bincount(motor, minlength=n_motors)
    start = np.cumsum(count) - count
    found = np.full(n_motors, np.nan)
    some = count > 0
    low, high = start[some] + (count[some] - 1) // 2, start[some] + count[some] // 2
    found[some] = (value[low] + value[high]) / 2
    return found
