"""Published comparisons of two groups and of several, and sample sizes."""

import numpy as np
import pytest
from scipy import stats

from pitbench.figures import chances
from pitbench.figures.estimate import Prior, estimate
from pitbench.figures.mixed import fit
from pitbench.figures.quantiles import t_point
from pitbench.figures.repeats import readings
from pitbench.figures.sweep import fit_line
from tests.reference import anova
from tests.reference.layouts import layout

# Student, Biometrika 6 (1908): hours of sleep gained by ten people on two drugs (data and results found).
SLEEP = ((0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0), (1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4))

# NIST/SEMATECH e-Handbook 7.4.7.1 and 7.4.3.3 (found): four groups of five, Tukey's simultaneous 95 % intervals.
HANDBOOK = {
    "groups": (
        (6.9, 5.4, 5.8, 4.6, 4.0),
        (8.3, 6.8, 7.8, 9.2, 6.5),
        (8.0, 10.5, 8.1, 6.9, 9.3),
        (5.8, 3.8, 6.1, 5.6, 6.2),
    ),
    "intervals": {
        (1, 0): (0.29, 4.47),
        (2, 0): (1.13, 5.31),
        (0, 3): (-2.25, 1.93),
        (1, 2): (-2.93, 1.25),
        (1, 3): (0.13, 4.31),
        (2, 3): (0.97, 5.15),
    },
    "within": 0.01,
}
# Warp breaks by tension L, M, H: the example of TukeyHSD in the documentation of R (found).
WARP_BREAKS = {
    "groups": (
        (26, 30, 54, 25, 70, 52, 51, 26, 67, 27, 14, 29, 19, 29, 31, 41, 20, 44),
        (18, 21, 29, 17, 12, 18, 35, 30, 36, 42, 26, 19, 16, 39, 28, 21, 39, 29),
        (36, 21, 24, 18, 10, 43, 28, 15, 26, 20, 21, 24, 17, 13, 15, 15, 16, 28),
    ),
    "intervals": {
        (1, 2): (-4.8376022, 14.28205),
        (0, 2): (5.1623978, 24.28205),
        (0, 1): (0.4401756, 19.55982),
    },
    "within": 1e-5,
}


def test_student_sleep(published):
    """Run in pairs the same 20 numbers are clear, apart they are not: motors in turn, with the evening as a factor."""
    value, drug, person = np.concatenate(SLEEP), np.repeat([0.0, 1.0], 10), np.tile(np.arange(10), 2)
    paired = fit(layout(value, person, covariates=drug[:, None]))
    difference, doubt = paired.fixed[1], paired.standard_error[1]
    published("difference", -difference, -1.58, 1e-6)
    published("t, paired", -difference / doubt, -4.0621, 5e-5)
    reach = t_point(0.975, 9) * doubt
    published("95 % interval, paired", [-difference - reach, -difference + reach], [-2.4598858, -0.7001142], 5e-6)
    apart = fit_line(drug, value)
    published("t, not paired", -apart.slope / apart.slope_doubt, -1.8608, 5e-5)
    reach = t_point(0.975, apart.freedom) * apart.slope_doubt
    published("95 % interval, not paired", [-apart.slope - reach, -apart.slope + reach], [-3.363874, 0.203874], 5e-6)


@pytest.mark.parametrize("study", [HANDBOOK, WARP_BREAKS], ids=["handbook", "warp-breaks"])
def test_tukey(published, study):
    """The pooled σ with scipy's studentised range gives the printed intervals, and what is told apart is the same.

    Groups of a ranking are no simultaneous intervals: they must tell apart what Tukey does, and nothing that he finds
    as likely as not.
    """
    groups = study["groups"]
    value = np.concatenate(groups)
    group = np.repeat(np.arange(len(groups)), [len(each) for each in groups])
    within = anova.table(value, group).within
    mean = np.array([np.mean(each) for each in groups])
    reach = (
        stats.studentized_range.ppf(0.95, len(groups), within.freedom) * (within.mean_square / len(groups[0])) ** 0.5
    )
    for (i, j), printed in study["intervals"].items():
        difference = mean[i] - mean[j]
        published(f"interval of {i + 1} - {j + 1}", [difference - reach, difference + reach], printed, study["within"])
    scale = float(mean.std(ddof=1))
    found = estimate(layout(value, group), Prior(within.mean_square**0.5, (2 * scale,), float(value.mean()))).levels()
    order = np.argsort(-mean).tolist()
    letters = dict(zip(order, chances.groups(found, np.zeros_like(found), order), strict=True))
    for (i, j), (low, high) in study["intervals"].items():
        assert bool(set(letters[i]) & set(letters[j])) == (low < 0 < high)


def test_first_three_groups(published):
    """NIST/SEMATECH e-Handbook 7.4.3.3."""
    groups = HANDBOOK["groups"][:3]
    made = anova.table(np.concatenate(groups), np.repeat([0, 1, 2], 5))
    published("SS treatments", made.terms[0].squares, 27.897, 5e-4)
    published("SS error", made.within.squares, 17.452, 5e-4)
    published("F", made.terms[0].mean_square / made.within.mean_square, 9.59, 0.005)


# NIST/SEMATECH e-Handbook 7.2.2.2 (found): readings for shifts of 0.5, 1 and 1.5 σ by two-sided false alarm and missed.
SIZES = {
    (0.01, 0.01): (98, 25, 11),
    (0.01, 0.05): (73, 18, 8),
    (0.01, 0.1): (61, 15, 7),
    (0.01, 0.2): (47, 12, 6),
    (0.01, 0.5): (27, 7, 3),
    (0.05, 0.01): (75, 19, 9),
    (0.05, 0.05): (53, 13, 6),
    (0.05, 0.1): (43, 11, 5),
    (0.05, 0.2): (33, 8, 4),
    (0.05, 0.5): (16, 4, 3),
    (0.1, 0.01): (65, 16, 8),
    (0.1, 0.05): (45, 11, 5),
    (0.1, 0.1): (35, 9, 4),
    (0.1, 0.2): (25, 7, 3),
    (0.1, 0.5): (11, 3, 3),
    (0.2, 0.01): (53, 14, 6),
    (0.2, 0.05): (35, 9, 4),
    (0.2, 0.1): (27, 7, 3),
    (0.2, 0.2): (19, 5, 3),
    (0.2, 0.5): (7, 3, 3),
}


def test_sample_sizes(published):
    """The worked example step by step; the page's own table, which names no number under 3, is one more than its own
    formula in some places."""
    published("readings, sigma known", np.ceil(readings(1.0, 0.05, 0.10)), 9, 1e-9)
    published("before rounding", readings(1.0, 0.05, 0.10), 8.567, 0.005)  # the page rounds its z to three digits
    published("second step, 8 degrees of freedom", readings(1.0, 0.05, 0.10, 8), 10.6, 0.05)
    published("third step, 10 degrees of freedom", np.ceil(readings(1.0, 0.05, 0.10, 10)), 11, 1e-9)
    table = [[np.ceil(readings(s, a / 2, b)) for s in (0.5, 1.0, 1.5)] for a, b in SIZES]
    published("table", np.maximum(table, 3), list(SIZES.values()), 1)
