"""A small sample of the temperature tables. Wider than their limits by what so few days leave to chance."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tests.benchmarks import temperature, thermal_days
from tests.benchmarks.thermal_days import DAY, YEAR, Bodies, variant

SEED = temperature.REPORTED


def test_days_of_six_runs():
    found = temperature.sample(DAY, 24, SEED, 1)
    assert temperature.error(found) < 0.85 * temperature.error(found, "last run")
    assert 0.83 <= temperature.coverage(found)[0] <= 0.99


def test_a_season():
    found = temperature.sample(YEAR, 2, SEED, 24)
    assert temperature.error(found) < 0.80 * temperature.error(found, "last run")
    assert temperature.error(found) < 0.92 * temperature.error(found, "mean rise")
    assert 0.80 <= temperature.coverage(found)[0] <= 0.98
    assert all(each.came > each.stated - 0.25 for each in temperature.reliability(found) if each.count >= 30)


@pytest.mark.parametrize("name", ["wild driver", "any delay, half unknown"])
def test_physics_the_priors_do_not_expect(name):
    found = temperature.sample(variant(DAY, name), 16, SEED, 1)
    assert 0.70 <= temperature.coverage(found)[0] <= 1.0


def test_a_finish_in_fahrenheit_hardly_moves_the_forecast():
    from_right, from_none = temperature.misread(8, SEED).T
    assert from_right.max() < 3 and from_none.max() < 0.5


def test_chances_are_counted_where_they_belong():
    made = [
        temperature.Outcome(0, true, 70.0, True, True, tuple(np.linspace(0.99, 0.01, 21)), {"last run": 75.0})
        for true in (40.0, 120.0)
    ]
    bins = temperature.reliability(made)
    assert sum(each.count for each in bins) == 42 and all(each.came == 0.5 for each in bins)
    assert temperature.error(made) == 40 and temperature.error(made, "last run") == 40


def test_the_simulator_keeps_to_its_own_physics():
    """Winding and can at rest against scipy's ODE solver; without losses nothing is warmer than it was."""
    bodies = Bodies(*(np.full((1, 1), each) for each in (90.0, 70.0, 1.0, 0.165, 35.0, 50.0)))
    exact = solve_ivp(
        lambda _, t: (-(t[0] - t[1]) / 35, ((t[0] - t[1]) - 0.165 * (t[1] - 24)) / 50), (0, 600), [90, 70], rtol=1e-9
    )
    bodies.rest(np.full((1, 1), 600.0), 24.0)
    assert [bodies.winding[0, 0], bodies.can[0, 0]] == pytest.approx(exact.y[:, -1], abs=0.02)
    still = np.full((1, 1), 24.0)
    nothing = np.zeros((1, 2))
    after = thermal_days.run_on_track(bodies, still, still, still * 10, still, nothing, nothing, still, nothing + 0.4)
    assert np.allclose(after, 24.0)


def test_simulated_days_are_the_same_every_time_and_believable():
    one, again = thermal_days.draw(DAY, 40, 5), thermal_days.draw(DAY, 40, 5)
    assert np.array_equal(one.finish_true, again.finish_true)
    rise = one.finish_true - one.ambient
    assert 35 < np.median(rise) < 60 and rise.min() > 10 and rise.max() < 130
