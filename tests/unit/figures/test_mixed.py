"""REML, ML and BLUP of crossed random factors against statsmodels and dense algebra; published: tests/reference."""

import warnings
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as smf
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.figures.layout import Layout, clampings
from pitbench.figures.mixed import fit, reduce, spread_points


def layout(value, *levels, covariates=None):
    n = len(value)
    columns = np.zeros((n, 0)) if covariates is None else np.asarray(covariates, dtype=float)
    arrays = tuple(np.asarray(level, dtype=np.int64) for level in levels)
    return Layout(np.asarray(value, dtype=float), arrays, tuple(int(a.max()) + 1 for a in arrays), np.ones(n), columns)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_unbalanced_crossed_layouts_agree_with_statsmodels(seed):
    rng = np.random.default_rng(seed)
    n = 60
    motor, session, warm = rng.integers(0, 6, n), rng.integers(0, 4, n), rng.normal(0, 5, n)
    value = 5 + rng.normal(0, 1.2, 6)[motor] + rng.normal(0, 0.7, 4)[session] + 0.1 * warm + rng.normal(0, 0.5, n)
    found = fit(layout(value, motor, session, covariates=warm[:, None]))
    frame = pd.DataFrame({"y": value, "warm": warm, "motor": motor, "session": session, "all": 1})
    parts = {"motor": "0 + C(motor)", "session": "0 + C(session)"}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = smf.mixedlm("y ~ warm", frame, groups="all", re_formula="0", vc_formula=parts)
        other = model.fit(reml=True, method=["lbfgs", "bfgs"], maxiter=500, gtol=1e-9)
    assert found.criterion <= -2 * other.llf + 1e-6
    assert found.criterion == pytest.approx(-2 * other.llf, abs=1e-3)
    assert found.noise == pytest.approx(np.sqrt(other.scale), rel=2e-3)
    assert found.spread == pytest.approx(np.sqrt(other.vcomp), rel=0.02, abs=0.01)
    assert found.fixed == pytest.approx(other.fe_params.to_numpy(), abs=5e-3)
    assert found.standard_error == pytest.approx(other.bse_fe.to_numpy(), rel=0.02)


def test_a_factor_that_explains_nothing_has_spread_zero():
    """Batches more alike than chance: the classical estimate is negative and is reported as zero."""
    value = [1.0, 3.0, 1.1, 2.9, 0.9, 3.1]
    found = fit(layout(value, [0, 0, 1, 1, 2, 2]))
    assert found.spread[0] == pytest.approx(0, abs=1e-3)
    assert found.effects[0] == pytest.approx(np.zeros(3), abs=1e-3)


@settings(max_examples=60)
@given(st.integers(1, 4), st.integers(0, 2), st.integers(0, 10_000), st.sampled_from([0.0, 0.4, 1.7]))
def test_the_eliminated_system_is_the_dense_one(n_factors, slopes, seed, seat):
    """Log determinant and least squares of any layout, clampings and stretched levels, against the dense covariance."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(slopes + 3, 12))
    levels = [rng.integers(0, rng.integers(1, 5), n) for _ in range(n_factors)]
    covariates = rng.normal(0, 1, (n, slopes))
    given_rows = layout(rng.normal(0, 1, n), *levels, covariates=covariates)
    theta = rng.uniform(0, 2, (1, 1, n_factors))
    stretch = tuple(rng.choice([0.0, 1.0, 2.5], size) for size in given_rows.sizes)
    together = np.unique(np.array(levels), axis=1, return_inverse=True)[1].ravel()
    given_rows = replace(given_rows, stretch=stretch, clamping=together, weight=rng.uniform(0.3, 1, n))
    found = clampings(given_rows).sums(np.array([seat]))
    reduced, c = reduce(found, theta), 1 + slopes
    dense = np.diag(1 / given_rows.weight) + seat**2 * np.equal.outer(together, together)
    for t, level, own in zip(theta[0, 0], levels, stretch, strict=True):
        dense += t**2 * np.equal.outer(level, level) * own[level] ** 2
    x = np.column_stack([np.ones(n), covariates])
    y = given_rows.value - found.offset[0]
    inverse = np.linalg.inv(dense)
    assert reduced.log_det[0, 0] - np.log(given_rows.weight).sum() == pytest.approx(
        np.linalg.slogdet(dense)[1], abs=1e-8
    )
    assert reduced.tail[0, 0, :c, :c] == pytest.approx(x.T @ inverse @ x, abs=1e-8)
    assert reduced.tail[0, 0, :c, c] == pytest.approx(x.T @ inverse @ y, abs=1e-8)
    assert reduced.tail[0, 0, c, c] == pytest.approx(y @ inverse @ y, abs=1e-8)


@pytest.mark.parametrize("dimensions", [1, 2, 5])
def test_spread_points_leave_no_large_gap(dimensions):
    points = spread_points(256, dimensions)
    assert points.shape == (256, dimensions) and points.min() >= 0 and points.max() < 1
    for column in points.T:
        assert np.diff(np.sort(column)).max() < 0.02
