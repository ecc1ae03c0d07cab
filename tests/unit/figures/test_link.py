"""The link against regressions written out with statsmodels and scipy's permutation test, and the traps it avoids."""

from itertools import permutations

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures.link import ARRANGEMENTS, Beside, arrangements, corrected, season, told

MOTORS, EVENTS = 6, 4


def made(seed, motors=MOTORS, events=EVENTS, per=2, noise=0.3, own=None):
    """Runs of days of two motors or more, levels of days far apart; two days an event."""
    rng = np.random.default_rng(seed)
    own = rng.normal(0, 1, motors) if own is None else own
    rows = [(m, 2 * e + int(rng.integers(2)), e) for e in range(events) for m in range(motors) for _ in range(per)]
    motor, day, event = (np.array(column) for column in zip(*rows, strict=True))
    value = own[motor] + rng.normal(0, 5, 2 * events)[day] + rng.normal(0, noise, motor.size)
    return Beside(motor, day, event, value, rng.uniform(0.5, 1.5, motor.size), noise)


def kept(runs):
    """Rows on days of two motors or more, as `season` keeps them."""
    motor, day = np.asarray(runs.motor), np.asarray(runs.day)
    alone = {d for d in day if np.unique(motor[day == d]).size < 2}
    return np.flatnonzero([d not in alone for d in day])


def dummies(labels):
    return (np.unique(labels)[None] == np.asarray(labels)[:, None]).astype(float)


def skill_written_out(runs, figure):
    """Weighted least squares with a level a day on all other events, then the errors inside the event left out."""
    rows = kept(runs)
    motor, day, event = (np.asarray(each)[rows] for each in (runs.motor, runs.day, runs.event))
    value, weight = runs.value[rows], runs.weight[rows]
    error = plain = 0.0
    for left_out in np.unique(event):
        others = event != left_out
        columns = np.column_stack([figure[motor[others]], dummies(day[others])])
        slope = sm.WLS(value[others], columns, weights=weight[others]).fit().params[0]
        for each in np.unique(day[event == left_out]):
            own = day == each
            off = value[own] - np.average(value[own], weights=weight[own])
            foretold = slope * (figure[motor[own]] - np.average(figure[motor[own]], weights=weight[own]))
            error += (weight[own] * (off - foretold) ** 2).sum()
            plain += (weight[own] * off**2).sum()
    return 1 - error / plain


@pytest.mark.parametrize("seed", range(4))
def test_skill_p_and_direction_are_those_of_regressions_and_permutations_written_out(seed):
    own = np.random.default_rng(100 + seed).normal(0, 1, MOTORS)
    runs, figure = made(seed, own=own), own + np.random.default_rng(seed).normal(0, 0.8, MOTORS)
    found = told({"pace": season(runs, MOTORS)}, figure[:, None])["pace"][0]
    assert found.skill == pytest.approx(skill_written_out(runs, figure), abs=1e-9)
    assert found.better == "lower" and found.slope > 0
    asked = [figure[list(order)] for order in permutations(range(MOTORS))][::7]
    share = np.mean([skill_written_out(runs, each) >= found.skill - 1e-9 for each in asked])
    assert found.p_value == pytest.approx(share, abs=0.06)


def test_one_figure_is_scipys_exact_permutation_test():
    rng = np.random.default_rng(1)
    x, y = rng.normal(size=6), rng.normal(size=6)

    def correlation(shuffled):
        return abs(np.corrcoef(shuffled, y)[0, 1])

    oracle = stats.permutation_test(
        (x,), correlation, permutation_type="pairings", alternative="greater", n_resamples=np.inf
    )
    every = np.array([[correlation(x[order])] for order in arrangements(6)])
    assert corrected(every)[0] == pytest.approx(oracle.pvalue)


def test_levels_of_motors_are_those_of_a_regression_with_days():
    runs = made(5)
    rows = kept(runs)
    columns = np.column_stack([dummies(np.asarray(runs.motor)[rows])[:, 1:], dummies(np.asarray(runs.day)[rows])])
    fit = sm.WLS(runs.value[rows], columns, weights=runs.weight[rows]).fit().params[: MOTORS - 1]
    found = season(runs, MOTORS).levels
    assert found[1:] - found[0] == pytest.approx(fit)


