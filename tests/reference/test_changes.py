"""What a change brought, against the t tests that are its limits, and against least squares for the track."""

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from pitbench.figures.brought import brought
from pitbench.figures.comparison import draw
from pitbench.figures.laps import read
from pitbench.figures.pace import TREND_HOURS, TrackRuns
from pitbench.figures.track_steps import Step, pace_steps
from tests.unit.figures.made import compared

IMBALANCE, NOISE = "pole_imbalance_pct", 0.3

# NIST/SEMATECH e-Handbook 1.3.5.3, AUTO83B (found): sizes, means, standard deviations, pooled sd and 95 % interval of
# the difference.
SIZES, MEANS, SDS = (249, 79), (20.14458, 30.48101), (6.4147, 6.10771)
POOLED_SD, POOLED_CI95, DF = 6.3426, (-11.947653, -8.725216), 326

# Student 1908, Biometrika 6 (found): hours of sleep gained by ten patients with either drug; 95 % interval of the mean
# of the paired differences.
DRUG_1 = (0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0)
DRUG_2 = (1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4)
PAIRED_CI95 = (-2.4598858, -0.7001142)


def states(value, session, state):
    """One motor worked on once, what was read of it in each state and in which session."""
    asked = compared({IMBALANCE: value}, [0] * len(value), session)
    found = asked.of(IMBALANCE)
    return replace(asked, readings={IMBALANCE: replace(found, state=np.array(state))}, states=[1], every_state=True)


def difference(asked):
    return brought(draw(asked), 0, 1).figures[IMBALANCE]


def nine_in_ten(ci95, df):
    """The 90 % interval of the same t test."""
    centre, half = sum(ci95) / 2, (ci95[1] - ci95[0]) / 2
    half *= stats.t.ppf(0.95, df) / stats.t.ppf(0.975, df)
    return centre - half, centre + half


def exactly(n, mean, sd):
    """n values of this mean and standard deviation, all that a t test sees."""
    z = stats.norm.ppf((np.arange(n) + 0.5) / n)
    return mean + sd * (z - z.mean()) / z.std(ddof=1)


def test_two_samples(published):
    """Every reading in a session of its own: sessions, clampings and readings together are the spread of a t test."""
    scale = NOISE / POOLED_SD
    value = 5 + scale * np.concatenate([exactly(*each) for each in zip(SIZES, MEANS, SDS, strict=True)])
    found = difference(states(value, range(sum(SIZES)), [0] * SIZES[0] + [1] * SIZES[1]))
    low, high = nine_in_ten([-end for end in POOLED_CI95[::-1]], DF)
    published("difference of means", found.mean / scale, MEANS[1] - MEANS[0], 0.1)
    published("its 90 % interval", [found.low90 / scale, found.high90 / scale], [low, high], 0.15)


def test_pairs(published):
    """Before and after in the same ten sessions: the moods of sessions drop out, as patients do in the paired test.

    The ninth patient lies far off and counts less, and the prior of states draws towards nought: half a standard error
    (0.39) in all.
    """
    off = np.subtract(DRUG_1, DRUG_2)
    scale = NOISE / (off.std(ddof=1) / np.sqrt(2))
    value = 20 + scale * np.concatenate([DRUG_2, DRUG_1])
    found = difference(states(value, [*range(10)] * 2, [0] * 10 + [1] * 10))
    low, high = nine_in_ten(PAIRED_CI95, 9)
    published("mean difference", found.mean / scale, off.mean(), 0.2)
    width = (found.high90 - found.low90) / scale / (high - low)
    published("width of its interval, ratio", width, 1.0, 0.2)


@pytest.mark.parametrize("at", [3, 6])
def test_a_step_in_pace_is_that_of_least_squares(published, at):
    """One car with three motors on two days, the step from a time of the second day on; statsmodels' OLS with the same
    columns is the limit of wide priors."""
    rng = np.random.default_rng(at)
    hour = np.tile(9 + 0.25 * np.arange(36), 2)
    day, motor = np.repeat([0, 1], 36), np.tile([0, 1, 2], 24)
    since = (day == 1) & (hour >= 9 + at)
    percent = np.array([0.0, 0.5, -0.3])[motor] - 0.4 * since + 0.2 * (hour - 13) / TREND_HOURS
    laps = 15.0 * np.exp((percent + rng.normal(0, 0.45, hour.size)) / 100)
    runs = TrackRuns(3, motor.tolist(), day.tolist(), hour.tolist(), [read([lap] * 20) for lap in laps], [45.0] * 72)
    step = Step(of=[0], before=(day == 1) & ~since, after=since)
    [found] = pace_steps(runs, since[:, None], [step])
    x = (hour - np.array([hour[day == d].mean() for d in (0, 1)])[day]) / TREND_HOURS
    curves = [(day == d) * x**power for d in (0, 1) for power in (0, 1, 2)]
    columns = np.column_stack([*curves, motor == 1, motor == 2, since]).astype(float)
    fit = sm.OLS(100 * np.log(laps), columns).fit()
    low, high = fit.conf_int(0.1)[-1] * laps[since].mean() / 100
    published("step, s", found.difference.mean, fit.params[-1] * laps[since].mean() / 100, 0.25 * (high - low))
    width = (found.difference.high90 - found.difference.low90) / (high - low)
    assert 0.7 < width < 1.1  # priors of trend and bend tell a little more than nothing
    assert (found.difference.mean < 0) == (found.chance_less > 0.5)
