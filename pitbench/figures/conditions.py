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
READING_DEG, READING_FREEDOM = 0.15, 3.0
"""Repeatability of a timing reading, believed as firmly as three readings (common practice, no source)."""
MEDIAN_STEP = 0.954
"""Median of |x − y| for two normals of sd 1: √2 · 0.6745."""
ONE_SETTING = 4.0
LEAST_APART_DEG, MOST_APART_DEG = 0.6, 1.5
"""Readings of timing at no mark are one setting unless they lie further apart than so many times their noise, and never
less nor more than this many degrees. A reading further off its setting than the latter is no part of the mean. Ours."""


@dataclass(frozen=True)
class RunConditions:
    """What is known of each bench run [n]; all runs are of motors compared, at one test voltage.

    Motor, session and place within its sitting (0 the first), temperatures in °C, timing and timing mark in degrees;
    hours since its session began, NaN where they are not known, empty where none are.
    """

    motor: Sequence[int]
    session: Sequence[int]
    run_number: Sequence[int]
    motor_temp: Known
    ambient: Known
    timing: Known
    timing_mark: Known
    hours: Sequence[float] = ()


@dataclass(frozen=True)
class Warmth:
    """Column [n] for KV and its slope's prior; weight [n] of a KV reading; motor_temp_c: what it was brought to."""

    column: Floats
    slope: tuple[float, float]
    weight: Floats
    motor_temp_c: float | None


@dataclass(frozen=True)
class Timing:
    """Column [n] of degrees away from the mean of the same motor; timing_deg: the common timing, None: not equalised.

    away_deg, doubt_deg [motors]: how far each motor's mean lies from the common timing, and its standard uncertainty,
    which KV and current share. Slopes are learned within motors alone: people turn the timing of the motors that read
    low, and between motors that would pass for timing that does nothing.
    """

    column: Floats
    timing_deg: float | None
    away_deg: Floats
    doubt_deg: Floats


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


def time_of_evening(runs: RunConditions) -> Floats:
    """Hours from the middle of its session for every run [n], for the drift of the tester; 0 where nobody knows."""
    session = np.asarray(runs.session, dtype=np.int64)
    hours = np.asarray(runs.hours, dtype=float) if len(runs.hours) else np.full(session.size, np.nan)
    known = ~np.isnan(hours)
    count = np.maximum(np.bincount(session, known), 1)
    middle = np.bincount(session, np.nan_to_num(hours)) / count
    return np.nan_to_num(hours - middle[session])


def equal_timing(runs: RunConditions, n_motors: int) -> Timing:
    """Degrees away from the median timing of the motors, if every motor has a run with sensor or total timing.

    Readings are noisy, and taken as exact they bend the slope: the timing of one motor at one mark is one setting, its
    mean. Without marks, readings that noise can explain are one setting. A run without takes its motor's middle, moved
    by the timing mark where that is known. Else degrees of the mark away from the median mark of the same motor, and
    no common timing.
    """
    motor = np.asarray(runs.motor, dtype=np.int64)
    timing, mark = (np.array(known, dtype=float) for known in (runs.timing, runs.timing_mark))
    middle = medians(timing, motor, n_motors)
    if not n_motors or np.isnan(middle).any():
        nothing = np.zeros(n_motors)
        return Timing(np.nan_to_num(mark - medians(mark, motor, n_motors)[motor]), None, nothing, nothing)
    by_mark = mark + medians(timing - mark, motor, n_motors)[motor]
    filled = np.where(np.isnan(by_mark), middle[motor], by_mark)
    known = ~np.isnan(timing)
    filled[known], noise = _settings(timing[known], motor[known], mark[known])
    own = np.bincount(motor, filled, n_motors) / np.bincount(motor, minlength=n_motors)
    common = float(np.median(own))
    readings = np.bincount(motor[known], minlength=n_motors)
    return Timing(filled - own[motor], common, own - common, noise / np.sqrt(readings))


def _settings(timing: Floats, motor: Ints, mark: Floats) -> tuple[Floats, float]:
    """Timing of the setting that each reading [n] belongs to, and the repeatability of a reading."""
    setting = setting_of(timing, motor, mark)
    size = int(setting.max(initial=-1)) + 1
    usable = np.abs(timing - medians(timing, setting, size)[setting]) <= MOST_APART_DEG
    count = np.bincount(setting, usable, size)
    mean = np.bincount(setting, usable * timing, size) / np.maximum(count, 1)
    squares = float((usable * (timing - mean[setting]) ** 2).sum())
    freedom = READING_FREEDOM + float(np.maximum(count - 1, 0).sum())
    noise = float(np.sqrt((READING_FREEDOM * READING_DEG**2 + squares) / freedom))
    return np.where(count > 0, mean, 0.0)[setting], noise


def setting_of(timing: Floats, motor: Ints, mark: Floats) -> Ints:
    """Label of every reading's setting: its motor and mark, without a mark what noise can explain [n]."""
    following = np.abs(np.diff(timing))[np.diff(motor) == 0]
    typical = float(np.median(following)) / MEDIAN_STEP if following.size else 0.0
    told = max(following.size - READING_FREEDOM, 0.0)  # a few large steps are rather settings than noise
    noise = np.sqrt((READING_FREEDOM * READING_DEG**2 + told * typical**2) / (READING_FREEDOM + told))
    gap = float(np.clip(ONE_SETTING * noise, LEAST_APART_DEG, MOST_APART_DEG))
    marked = np.nan_to_num(mark, nan=-1.0)
    order = np.lexsort((timing, marked, motor))
    anew = (np.diff(motor[order]) != 0) | (np.diff(marked[order]) != 0)
    anew |= (np.diff(timing[order]) > gap) & np.isnan(mark[order][1:])
    setting = np.empty(timing.size, dtype=np.int64)
    setting[order] = np.concatenate([np.zeros(min(timing.size, 1), dtype=np.int64), np.cumsum(anew)])
    return setting


def medians(value: Floats, motor: Ints, n_motors: int) -> Floats:
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
