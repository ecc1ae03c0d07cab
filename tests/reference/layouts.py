"""Balanced tables as the layouts that the engine takes."""

import numpy as np

from pitbench.figures.layout import Layout


def layout(value, *levels, covariates=None):
    """Values [n] with the level of every factor [n], and columns [n × p] if any; every reading counts once."""
    n = len(value)
    columns = np.zeros((n, 0)) if covariates is None else np.asarray(covariates, dtype=float)
    arrays = tuple(np.unique(np.asarray(level), return_inverse=True)[1].astype(np.int64) for level in levels)
    return Layout(np.asarray(value, dtype=float), arrays, tuple(int(a.max()) + 1 for a in arrays), np.ones(n), columns)


def stacked(table):
    """A table of any shape as values and, for every axis, the index of each value."""
    array = np.asarray(table, dtype=float)
    return array.ravel(), *(axis.ravel() for axis in np.indices(array.shape))
