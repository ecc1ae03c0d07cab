"""What a run says about change: against conditional normals, and on days on which something did or did not change."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.figures import heat_cells, heat_changes, heat_fit
from pitbench.figures.forecast import Plan, forecast
from pitbench.figures.heat_fit import fit
from tests.unit.figures.test_forecast import PLAN, drawn, runs

EVEN = [70.0, 71.0, 69.0, 72.0, 70.0, 68.0, 71.0, 70.0]
WARMER = 83.0


@given(st.integers(0, 10_000))
def test_each_run_is_judged_by_the_runs_before_it(seed):
    """The same by one multivariate normal of all runs so far at every scatter, conditioned anew for every run."""
    rng = np.random.default_rng(seed)
    given_runs = replace(drawn(rng, 10), event=[0] * 5 + [1] * 5)
    ref = heat_fit._timing_ref(np.array(given_runs.motor), np.array(given_runs.timing_deg))
    columns = heat_fit._columns(given_runs, np.ones(10, dtype=bool), 44.0, ref)
    every = np.hstack([columns.fixed, columns.events])
    scales = [heat_cells.MOTOR_SCALE] * ref.size + [heat_cells.EVENT_SCALE] * 2
    spread = every * np.array([*heat_cells.PRIOR_SD, *scales]) ** 2 @ every.T
    off, rightly = columns.off[:, 2], rng.uniform(0.3, 1, 10)
    known, log_weight = heat_changes._beforehand(ref.size), np.log(heat_changes._beforehand(ref.size).weight)
    for at in range(10):
        known = known.of_event(heat_cells.PLAIN + ref.size) if at == 5 else known
        run = np.append(columns.fixed[at], 1.0), off[at], columns.reading_var[at]
        beside, variance = known.judged(*run)
        means, variances = [], []
        for i, sigma in enumerate(heat_changes._SIGMA):
            scatter = (sigma**2 + columns.reading_var) / rightly
            pull = np.linalg.solve(spread[:at, :at] + np.diag(scatter[:at]), spread[:at, at])
            means.append(pull @ off[:at])
            variances.append(spread[at, at] - pull @ spread[:at, at] + sigma**2 + columns.reading_var[at])
            told = variances[-1] - sigma**2 - columns.reading_var[at] + scatter[at]
            log_weight[i] += -((off[at] - means[-1]) ** 2) / told / 2 - np.log(told) / 2
        assert beside == pytest.approx(off[at] - known.weight @ means, abs=1e-8)
        middle = known.weight @ means
        assert variance == pytest.approx(known.weight @ (np.array(variances) + np.array(means) ** 2) - middle**2)
        known = known.told(*run, rightly[at])
        expected = np.exp(log_weight - log_weight.max())
        assert known.weight == pytest.approx(expected / expected.sum(), abs=1e-8)


def test_a_run_out_of_its_band_is_said_and_widens_the_next_forecast():
    calm, warned = fit(runs(EVEN), 44.0), fit(runs([*EVEN, WARMER]), 44.0)
    before, after = forecast(calm, PLAN), forecast(warned, PLAN)
    assert before.flags == () and after.flags == ("something_changed",)
    assert after.finish.high90 - after.finish.low90 > 1.5 * (before.finish.high90 - before.finish.low90)
    assert after.finish.low90 < 70 and after.finish.high90 > WARMER


def test_a_run_well_off_but_in_its_band_widens_the_next_forecast_a_little_and_is_not_said():
    """Left as it is where the runs before it lie: 73.5 is 1.9 sd off."""
    odd = runs([*EVEN, 73.5])
    learned = fit(odd, 44.0)
    assert learned.change == heat_changes.Change(8, 0, 0, 0, learned.change.rightly, out=False)
    alone = replace(learned, change=None, cells=heat_cells.cells(heat_fit.used_columns(odd)[3], learned.rightly))
    with_it, without = forecast(learned, PLAN), forecast(alone, PLAN)
    width = [each.finish.high90 - each.finish.low90 for each in (with_it, without)]
    assert with_it.flags == () and 1.02 * width[1] < width[0] < 1.4 * width[1]
    assert with_it.finish.median > without.finish.median
    changed = learned.cells.weight[np.isin(learned.cells.changed, (heat_cells.MOTOR, heat_cells.EVENT))].sum()
    assert 0.1 < changed < 0.5


def test_runs_well_off_but_each_in_its_band_are_said_together():
    learned = fit(runs([*EVEN, 74.0, 75.0, 75.0]), 44.0)
    assert not learned.change.out and forecast(learned, PLAN).flags == ("something_changed",)


def test_runs_that_stay_there_are_followed_and_no_longer_said():
    learned = fit(runs([*EVEN, WARMER, 84.0, 82.0, 83.0]), 44.0)
    answer = forecast(learned, PLAN)
    assert answer.flags == () and answer.finish.median == pytest.approx(WARMER, abs=2)
    assert learned.rightly.min() > 0.5


def test_a_run_alone_is_forgotten():
    answer = forecast(fit(runs([*EVEN, WARMER, 70.0, 71.0, 69.0]), 44.0), PLAN)
    assert set(answer.flags) <= {"reading_doubted"} and answer.finish.median == pytest.approx(70.5, abs=1.5)


def test_a_reading_in_fahrenheit_is_no_change():
    learned = fit(runs([*EVEN, 158.0]), 44.0)
    assert not (learned.change and learned.change.out) and forecast(learned, PLAN).flags == ("reading_doubted",)


def test_another_motor_at_another_event_hears_nothing_of_it():
    motors, events = [*[0] * 4, *[1] * 4, 0], [*[0] * 8, 1]
    learned = fit(runs([*EVEN, 100.0], motor=motors, event=events), 44.0)
    assert "something_changed" in forecast(learned, replace(PLAN, motor=0, event=None)).flags
    assert "something_changed" in forecast(learned, replace(PLAN, motor=1, event=1)).flags
    assert "something_changed" not in forecast(learned, Plan(1, 0, 44.0, 300.0, 25.0, start_c=25.0)).flags
