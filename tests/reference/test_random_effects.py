"""Published estimates of random effects: REML, ML, effects of levels, and a negative variance that is none."""

import numpy as np
import pytest

from pitbench.figures.estimate import Prior, estimate
from pitbench.figures.misfit import DOES_NOT_FIT
from pitbench.figures.mixed import fit
from pitbench.figures.repeatability import repeatability
from tests.reference import anova
from tests.reference.layouts import layout, stacked
from tests.reference.mixed_models import DYESTUFF, MACHINES, NIST_2441, PENICILLIN, RANDOM_BATCHES, readings_2441


@pytest.mark.parametrize("method", ["reml", "ml"])
def test_dyestuff(published, method):
    expected, found = DYESTUFF[method], fit(layout(*stacked(DYESTUFF["batches"])[:2]), restricted=method == "reml")
    published("sd of batches", found.spread[0], expected["spread"], 0.002)
    published("sigma", found.noise, expected["noise"], 0.001)
    published("mean", found.fixed[0], expected["mean"], 1e-6)
    published("standard error of the mean", found.standard_error[0], expected["se"], 0.001)
    published("-2 log likelihood", found.criterion, expected["criterion"], 0.001)
    if method == "reml":
        published("effects of batches", found.effects[0], DYESTUFF["reml_effects"], 0.01)


def test_penicillin(published):
    expected, found = PENICILLIN["reml"], fit(layout(*stacked(PENICILLIN["plates"])))
    published("sd of plates and samples", found.spread, expected["spreads"], 0.0002)
    published("sigma", found.noise, expected["noise"], 0.0001)
    published("mean", found.fixed[0], expected["mean"], 0.0001)
    published("standard error of the mean", found.standard_error[0], expected["se"], 0.0001)
    published("-2 log likelihood", found.criterion, expected["criterion"], 0.001)
    published("effects of samples", found.effects[1], PENICILLIN["reml_sample_effects"], 0.001)
    published("effects of plates a to f", found.effects[0][:6], PENICILLIN["reml_first_plates"], 0.001)
    by_ml = fit(layout(*stacked(PENICILLIN["plates"])), restricted=False)
    published("ML sd of plates and samples", by_ml.spread, PENICILLIN["ml"]["spreads"], 0.0002)
    published("ML -2 log likelihood", by_ml.criterion, PENICILLIN["ml"]["criterion"], 0.001)


def machines():
    """Scores, workers, machine B and C as columns, worker on machine."""
    score, worker, machine, _ = stacked(MACHINES["scores"])
    columns = np.stack([machine == 1, machine == 2], axis=1).astype(float)
    return score, worker, columns, 3 * worker + machine


def test_machines(published):
    score, worker, columns, cell = machines()
    found, ml = fit(layout(score, worker, cell, covariates=columns), restricted=False), MACHINES["ml"]
    published("sd of workers", found.spread[0], ml["worker"], 0.002)
    published("sd of worker on machine", found.spread[1], ml["cell"], 0.002)
    published("sigma", found.noise, ml["noise"], 0.0002)
    published("coefficients", found.fixed, ml["fixed"], 0.0001)
    published("standard errors", found.standard_error, ml["se"], 0.001)
    published("deviance", found.criterion, ml["criterion"], 0.001)


def test_machines_are_not_additive(published):
    """Workers and machines alone leave a scatter that repeats contradict; worker on machine as a third factor takes it.

    The engine says so as well: without it, one reading scatters more than twice as much and readings do not fit.
    """
    score, worker, columns, cell = machines()
    machine = (columns @ [1, 2]).astype(int)
    repeats = anova.table(score, cell).within.mean_square ** 0.5
    additive = fit(layout(score, worker, covariates=columns), restricted=False)
    whole = fit(layout(score, worker, cell, covariates=columns), restricted=False)
    published("sigma is that of repeats", repeats, MACHINES["ml"]["noise"], 0.0002)
    assert additive.noise > 3 * repeats
    assert additive.criterion - whole.criterion > 60  # chi-squared with one degree of freedom: 4 would be enough
    plain = estimate(layout(score, worker, machine), Prior(1.0, (5.0, 5.0), 60.0))
    crossed = estimate(layout(score, worker, machine, cell), Prior(1.0, (5.0, 5.0, 5.0), 60.0))
    assert plain.noise > 2 * crossed.noise and (plain.weight < DOES_NOT_FIT).any()
    assert crossed.spreads[2] > 3 * crossed.noise and crossed.noise < 1.2 * repeats


def test_random_batches(published):
    value, batch, _ = stacked(RANDOM_BATCHES["batches"])
    table, found = anova.table(value, batch), fit(layout(value, batch))
    published("sum of squares between", table.terms[0].squares, 147.74, 0.01)
    published("sum of squares within", table.within.squares, 17.99, 0.0101)  # exact 18; the page rounds on the way
    published("F", table.terms[0].mean_square / table.within.mean_square, 20.5, 0.05)
    published("variance within", found.noise**2, 1.80, 0.01)
    published("variance between", found.spread[0] ** 2, 11.71, 0.01)
    total = found.noise**2 + found.spread[0] ** 2
    published("total", total, 13.51, 0.01)
    published("percent between", 100 * found.spread[0] ** 2 / total, 86.7, 0.05)


def test_pooled_repeatability(published):
    """Levels 1 to 3. Days are more alike than repeats allow: the page has a negative variance, the engine zero."""
    nist, (value, day, run) = NIST_2441, readings_2441()
    runs, days = anova.table(value, run, day).terms
    repeats = repeatability(value, day)
    published("level-1 sd", repeats.sd, nist["level_1_sd"], 5e-6)
    published("level-1 sum of squares", 60 * repeats.sd**2, nist["level_1_squares"], 5e-6)
    published("level-2 sd", (days.mean_square / 6) ** 0.5, nist["level_2_sd"], 5e-6)
    by_run = [repeatability(averages, [0] * 6).sd for averages in nist["day_average"]]
    published("level-2 sd of each run", by_run, nist["level_2_by_run"], 5e-6)
    published("level-3 sd", (runs.mean_square / 36) ** 0.5, nist["level_3_sd"], 5e-6)
    component = (days.mean_square - repeats.sd**2) / 6
    published("variance component of days", component, nist["variance_component_days"], 1e-6)
    assert (repeats.freedom, days.freedom, runs.freedom) == (60, 10, 1)
    assert fit(layout(value, run, day)).spread[1] == pytest.approx(0, abs=1e-4)
    assert repeatability(value, range(72)) is None
