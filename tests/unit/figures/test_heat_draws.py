"""Draws of finish temperatures against the closed mixture of the forecast, which is another way to the same numbers."""

from dataclasses import replace

import numpy as np
import pytest

from pitbench.figures.forecast import Plan, finish_draws, forecast, mixture
from pitbench.figures.heat_fit import TrackRuns, fit

N = 40_000


def season(scatter=0.05):
    """Three motors over two events; 0 runs hot."""
    rng = np.random.default_rng(3)
    motor, event = np.arange(24) % 3, np.arange(24) // 12
    rollout = 42 + 3 * rng.random(24)
    rise = 45 * np.exp(
        0.08 * (motor == 0) + 0.04 * event + 1.7 * np.log(rollout / 43.5) + scatter * rng.standard_normal(24)
    )
    return TrackRuns(
        motor=motor.tolist(),
        event=event.tolist(),
        rollout_mm=rollout.tolist(),
        timing_deg=[float("nan")] * 24,
        length_s=[300.0] * 24,
        ambient_c=[22.0] * 24,
        start_c=[22.0] * 24,
        finish_c=(22 + rise).tolist(),
        own_k=[1.0] * 24,
        shared_k=[0.0] * 24,
        delay_k=[0.0] * 24,
        delay_told=[True] * 24,
    )


@pytest.fixture(scope="module")
def learned():
    return fit(season(), 43.0)


@pytest.mark.parametrize("event", [0, 1, None])
@pytest.mark.parametrize("motor", [0, 2, 3])
def test_with_the_scatter_of_a_run_and_a_reading_the_draws_are_the_forecast(learned, motor, event):
    plan = Plan(motor if motor < 3 else None, event, 44.0, 360.0, 25.0)
    draws = finish_draws(learned, 4, plan, N)[:, motor]
    rng, cells = np.random.default_rng(1), learned.cells
    sigma = rng.choice(cells.sigma, N, p=cells.weight)
    run = 25 + (draws - 25) * np.exp(sigma * rng.standard_normal(N) - sigma**2 / 2) + 1.5 * rng.standard_normal(N)
    expected = forecast(learned, plan).finish
    low, median, high = np.quantile(run, (0.05, 0.5, 0.95))
    assert median == pytest.approx(expected.median, abs=0.4)
    assert (low, high) == (pytest.approx(expected.low90, abs=0.8), pytest.approx(expected.high90, abs=0.8))


def test_after_a_change_the_draws_follow_as_the_forecast_does():
    """The last four runs of motor 0 came in 14 K over the rest: draws and closed mixture move alike."""
    rise = 45.0 + 14.0 * (np.arange(12) >= 8)
    runs = replace(
        season(),
        **{name: list(column)[:12] for name, column in vars(season()).items()} | {"finish_c": (22 + rise).tolist()},
    )
    runs = replace(runs, motor=[0, 1] * 4 + [0] * 4, event=[0] * 6 + [1] * 6, rollout_mm=[44.0] * 12)
    learned, plan = fit(runs, 44.0), Plan(0, 1, 44.0, 300.0, 22.0)
    assert learned.change is not None and (learned.change.at, learned.change.motor, learned.change.since) == (8, 0, 3)
    draws = finish_draws(learned, 2, plan, N)
    for motor in (0, 1):  # means: whether the motor or the day has changed makes two humps, whose medians differ
        asked = mixture(learned, [replace(plan, motor=motor)])
        closed = asked.weight @ (asked.shift + np.exp(asked.mean + asked.sd**2 / 2))[:, 0]
        assert draws[:, motor].mean() == pytest.approx(closed, abs=0.5)
    assert 76 < np.median(draws[:, 0]) < 83


def test_the_mean_of_a_run_lies_above_its_median_by_half_its_variance():
    """Runs that scatter by 30 %: the mean of a lognormal is its median times exp(σ²/2), here about 2 K more."""
    noisy, plan = fit(season(0.3), 43.0), Plan(0, 0, 44.0, 300.0, 25.0)
    asked = mixture(noisy, [plan])
    closed = asked.weight @ (asked.shift + np.exp(asked.mean + asked.sd**2 / 2))[:, 0]
    assert finish_draws(noisy, 3, plan, N)[:, 0].mean() == pytest.approx(closed, abs=0.5)


def test_what_all_motors_share_cancels_between_them(learned):
    """At a new event the spread of events moves all motors alike: the difference of two is far surer than either."""
    draws = finish_draws(learned, 3, Plan(None, None, 44.0, 300.0, 22.0), 4000)
    assert np.std(draws[:, 0] - draws[:, 2]) < 0.5 * np.std(draws[:, 0])
    assert np.mean(draws[:, 0] - draws[:, 2]) > 0


def test_the_same_fit_always_gives_the_same_draws(learned):
    plan = Plan(None, 0, 44.0, 300.0, 22.0)
    assert np.array_equal(finish_draws(learned, 3, plan, 501), finish_draws(learned, 3, plan, 501))


def test_runs_lie_beside_their_event_by_what_the_motor_makes_of_it():
    """Rollout, length and event are taken out: what is left differs by the 0.08 of motor 0; unread runs weigh 0."""
    runs = season(scatter=1e-3)
    lost = replace(runs, finish_c=[*runs.finish_c[:-1], float("nan")], own_k=[0.3] * 24)
    value, weight, scatter = fit(lost, 43.0).beside_its_event()
    motor, event, used = np.array(runs.motor), np.array(runs.event), weight > 0
    assert used.sum() == 23 and weight[-1] == 0 and 0 < scatter < 0.05
    for each in (0, 1):
        own = (event == each) & used
        hot, others = value[own & (motor == 0)], value[own & (motor != 0)]
        assert hot.mean() - others.mean() == pytest.approx(0.08, abs=0.01) and value[own].std() < 0.06
