"""Stratified normals, points of draws, and figures worked out side by side."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures.estimate import Prior, estimate, estimates
from pitbench.figures.intervals import intervals, points
from pitbench.figures.layout import Layout
from pitbench.figures.normals import antithetic, stratified


def test_every_column_is_one_normal_sample_in_an_order_of_its_own():
    z = stratified(500, 40, 3)
    assert stats.kstest(z[:, 7], "norm").statistic < 0.002
    assert np.allclose(np.sort(z, axis=0), np.sort(z[:, :1], axis=0))
    apart = np.corrcoef(z.T)[~np.eye(40, dtype=bool)]
    assert np.abs(apart).max() < 0.2 and apart.std() == pytest.approx(500**-0.5, rel=0.15)
    assert not np.array_equal(z, stratified(500, 40, 4))


def test_normals_in_pairs_cannot_be_changed_by_who_gets_them():
    z = antithetic(100, 3, 0)
    assert np.array_equal(z[:50], -z[50:])
    with pytest.raises(ValueError):
        stratified(50, 3, 0)[0, 0] = 1.0


@given(st.integers(2, 60), st.integers(1, 5), st.integers(0, 99))
def test_points_are_quantiles(n, columns, seed):
    draws = np.random.default_rng(seed).normal(0, 1, (n, columns))
    shares = (0.0, 0.05, 0.5, 0.95, 1.0)
    assert points(draws, shares) == pytest.approx(np.quantile(draws, shares, axis=0))
    first = intervals(draws)[0]
    assert (first.low90, first.high90) == pytest.approx(np.quantile(draws[:, 0], (0.05, 0.95)))


def layout(seed, n, slopes):
    rng = np.random.default_rng(seed)
    motor, session = rng.integers(0, 4, n), rng.integers(0, 2, n)
    return Layout(rng.normal(829, 1, n), (motor, session), (4, 2), np.ones(n), rng.normal(0, 1, (n, slopes)))


def test_figures_side_by_side_are_each_as_if_alone():
    """Different readings, priors and slopes, one figure without a reading."""
    layouts = [layout(1, 12, 2), layout(2, 9, 0), layout(3, 0, 1), layout(4, 30, 1)]
    slopes = [((0.1, 0.1), (0.5, 0.3)), (), ((2.0, 1.0),), ((2.0, 2.0),)]
    priors = [Prior(0.2 + i, (1.5, 0.3), 800.0, each) for i, each in enumerate(slopes)]
    together = estimates(layouts, priors, seeds=range(4))
    for i, found in enumerate(together):
        alone = estimate(layouts[i], priors[i], seed=i)
        assert found.noise == pytest.approx(alone.noise) and found.spreads == pytest.approx(alone.spreads)
        assert found.slope_draws.shape == (2000, len(slopes[i]))
        assert found.slopes == pytest.approx(alone.slopes, abs=0.03)
        sd = alone.levels().std(axis=0)
        assert (np.abs(found.levels().mean(axis=0) - alone.levels().mean(axis=0)) < 0.1 * sd).all()
        assert found.levels().std(axis=0) == pytest.approx(sd, rel=0.1)


def test_a_further_reading_lies_where_the_motor_s_readings_lay():
    """Two motors 4 degrees of timing apart: the truth at equal timing hangs on the slope, the next reading does not."""
    timing = np.repeat([-2.0, 2.0], 20)[:, None]
    value = 829 + 0.5 * timing[:, 0] + np.random.default_rng(1).normal(0, 0.1, 40)
    given_rows = Layout(value, (np.repeat([0, 1], 20), np.zeros(40, dtype=int)), (2, 1), np.ones(40), timing)
    found = estimate(given_rows, Prior(0.2, (1.5, 0.3), 829.0, ((0.5, 0.3),)))
    equal = found.levels()[:, 1] - found.levels()[:, 0]
    further = found.further_reading(1) - found.further_reading(0)
    assert further.mean() == pytest.approx(2.0, abs=0.1) and further.std() < 0.1
    assert equal.std() > 0.5


@pytest.mark.parametrize(("motors", "runs"), [(2, 2), (4, 3)])
def test_a_chance_wobbles_by_less_than_half_a_percent_from_seed_to_seed(motors, runs):
    rng = np.random.default_rng(5)
    motor = np.repeat(np.arange(motors), runs)
    value = 829 + 0.2 * motor + rng.normal(0, 0.2, motor.size)
    levels = (motor, np.arange(motor.size) % 2)
    given_rows = Layout(value, levels, (motors, 2), np.ones(motor.size), np.zeros((motor.size, 0)))
    chances = []
    for seed in range(16):
        draws = estimate(given_rows, Prior(0.2, (1.5, 0.3), 829.0), seed=seed).levels()
        chances.append(stats.norm.cdf((draws[:, -1] - draws[:, 0]) / 0.42).mean())
    assert np.std(chances) < 0.005 and 0.5 < np.mean(chances) < 0.99