@given(st.integers(0, 50), st.floats(0.01, 100), st.floats(-1000, 1000))
def test_units_of_a_figure_and_levels_of_days_change_nothing(seed, scale, shift):
    runs, figure = made(seed), np.random.default_rng(seed + 1).normal(0, 1, (MOTORS, 2))
    other = Beside(runs.motor, runs.day, runs.event, runs.value + shift * np.asarray(runs.day), runs.weight, runs.noise)
    one = told({"pace": season(runs, MOTORS)}, figure)["pace"]
    two = told({"pace": season(other, MOTORS)}, scale * figure + shift)["pace"]
    for a, b in zip(one, two, strict=True):
        assert (a.skill, a.p_value) == pytest.approx((b.skill, b.p_value), abs=0.01)
        assert a.slope == pytest.approx(b.slope * scale, rel=1e-3, abs=1e-9)


def test_all_orders_of_few_motors_else_some_the_true_one_first():
    assert len({tuple(order) for order in arrangements(6).tolist()}) == 720
    many = arrangements(8)
    assert many.shape == (ARRANGEMENTS, 8) and (np.sort(many, axis=1) == np.arange(8)).all()
    assert (many[0] == np.arange(8)).all() and (arrangements(6)[0] == np.arange(6)).all()


def test_p_is_corrected_for_what_was_tried():
    """Without a link the smallest of seven corrected p is even from 0 to 1, so below 0.05 one time in twenty."""
    rng = np.random.default_rng(3)
    least = [corrected(rng.normal(size=(1000, 7))).min() for _ in range(400)]
    assert np.mean(np.array(least) <= 0.05) == pytest.approx(0.05, abs=0.03)
    assert stats.kstest(least, "uniform").pvalue > 0.01


def test_a_figure_of_too_few_motors_or_the_same_for_all_is_not_tried():
    figure = np.random.default_rng(2).normal(0, 1, (MOTORS, 3))
    figure[0, 0], figure[:, 1] = np.nan, 7.25
    found = told({"pace": season(made(2), MOTORS)}, figure)["pace"]
    assert found[:2] == [None, None] and found[2] is not None


@pytest.mark.parametrize(("motors", "events", "per"), [(5, 4, 2), (6, 2, 2), (6, 3, 1)])
def test_with_too_little_nothing_is_told_and_what_is_missing_is(motors, events, per):
    runs = Beside(*_every(motors, events, per), 1.0)
    summed = season(runs, 6)
    missing = (max(0, 18 - motors * events * per), 6 - motors, max(0, 3 - events))
    assert summed.missing == missing and summed.enough == (missing == (0, 0, 0))
    assert (told({"pace": summed}, np.zeros((6, 2)))["pace"] == [None, None]) or summed.enough


def _every(motors, events, per):
    rows = [(m, e, e) for e in range(events) for m in range(motors) for _ in range(per)]
    motor, day, event = (list(column) for column in zip(*rows, strict=True))
    return motor, day, event, np.arange(len(rows), dtype=float), np.ones(len(rows))


def test_a_day_of_one_motor_tells_nothing():
    runs = made(8)
    more = Beside(
        [*runs.motor, 0, 0],
        [*runs.day, 99, 99],
        [*runs.event, 9, 9],
        np.append(runs.value, [3.0, 90.0]),
        np.append(runs.weight, [1.0, 1.0]),
        runs.noise,
    )
    one, two = season(runs, MOTORS), season(more, MOTORS)
    assert one.runs == two.runs and one.missing == two.missing and np.allclose(one.levels, two.levels)


def test_nothing_at_all():
    summed = season(Beside([], [], [], np.zeros(0), np.zeros(0), 1.0), 3)
    assert summed.missing == (18, 6, 3) and told({"pace": summed}, np.zeros((3, 1))) == {"pace": [None]}
