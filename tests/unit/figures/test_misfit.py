"""Runs that do not fit, against the dense hat matrix."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.figures import misfit
from pitbench.figures.layout import Layout, clampings


@settings(max_examples=60)
@given(st.integers(1, 3), st.integers(0, 2), st.integers(0, 10_000), st.booleans())
def test_leverage_and_fit_agree_with_the_dense_hat_matrix(n_factors, slopes, seed, seated):
    rng = np.random.default_rng(seed)
    n = int(rng.integers(4, 14))
    sizes = tuple(int(size) for size in rng.integers(1, 5, n_factors))
    levels = tuple(rng.integers(0, size, n) for size in sizes)
    seats = np.unique(np.array(levels), axis=1, return_inverse=True)[1].ravel()
    weight = rng.uniform(0.3, 1, n)
    layout = Layout(rng.normal(0, 1, n), levels, sizes, weight, rng.normal(0, 1, (n, slopes)), (), seats)
    scales, precision, variance = np.array((1.5, 0.4, 0.8)[:n_factors]), np.full(slopes, 4.0), 0.3
    if seated:
        levels, sizes, scales = (*levels, seats), (*sizes, int(seats.max()) + 1), np.append(scales, 0.5)
    found = clampings(layout)
    solved_here = misfit._solve(found, variance, scales, precision**-0.5)
    dense = np.column_stack([*(np.eye(size)[level] for size, level in zip(sizes, levels, strict=True)), np.ones(n)])
    dense = np.column_stack([dense, layout.covariates])
    penalty = np.concatenate([np.repeat(variance / np.square(scales), sizes), [0.0], variance * precision])
    solved = np.linalg.inv((dense.T * layout.weight) @ dense + np.diag(penalty))
    assert misfit._leverage(solved_here, layout, found) == pytest.approx(
        np.einsum("ni,ij,nj->n", dense, solved, dense), abs=1e-6
    )
    value = layout.value - found.offset
    expected = value - dense @ solved @ (dense.T @ (layout.weight * value))
    assert misfit._residual(solved_here, layout, found, np.ones(n)) == pytest.approx(expected, abs=1e-6)
    right = dense.T @ (layout.weight * value)
    assert solved_here.left == pytest.approx(layout.weight @ value**2 - right @ solved @ right, abs=1e-6)


def weights(value):
    n = len(value)
    layout = Layout(np.array(value), (np.arange(n) % 2, np.zeros(n, dtype=int)), (2, 1), np.ones(n), np.zeros((n, 0)))
    return misfit.fitting(layout, 0.2, np.array([1.5, 0.3]), np.zeros(0), 3.0).weight


def test_ordinary_readings_all_count_whole():
    assert weights([829.0, 829.3, 829.2, 829.1, 828.9, 829.4]) == pytest.approx(np.ones(6))


@pytest.mark.parametrize("off", [1.6, 4.0, -8.0])
def test_one_reading_eight_sigma_off_or_more_counts_little(off):
    found = weights([829.0, 829.3, 829.2, 829.1, 828.9, 829.4, 829.05 + off, 829.2])
    assert found[6] < misfit.DOES_NOT_FIT
    assert (np.delete(found, 6) > 0.9).all()
