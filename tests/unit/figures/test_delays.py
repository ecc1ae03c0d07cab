"""When cans are read that nobody wrote down: against a habit worked out on a fine grid, and against people drawn."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures import delays
from pitbench.figures.cooling import CanReadings, finish, learn
from pitbench.figures.delays import USUAL, learn_delays
from pitbench.figures.heat_fit import UNLIKE, fit
from pitbench.figures.rest_grid import EARLIEST_S
from tests.unit.figures.test_forecast import runs

UNKNOWN = float("nan")
PRIOR = learn()


@given(st.lists(st.floats(5, 800), max_size=8))
def test_an_unknown_delay_against_the_habit_on_a_grid(stated):
    """Every habit weighed by the delays stated (scipy), then one more delay of it drawn through its quantiles."""
    logs = np.log(np.maximum(stated, EARLIEST_S))
    scatter = delays.OWN_COUNTS * delays.OWN_LOG_SD**2 + (logs.size * logs.var() if logs.size else 0)
    own = np.sqrt(scatter / (delays.OWN_COUNTS + max(logs.size - 1, 0)))
    habit = np.linspace(2, 8, 60_001)
    weight = stats.norm(np.log(delays.USUAL_S), delays.HABIT_LOG_SD).logpdf(habit)
    weight = weight + sum(stats.norm(each, own).logpdf(habit) for each in logs)
    weight = np.exp(weight - weight.max())
    mean = np.average(habit, weights=weight)
    sd = np.sqrt(np.average((habit - mean) ** 2, weights=weight) + delays.APART_LOG_SD**2)
    found = learn_delays(stated)
    place = stats.norm.ppf((np.arange(9) + 0.5) / 9)
    place = place / place.std()
    assert found.after_s == pytest.approx(np.clip(np.exp(mean + np.hypot(sd, own) * place), 30, 900), rel=1e-3)
    assert found.habit == pytest.approx(place * sd / np.hypot(sd, own), rel=1e-3)
    assert found.stated == len(stated)


def test_who_reads_late_and_says_it_twice_is_believed_and_once_is_not_yet():
    once, twice, often = (learn_delays([180.0] * count).after_s for count in (1, 2, 12))
    assert 90 < np.median(once) < 130 < np.median(twice) < 165 < np.median(often) < 182
    assert np.ptp(np.log(often)) < np.ptp(np.log(twice)) < np.ptp(np.log(once))


def test_the_doubt_of_one_habit_goes_through_all_unknown_delays():
    """People drawn, each with a habit of his own: the errors of two of his finishes go together as delay_k says."""
    rng = np.random.default_rng(4)
    curve = PRIOR.curves.some(np.array(int(np.argmax(PRIOR.weight))))
    seen = [np.array([60.0, at]) for at in (120.0, 300.0, 600.0)] * 8
    known = learn([CanReadings(after.tolist(), (25 + 45 * curve.left(after)).tolist(), 25.0) for after in seen])
    errors, told = [], []
    for _ in range(1500):
        habit = np.log(delays.USUAL_S) + np.hypot(delays.HABIT_LOG_SD, delays.APART_LOG_SD) * rng.standard_normal()
        after = np.exp(habit + delays.OWN_LOG_SD * rng.standard_normal(2))
        rises = 45 + 25 * rng.standard_normal(2)
        read = 25 + rises * curve.left(after) + rng.standard_normal(2)
        found = [finish(CanReadings([UNKNOWN], [each], 25.0), known) for each in read]
        errors.append([each.temp_c - 25 - rise for each, rise in zip(found, rises, strict=True)])
        told.append([each.delay_k for each in found])
        parts = [each.own_k**2 + each.shared_k**2 + each.delay_k**2 for each in found]
        assert parts == pytest.approx([each.doubt_k**2 for each in found])
    together = np.prod(errors, axis=1)
    assert np.prod(told, axis=1).mean() == pytest.approx(together.mean(), abs=3 * together.std() / np.sqrt(1500))
    assert np.mean(told) > 2


def test_runs_that_say_when_they_were_read_show_how_late_the_others_were():
    """Half the runs were read at a minute and say so; the others, read late, came in 8 K lower: the rise is believed
    to be what the first say, where unknown delays may all be off the same way."""
    told = {"own_k": [1.0, 2.0] * 6, "delay_k": [0.0, 6.0] * 6, "delay_told": [True, False] * 6}
    found = fit(runs([70.0, 62.0] * 6, **told), 44.0)
    level = found.cells.weight @ found.cells.coefficients[:, [0, 5]]
    habit = np.log(45 / 37) / (UNLIKE * 6 / 37)
    assert np.exp(level[0]) * 45 == pytest.approx(45, abs=1.5) and abs(level[1]) == pytest.approx(habit, abs=0.1)


def test_nothing_stated_is_about_a_minute():
    assert np.median(USUAL.after_s) == pytest.approx(60)
    assert USUAL.after_s.min() == 30 and 120 < USUAL.after_s.max() < 180
