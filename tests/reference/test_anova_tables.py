"""Published tables of the analysis of variance, to the last digit a two-pass sum can carry."""

import numpy as np
import pytest

from pitbench.figures.repeatability import repeatability
from tests.reference import anova
from tests.reference.layouts import stacked
from tests.reference.mixed_models import LATIN_SQUARE

# NIST/ITL Statistical Reference Datasets, analysis of variance, SiRstv: resistance of silicon wafers by instrument
# (data and certified values found).
SIRSTV = (
    (196.3052, 196.1240, 196.1890, 196.2569, 196.3403),
    (196.3042, 196.3825, 196.1669, 196.3257, 196.0422),
    (196.1303, 196.2005, 196.2889, 196.0343, 196.1811),
    (196.2795, 196.1748, 196.1494, 196.1485, 195.9885),
    (196.2119, 196.1051, 196.1850, 196.0052, 196.2090),
)
# SmLs01 of the same: nine treatments, 21 readings each, a middle value and ten pairs a tenth below and above it.
SMLS01 = tuple(
    (middle, *((middle + first, middle - first) * 10))
    for middle, first in [(1.4, -0.1), *[(1.3, -0.1), (1.5, -0.1)] * 4]
)

# NIST/SEMATECH e-Handbook 3.2.3.2 and 3.2.3.3 (found): pin diameters; the level is a coolant (crossed with machines)
# or an operator (within a machine). Levels, samples, machines.
PINS = (
    (
        (0.125, 0.118, 0.123, 0.126, 0.118),
        (0.127, 0.122, 0.125, 0.128, 0.129),
        (0.125, 0.120, 0.125, 0.126, 0.127),
        (0.126, 0.124, 0.124, 0.127, 0.120),
        (0.128, 0.119, 0.126, 0.129, 0.121),
    ),
    (
        (0.124, 0.116, 0.122, 0.126, 0.125),
        (0.128, 0.125, 0.121, 0.129, 0.123),
        (0.127, 0.119, 0.124, 0.125, 0.114),
        (0.126, 0.125, 0.126, 0.130, 0.124),
        (0.129, 0.120, 0.125, 0.124, 0.117),
    ),
)

# NIST/SEMATECH e-Handbook 7.4.3.8 (found): two laboratories, three materials, three samples.
LABORATORIES = (
    ((4.1, 3.9, 4.3), (3.1, 2.8, 3.3), (3.5, 3.2, 3.6)),
    ((2.7, 3.1, 2.6), (1.9, 2.2, 2.3), (2.7, 2.3, 2.5)),
)


def ratio(line, error):
    return line.mean_square / error.mean_square


@pytest.mark.parametrize(
    ("rows", "between", "within", "f", "share", "sd", "relative"),
    [
        (SIRSTV, 0.0511462616, 0.21663656, 1.18046237440255, 0.190999039051129, 0.104076068334656, 1e-9),
        (SMLS01, 1.68, 1.8, 21.0, 0.482758620689655, 0.1, 1e-12),
    ],
    ids=["SiRstv", "SmLs01"],
)
def test_strd(published, rows, between, within, f, share, sd, relative):
    value, group, _ = stacked(rows)
    made = anova.table(value, group)
    published("SS between", made.terms[0].squares, between, relative=relative)
    published("SS within", made.within.squares, within, relative=relative)
    published("F", ratio(made.terms[0], made.within), f, relative=relative)
    published("R squared", between / (made.terms[0].squares + made.within.squares), share, relative=relative)
    published("residual sd", made.within.mean_square**0.5, sd, relative=relative)
    published("residual sd as repeatability", repeatability(value, group).sd, sd, relative=relative)
    assert (made.terms[0].freedom, made.within.freedom) == (len(rows) - 1, value.size - len(rows))


def test_nested_or_crossed(published):
    """The same numbers, F of machines 8.8 or 20.4 by what they are held against."""
    value, level, _, machine = stacked(PINS)
    crossed = anova.table(value, machine, level, 5 * level + machine)
    machines, coolants, both = crossed.terms
    published("SS machines", machines.squares, 0.000303, 5e-7)
    published("SS coolants", coolants.squares, 3.92e-6, 5e-9)
    published("SS both", both.squares, 1.468e-5, 5e-9)
    published("SS residual", crossed.within.squares, 0.000346, 5e-7)
    published("F machines, crossed", ratio(machines, crossed.within), 8.8, 0.05)
    published("F coolants", ratio(coolants, crossed.within), 0.45, 0.005)
    published("F both", ratio(both, crossed.within), 0.42, 0.005)
    nested = anova.table(value, machine, 5 * level + machine)
    operators = nested.terms[1]
    published("SS operators in machines", operators.squares, 1.86e-5, 5e-8)
    published("F machines, nested", ratio(nested.terms[0], operators), 20.38, 0.005)
    published("F operators in machines", ratio(operators, nested.within), 0.428, 0.003)
    assert [line.freedom for line in (*crossed.terms, crossed.within)] == [4, 1, 4, 40]
    assert [line.freedom for line in (*nested.terms, nested.within)] == [4, 5, 40]


def test_two_way(published):
    value, laboratory, material, _ = stacked(LABORATORIES)
    made = anova.table(value, laboratory, material, 3 * laboratory + material)
    published("SS laboratories, materials, both", [t.squares for t in made.terms], [5.0139, 2.1811, 0.1344], 5e-5)
    published(
        "F laboratories, materials, both", [ratio(t, made.within) for t in made.terms], [100.28, 21.81, 1.34], 0.005
    )
    assert [line.freedom for line in (*made.terms, made.within)] == [1, 2, 2, 12]


def test_latin_square(published):
    """Three crossed factors of four levels from 16 of 64 combinations: the layout of stators, rotors and end bells."""
    value, *factors = np.array(LATIN_SQUARE).T
    made = anova.table(value, *factors)
    published("SS additive, car, driver", [line.squares for line in made.terms], [40.0, 24.0, 216.0], 1e-9)
    published("SS residual", made.within.squares, 16.0, 1e-9)
    published("F additive", ratio(made.terms[0], made.within), 5.0, 1e-9)
    assert [line.freedom for line in (*made.terms, made.within)] == [3, 3, 3, 6]
