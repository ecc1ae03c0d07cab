"""Gauge studies: a motor is a part, a bench session an operator, the tester the gauge."""

import numpy as np
import pytest

from pitbench.figures.mixed import fit
from pitbench.figures.repeatability import repeatability, shares
from tests.reference import anova
from tests.reference.layouts import layout, stacked

# AIAG, Measurement Systems Analysis reference manual, 4th ed. (2010), III-B: operators, trials, parts (data found);
# results of the analysis of variance with interaction pooled: B. McNeese (2015), found. The average-and-range method
# of the same manual is none of ours.
OPERATORS_TRIALS_PARTS = (
    (
        (0.29, -0.56, 1.34, 0.47, -0.8, 0.02, 0.59, -0.31, 2.26, -1.36),
        (0.41, -0.68, 1.17, 0.5, -0.92, -0.11, 0.75, -0.2, 1.99, -1.25),
        (0.64, -0.58, 1.27, 0.64, -0.84, -0.21, 0.66, -0.17, 2.01, -1.31),
    ),
    (
        (0.08, -0.47, 1.19, 0.01, -0.56, -0.2, 0.47, -0.63, 1.8, -1.68),
        (0.25, -1.22, 0.94, 1.03, -1.2, 0.22, 0.55, 0.08, 2.12, -1.62),
        (0.07, -0.68, 1.34, 0.2, -1.28, 0.06, 0.83, -0.34, 2.19, -1.5),
    ),
    (
        (0.04, -1.38, 0.88, 0.14, -1.46, -0.29, 0.02, -0.46, 1.77, -1.49),
        (-0.11, -1.13, 1.09, 0.2, -1.07, -0.67, 0.01, -0.56, 1.45, -1.77),
        (-0.15, -0.96, 0.67, 0.11, -1.45, -0.49, 0.21, -0.49, 1.87, -2.16),
    ),
)

# ISO 5725-2:1994, B.1, sulfur in coal, % mass fraction: laboratories, levels, unequal replicates; general mean,
# repeatability and reproducibility standard deviation of each level. Data and results from memory; they agree.
COAL = (
    ((0.71, 0.71, 0.7, 0.71), (1.2, 1.18, 1.23, 1.21), (1.68, 1.7, 1.68, 1.69), (3.26, 3.26, 3.2, 3.24)),
    ((0.69, 0.67, 0.68), (1.22, 1.21, 1.22), (1.64, 1.64, 1.65), (3.2, 3.2, 3.2)),
    ((0.66, 0.65, 0.69), (1.28, 1.31, 1.3), (1.61, 1.61, 1.62), (3.37, 3.36, 3.38)),
    ((0.67, 0.65, 0.66), (1.23, 1.18, 1.2), (1.68, 1.66, 1.66), (3.16, 3.22, 3.23)),
    ((0.7, 0.69, 0.66, 0.71, 0.69), (1.31, 1.22, 1.22, 1.24), (1.64, 1.67, 1.6, 1.66, 1.68), (3.2, 3.19, 3.18, 3.27, 3.24)),  # noqa: E501
    ((0.73, 0.74, 0.73), (1.39, 1.36, 1.37), (1.7, 1.73, 1.73), (3.27, 3.31, 3.29)),
    ((0.71, 0.71, 0.69), (1.2, 1.26, 1.26), (1.69, 1.7, 1.68), (3.27, 3.24, 3.23)),
    ((0.7, 0.65, 0.68), (1.24, 1.22, 1.3), (1.67, 1.68, 1.67), (3.25, 3.26, 3.26)),
)  # fmt: skip
COAL_RESULTS = ((0.690, 0.015, 0.026), (1.252, 0.029, 0.061), (1.667, 0.017, 0.035), (3.250, 0.026, 0.058))


def test_gauge_study(published):
    value, operator, _, part = stacked(OPERATORS_TRIALS_PARTS)
    cell = 10 * operator + part
    whole, pooled = anova.table(value, part, operator, cell), anova.table(value, part, operator)
    squares = [line.squares for line in (*whole.terms, whole.within)]
    published("SS part, operator, both, equipment", squares, [88.362, 3.167, 0.359, 2.759], 0.001)
    published("SS pooled error", pooled.within.squares, 3.118, 0.001)
    published("df pooled error", pooled.within.freedom, 78, 1e-9)
    found = fit(layout(value, part, operator))
    published("variance of repeats", found.noise**2, 0.040, 0.0005)
    published("variance of operators", found.spread[1] ** 2, 0.0515, 0.0005)
    published("variance of parts", found.spread[0] ** 2, 1.086, 0.0005)
    published("variance of the gauge", found.noise**2 + found.spread[1] ** 2, 0.0914, 0.0005)
    parts = shares(value, part, operator)
    published("percent of the gauge", 100 * (1 - parts.motors) ** 0.5, 27.88, 0.1)


@pytest.mark.parametrize("level", [0, 1, 2, 3])
def test_coal(published, level):
    """As published. Between laboratories the norm takes moments; REML differs where numbers of replicates do."""
    mean, repeat, reproduce = COAL_RESULTS[level]
    groups = [laboratory[level] for laboratory in COAL]
    value = np.concatenate(groups)
    laboratory = np.repeat(np.arange(8), [len(group) for group in groups])
    published("general mean", value.mean(), mean, 0.0005)
    published("repeatability sd", repeatability(value, laboratory).sd, repeat, 0.001)
    table = anova.table(value, laboratory)
    n = (value.size - sum(len(group) ** 2 for group in groups) / value.size) / 7
    between = (table.terms[0].mean_square - table.within.mean_square) / n
    by_moments = (between + table.within.mean_square) ** 0.5
    published("reproducibility sd, moments", by_moments, reproduce, 0.001)
    found = fit(layout(value, laboratory))
    assert (found.spread[0] ** 2 + found.noise**2) ** 0.5 == pytest.approx(by_moments, rel=0.04)
