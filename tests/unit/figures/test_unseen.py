"""What the bench cannot see, against the likelihood of the motors' levels as scipy has it, and on simulated motors."""

import numpy as np
import pytest
from scipy import stats

from pitbench.figures.criteria import UNSEEN_PCT
from pitbench.figures.link import Beside, season
from pitbench.figures.unseen import SLOPE, SLOPE_LOG_SD, UNSEEN_LOG_SD, learned_unseen


def runs_of(levels, per=6, days=5, noise=0.3, seed=0):
    rng = np.random.default_rng(seed)
    rows = [(m, d) for d in range(days) for m in range(levels.size) for _ in range(per)]
    motor, day = (np.array(column) for column in zip(*rows, strict=True))
    value = levels[motor] + rng.normal(0, 3, days)[day] + rng.normal(0, noise, motor.size)
    return season(Beside(motor, day, day, value, np.ones(motor.size), noise), levels.size)


def test_the_posterior_is_that_of_the_normal_likelihood_written_out():
    """scipy's multivariate normal of the differences from the first motor, which no level of a day is in."""
    rng = np.random.default_rng(4)
    power, sd = rng.normal(0, 1, 6), rng.uniform(0.1, 0.4, 6)
    runs = runs_of(-0.3 * (power + rng.normal(0, 0.5, 6)))
    levels = runs.levels[1:] - runs.levels[0]
    away = np.hstack([-np.ones((5, 1)), np.eye(5)])
    sampled = away @ np.linalg.pinv(runs.information) @ away.T * runs.noise**2
    z = np.linspace(-2.5, 2.5, 25)
    unseen, slope = UNSEEN_PCT * np.exp(UNSEEN_LOG_SD * z), -SLOPE * np.exp(SLOPE_LOG_SD * z)
    weight = np.zeros((25, 25))
    for i, b in enumerate(slope):
        for j, u in enumerate(unseen):
            covariance = sampled + away @ np.diag(b**2 * (sd**2 + u**2)) @ away.T
            likely = stats.multivariate_normal(away @ (b * power), covariance).pdf(levels)
            weight[i, j] = likely * stats.norm.pdf(z[i]) * stats.norm.pdf(z[j])
    share = weight.sum(axis=0) / weight.sum()
    below = np.cumsum(share) - share / 2
    expected = np.exp(np.interp(0.5, below, np.log(unseen)))
    assert learned_unseen(runs, power, sd) == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("true", [0.1, 0.3, 0.8])
def test_what_is_left_over_is_found_and_shrunk_towards_what_is_believed(true):
    found = []
    for seed in range(40):
        rng = np.random.default_rng(seed)
        power = rng.normal(0, 1.2, 12)
        levels = -0.3 * (power + rng.normal(0, 0.1, 12) + rng.normal(0, true, 12))
        found.append(learned_unseen(runs_of(levels, seed=seed), power, np.full(12, 0.1)))
    assert min(true, UNSEEN_PCT) * 0.9 <= np.median(found) <= max(true, UNSEEN_PCT) * 1.1
    assert abs(np.log(np.median(found) / true)) < 0.75 * abs(np.log(UNSEEN_PCT / true)) + 0.15


def test_runs_that_tell_nothing_leave_what_was_believed():
    runs = runs_of(np.zeros(6), per=1, noise=1000.0)
    assert learned_unseen(runs, np.arange(6.0), np.ones(6)) == pytest.approx(UNSEEN_PCT, rel=1e-3)
