"""Gears compared on one track: statsmodels' least squares on the same columns as an oracle, and days drawn by hand."""

import numpy as np
import pytest
import statsmodels.api as sm

from pitbench.figures.gear_pace import gear_pace
from pitbench.figures.laps import LAPS, Reading
from pitbench.figures.pace import TrackRuns


def runs_of(motor, day, percent, hour=None):
    n = len(motor)
    reading = [Reading(20 * float(np.exp(each / 100)), LAPS, 1.0) for each in percent]
    return TrackRuns(3, list(motor), list(day), list(hour or [12.0] * n), reading, [None] * n)


def drawn(n, effects, seed, days=6):
    rng = np.random.default_rng(seed)
    motor, gears, day = rng.integers(0, 3, n), rng.integers(0, len(effects), n), np.arange(n) % days
    percent = np.array([-0.5, 0.0, 0.5])[motor] + np.asarray(effects)[gears] + 5.0 * day + rng.normal(0, 0.3, n)
    return motor, gears, day, percent


def test_differences_of_gears_are_those_of_least_squares():
    motor, gears, day, percent = drawn(600, [0.0, -0.4, 0.3], 3)
    found = gear_pace(runs_of(motor, day, percent), gears)
    columns = [np.equal.outer(each, np.arange(1, each.max() + 1)) for each in (motor, gears, day)]
    fit = sm.OLS(percent, sm.add_constant(np.column_stack(columns).astype(float))).fit()
    own = np.array([each.mean for each in found.seconds]) * 100 / (20 * np.exp(percent.mean() / 100))
    assert own[1:] - own[0] == pytest.approx(fit.params[3:5], abs=0.02)  # the prior shrinks by that much at most
    assert found.chance_best[1] > 0.99 and found.lead_s.low90 > 0


def test_the_truth_lies_in_nine_of_ten_intervals():
    inside, total = 0, 0
    for seed in range(60):
        effects = np.random.default_rng(1000 + seed).normal(0, 0.45, 3)
        motor, gears, day, percent = drawn(24, effects, seed, days=3)
        found = gear_pace(runs_of(motor, day, percent), gears, n_draws=400)
        lap = 20 * np.exp(percent.mean() / 100) / 100
        for each, true in zip(found.seconds, (effects - effects.mean()) * lap, strict=True):
            inside, total = inside + (each.low90 <= true <= each.high90), total + 1
    assert 0.84 <= inside / total <= 0.97


def test_gears_never_run_beside_others_are_not_compared():
    found = gear_pace(runs_of([0, 1, 0, 1], [0, 0, 1, 1], [0, 1, 5, 6]), [0, 0, 1, 1])
    assert found.seconds == (None, None) and found.lead_s is None and found.chance_best == (0.0, 0.0)
    mixed = gear_pace(runs_of([0, 1, 0, 1], [0, 0, 1, 1], [0, 1, 5, 6]), [0, 1, 2, 2])
    assert mixed.seconds[2] is None and mixed.chance_best[2] == 0 and sum(mixed.chance_best) == pytest.approx(1)


def test_the_same_runs_give_the_same_numbers():
    motor, gears, day, percent = drawn(20, [0.0, -0.4], 5)
    assert gear_pace(runs_of(motor, day, percent), gears) == gear_pace(runs_of(motor, day, percent), gears)
