"""The weights a link offers, against least squares of statsmodels and the mean of two measurements."""

import numpy as np
import pytest
import statsmodels.api as sm

from pitbench.figures.link_weight import MOST, slope_beside, weight_of_figure, weight_of_pace


@pytest.mark.parametrize("with_power", [True, False])
def test_the_slope_is_that_of_a_regression_drawn_in_by_its_doubt(with_power):
    rng = np.random.default_rng(2)
    figure, power = rng.normal(size=(2, 9))
    levels = 0.4 * figure - 0.3 * power + rng.normal(0, 0.1, 9)
    columns = np.column_stack([np.ones(9), figure, *([power] if with_power else [])])
    fit = sm.OLS(levels, columns).fit()
    expected = fit.params[1] * max(0, 1 - (fit.bse[1] / fit.params[1]) ** 2)
    assert slope_beside(levels, figure, power if with_power else None) == pytest.approx(expected)


def test_a_slope_its_doubt_swallows_is_none():
    levels = np.array([1.0, -1.0, 1.0, -1.0, 0.5, -0.5])
    assert slope_beside(levels, np.array([1.0, 1.1, 2.0, 2.1, 3.0, 3.1]), None) == 0.0
    assert slope_beside(levels, np.full(6, 2.0), None) == 0.0
    assert slope_beside(levels[:2], np.arange(2.0), None) == 0.0


def test_motors_that_are_not_known_count_nothing():
    rng = np.random.default_rng(3)
    levels, figure = rng.normal(size=(2, 8))
    known = slope_beside(levels[:6], figure[:6], None)
    assert slope_beside(np.append(levels[:6], [np.nan, 5.0]), np.append(figure[:6], [9.0, np.nan]), None) == known


def test_pace_is_trusted_as_in_the_weighted_mean_of_two_measurements():
    bench, pace, slope = 0.25, 0.01, -0.25
    of_pace = 1 / (pace / slope**2)
    trust = of_pace / (of_pace + 1 / bench)  # weights 1/u², JCGM 100:2008, F.1
    assert weight_of_pace(slope, bench, pace, 0.3) == round(trust * 0.3 / 0.25 / 0.5, 1)
    assert weight_of_pace(slope, bench, 1e9, 0.3) == 0.0 and weight_of_pace(-1e-6, bench, 0.0, 0.3) == MOST


def test_a_margin_of_the_figure_in_margins_of_pace():
    assert weight_of_figure(0.3, 1.0, 0.3) == 1.0 and weight_of_figure(-90.0, 1.0, 0.3) == MOST
