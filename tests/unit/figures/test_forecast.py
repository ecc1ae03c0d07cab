"""The heat fit and the forecast: against a brute-force normal model, draws from the priors, and bad input."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures import heat_cells, heat_fit
from pitbench.figures.forecast import Plan, forecast, forecasts, longest_rollout, mixture
from pitbench.figures.heat_changes import Change, with_change
from pitbench.figures.heat_fit import TrackRuns, fit
from pitbench.figures.heating import of_five_minutes

UNKNOWN = float("nan")
NONE = TrackRuns(*([] for _ in range(12)))
PLAN = Plan(0, 0, 44.0, 300.0, 25.0, start_c=25.0)


def runs(finishes, **given_columns):
    """Runs of one motor on one day, five minutes on 44 mm at 25 °C, read to 1 K."""
    n = len(finishes)
    plain = {
        "motor": [0] * n,
        "event": [0] * n,
        "rollout_mm": [44.0] * n,
        "timing_deg": [35.0] * n,
        "length_s": [300.0] * n,
        "ambient_c": [25.0] * n,
        "start_c": [25.0] * n,
        "finish_c": finishes,
        "own_k": [1.0] * n,
        "shared_k": [0.0] * n,
        "delay_k": [0.0] * n,
        "delay_told": [True] * n,
    }
    return TrackRuns(**(plain | given_columns))


def drawn(rng, n=8):
    """Runs over three motors and two events, each its own way."""
    return runs(
        rng.normal(70, 4, n).tolist(),
        motor=rng.integers(0, 3, n).tolist(),
        event=rng.integers(0, 2, n).tolist(),
        rollout_mm=rng.normal(44, 2, n).tolist(),
        timing_deg=rng.normal(35, 2, n).tolist(),
        length_s=rng.choice([240.0, 300.0, 420.0], n).tolist(),
        start_c=rng.normal(28, 2, n).tolist(),
        own_k=rng.uniform(0.5, 3, n).tolist(),
        shared_k=rng.normal(0, 1, n).tolist(),
        delay_k=rng.normal(0, 1, n).tolist(),
    )


@settings(max_examples=30)
@given(st.integers(0, 10_000), st.booleans())
def test_weights_of_the_grid_against_multivariate_normals(seed, changed):
    """Whether something has changed since the sixth run, too, is weighed by what each way to change makes likely."""
    given_runs = drawn(np.random.default_rng(seed))
    ref = heat_fit._timing_ref(np.array(given_runs.motor), np.array(given_runs.timing_deg))
    columns = heat_fit._columns(given_runs, np.ones(8, dtype=bool), 44.0, ref)
    if changed:
        motor, event = given_runs.motor[5], given_runs.event[5]
        columns = with_change(columns, Change(at=5, motor=motor, event=event, since=0, rightly=1.0, out=False))
    found = heat_cells.cells(columns, np.ones(8))
    some = np.linspace(0, found.weight.size - 1, 7).astype(int)
    expected = []
    for cell in some:
        stands = np.array(list(heat_cells.CHANGES)[found.changed[cell]] if changed else [])
        own, since = np.full(ref.size, found.motor_sd[cell]), np.where(stands, heat_cells.CHANGE_SD, 1e-3)
        sd = np.concatenate([heat_cells.PRIOR_SD, own, since])
        covariance = (columns.fixed * sd**2) @ columns.fixed.T
        covariance += found.event_sd[cell] ** 2 * columns.events @ columns.events.T
        covariance += np.diag(found.sigma[cell] ** 2 + columns.reading_var)
        tau = int(np.argmin(np.abs(heat_cells.TAU - found.tau_s[cell])))
        likelihood = stats.multivariate_normal(cov=covariance).logpdf(columns.off[:, tau])
        expected.append(likelihood + columns.jacobian[:, tau].sum() + _log_prior(found, cell))
    got = np.log(found.weight[some])
    assert got - got[0] == pytest.approx(np.array(expected) - expected[0], abs=1e-7)


def _log_prior(found, cell):
    """Log prior of a cell: lognormal noise and time constant on even lines, half-normal spreads on an uneven one."""
    even = np.log(found.sigma[cell] / heat_cells.NOISE) / heat_cells.NOISE_LOG_SD
    tau = np.log(found.tau_s[cell] / heat_cells.TAU_S) / heat_cells.TAU_LOG_SD
    total = -(even**2 + tau**2) / 2 + np.log(list(heat_cells.CHANGES.values())[found.changed[cell]])
    width = dict(zip(heat_cells.HALF.round(9).tolist(), np.gradient(heat_cells.HALF).tolist(), strict=True))
    for spread in (found.motor_sd[cell] / heat_cells.MOTOR_SCALE, found.event_sd[cell] / heat_cells.EVENT_SCALE):
        total += np.log(width[round(float(spread), 9)]) - spread**2 / 2
    return total


@given(st.integers(0, 10_000), st.sampled_from([None, 0, 2]), st.sampled_from([None, 1]))
def test_what_a_cell_forecasts_against_the_normal_model(seed, motor, event):
    given_runs = drawn(np.random.default_rng(seed))
    learned = fit(given_runs, 44.0)
    columns = heat_fit._columns(given_runs, np.ones(8, dtype=bool), learned.rollout_ref_mm, learned.timing_ref)
    cells = learned.cells
    one = int(np.argmax(cells.weight))
    alone = replace(cells, **{name: column[[one]] for name, column in vars(cells).items() if name != "alike"})
    alone = replace(alone, weight=np.ones(1), alike=np.zeros(1, dtype=np.int64))
    asked = mixture(replace(learned, cells=alone), [Plan(motor, event, 46.0, 360.0, 29.0, start_c=29.0)])

    motors, events = learned.timing_ref.size, columns.events.shape[1]
    change, changed = learned.change, np.zeros(0)
    if change is not None:
        columns = with_change(columns, change)
        stands = np.array(list(heat_cells.CHANGES)[cells.changed[one]])
        changed = np.where(stands, heat_cells.CHANGE_SD, 1e-3)
    every = np.hstack([columns.fixed, columns.events])
    own, days = np.full(motors, cells.motor_sd[one]), np.full(events, cells.event_sd[one])
    sd = np.concatenate([heat_cells.PRIOR_SD, own, changed, days])
    plain = heat_cells.PLAIN
    row = np.zeros(every.shape[1])
    if change is not None:
        row[plain + motors : plain + motors + 2] = motor == change.motor, event == change.event
    row[[0, 1, 3]] = 1, np.log(46.0 / learned.rollout_ref_mm), np.log(360 / 300)
    variance = cells.sigma[one] ** 2
    for label, at, spread in ((motor, plain, own[0]), (event, plain + motors + changed.size, days[0])):
        if label is None or label >= (motors if at == plain else events):
            variance += spread**2
        else:
            row[at + label] = 1
    heavy = learned.rightly / (cells.sigma[one] ** 2 + columns.reading_var)
    posterior = np.linalg.inv((every.T * heavy) @ every + np.diag(sd**-2.0))
    tau = int(np.argmin(np.abs(heat_cells.TAU - cells.tau_s[one])))
    mean = row @ posterior @ every.T @ (heavy * columns.off[:, tau]) + row[:plain] @ heat_cells.PRIOR_MEAN
    mean += np.log(of_five_minutes(360.0, cells.tau_s[[one]])[0])
    variance += (1.5 / np.exp(mean)) ** 2
    assert asked.mean[0, 0] == pytest.approx(mean, abs=1e-8)
    assert asked.sd[0, 0] == pytest.approx(np.sqrt(row @ posterior @ row + variance), rel=1e-8)


def test_without_runs_it_is_wide_and_says_so():
    answer = forecast(fit(NONE, 44.0), Plan(None, None, 44.0, 300.0, 25.0))
    assert answer.finish.low90 == pytest.approx(49, abs=1) and answer.finish.high90 == pytest.approx(109, abs=1.5)
    assert answer.finish.median == pytest.approx(70, abs=0.1)
    assert answer.flags == ("priors_only", "new_motor", "new_event", "start_unknown")


def test_quantiles_and_chance_belong_together():
    learned = fit(runs([70.0, 72.0, 69.0]), 44.0)
    finish = forecast(learned, PLAN).finish
    limits = finish.low90, finish.low50, finish.median, finish.high50, finish.high90
    over = [forecast(learned, PLAN, limit).chance_over for limit in limits]
    assert over == pytest.approx([0.95, 0.75, 0.5, 0.25, 0.05], abs=2e-3)


@settings(max_examples=25)
@given(st.lists(st.floats(69.5, 70.5), min_size=1, max_size=8), st.randoms(use_true_random=False))
def test_the_order_of_runs_does_not_matter_while_none_says_that_something_has_changed(finishes, shuffle):
    order = list(range(len(finishes)))
    shuffle.shuffle(order)
    rollout = np.linspace(43.9, 44.1, len(finishes))
    one = fit(runs(finishes, rollout_mm=rollout), 44.0)
    other = fit(runs([finishes[i] for i in order], rollout_mm=rollout[order]), 44.0)
    assert one.change is other.change is None
    assert forecast(one, PLAN).finish.median == pytest.approx(forecast(other, PLAN).finish.median, abs=1e-6)


def test_longer_rollout_warmer_air_longer_run_hotter_start_are_hotter():
    learned = fit(runs([70.0, 72.0, 69.0, 71.0]), 44.0)
    plain = forecast(learned, PLAN).finish.median
    for change in ({"rollout_mm": 46.0}, {"ambient_c": 30.0, "start_c": 30.0}, {"length_s": 360.0}, {"start_c": 40.0}):
        assert forecast(learned, replace(PLAN, **change)).finish.median > plain + 0.5, change
    warm = forecast(learned, replace(PLAN, ambient_c=30.0, start_c=30.0)).finish.median
    assert warm == pytest.approx(plain + 5, abs=5e-3)


def test_the_longest_rollout_keeps_to_one_in_ten_and_a_longer_one_does_not():
    learned = fit(runs([70.0, 72.0, 69.0, 71.0]), 44.0)
    longest = longest_rollout(learned, PLAN)
    at, beyond = forecasts(learned, [replace(PLAN, rollout_mm=longest * share) for share in (1.0, 1.005)])
    assert 0.085 < at.chance_over <= 0.1 < beyond.chance_over
    assert longest_rollout(learned, PLAN, 24.0) is None
    assert longest_rollout(learned, PLAN, 500.0) == 88.0


def test_a_ceiling_below_ambient_is_passed_for_certain():
    assert forecast(fit(runs([70.0]), 44.0), PLAN, 20.0).chance_over == pytest.approx(1, abs=1e-6)


def test_a_finish_in_fahrenheit_is_found_and_hardly_counts():
    finishes = [70.0, 71.0, 69.0, 72.0, 70.0, 68.0, 71.0, 70.0, 69.0, 158.0]
    learned = fit(runs(finishes), 44.0)
    assert learned.rightly[-1] < 0.01 and learned.rightly[:-1].min() > 0.8
    answer = forecast(learned, PLAN)
    assert answer.finish.median == pytest.approx(forecast(fit(runs(finishes[:-1]), 44.0), PLAN).finish.median, abs=0.3)
    assert "reading_doubted" in answer.flags


def test_flags():
    learned = fit(runs([70.0, 72.0]), 44.0)
    assert forecast(learned, PLAN).flags == ()
    assert forecast(learned, replace(PLAN, rollout_mm=47.0, length_s=480.0)).flags == (
        "rollout_outside",
        "length_outside",
    )
    assert forecast(learned, replace(PLAN, motor=None, event=7, start_c=None)).flags == (
        "new_motor",
        "new_event",
        "start_unknown",
    )
    assert forecast(learned, replace(PLAN, start_c=40.0)).flags == ("start_outside",)
    assert forecast(learned, replace(PLAN, start_c=32.0)).flags == ()


@pytest.mark.parametrize(
    "bad",
    [
        {"finish_c": [70.0, 20.0]},
        {"own_k": [1.0, 40.0]},
        {"length_s": [300.0, 0.0]},
        {"ambient_c": [25.0, UNKNOWN]},
        {"finish_c": [70.0, UNKNOWN]},
    ],
)
def test_a_run_that_tells_nothing_is_left_out(bad):
    given_runs = runs([70.0, 71.0], **{name: column for name, column in bad.items() if name != "finish_c"})
    given_runs = replace(given_runs, **bad)
    learned = fit(given_runs, 44.0)
    assert learned.used.tolist() == [True, False] and learned.of_motor(0) == learned.of_event(0) == 1
    assert forecast(learned, PLAN).finish == forecast(fit(runs([70.0]), 44.0), PLAN).finish


def test_unknown_rollout_timing_length_and_start_count_as_usual():
    usual = {"rollout_mm": 44.0, "timing_deg": 35.0, "length_s": 300.0, "start_c": 25.0}
    known = fit(runs([70.0, 72.0]), 44.0)
    blank = fit(runs([70.0, 72.0], **{name: [value, UNKNOWN] for name, value in usual.items()}), 44.0)
    assert forecast(blank, PLAN).finish.median == pytest.approx(forecast(known, PLAN).finish.median, abs=1e-9)


def test_a_run_of_no_length_has_no_forecast():
    with pytest.raises(ValueError, match="length above 0"):
        forecast(fit(NONE, 44.0), replace(PLAN, length_s=0.0))


def test_plans_of_several_motors_keep_their_places():
    learned = fit(runs([70.0, 80.0], motor=[0, 1]), 44.0)
    plans = [replace(PLAN, motor=1), PLAN, replace(PLAN, motor=1, rollout_mm=40.0)]
    together, alone = forecasts(learned, plans), [forecast(learned, plan) for plan in plans]
    assert [each.flags for each in together] == [each.flags for each in alone]
    assert [each.finish.median for each in together] == pytest.approx([each.finish.median for each in alone])


def test_nine_in_ten_come_true_when_the_priors_are_true():
    """Classes drawn from the priors, one to six runs, the next forecast: 300 forecasts."""
    rng = np.random.default_rng(21)
    held = []
    for _ in range(300):
        n, tau = int(rng.integers(2, 8)), 150 * np.exp(0.6 * rng.standard_normal())
        level = np.log(45) + 0.35 * rng.standard_normal()
        motors, day = (
            heat_cells.MOTOR_SCALE * abs(rng.standard_normal()) * rng.standard_normal(2),
            heat_cells.EVENT_SCALE * abs(rng.standard_normal()) * rng.standard_normal(),
        )
        slope = rng.normal(heat_cells.PER_LOG_ROLLOUT, heat_cells.PER_LOG_ROLLOUT_SD)
        by_length = rng.normal(heat_cells.PER_LOG_LENGTH, heat_cells.PER_LOG_LENGTH_SD)
        sigma = heat_cells.NOISE * np.exp(heat_cells.NOISE_LOG_SD * rng.standard_normal())
        motor, rollout = rng.integers(0, 2, n), rng.normal(44, 1.5, n)
        length = rng.choice([240.0, 300.0, 360.0], n)
        share = of_five_minutes(length, np.array(tau)) * (length / 300) ** by_length
        rise = (
            np.exp(level + motors[motor] + day + slope * np.log(rollout / 44) + sigma * rng.standard_normal(n)) * share
        )
        seen = runs(
            (25 + rise + rng.standard_normal(n))[:-1].tolist(),
            motor=motor[:-1],
            rollout_mm=rollout[:-1],
            length_s=length[:-1],
        )
        learned = fit(seen, 44.0)
        known = int(motor[-1]) if learned.of_motor(int(motor[-1])) else None
        finish = forecast(learned, Plan(known, 0, rollout[-1], length[-1], 25.0, start_c=25.0)).finish
        held.append(finish.low90 <= 25 + rise[-1] + 1.5 * rng.standard_normal() <= finish.high90)
    assert 0.86 < np.mean(held) < 0.94
