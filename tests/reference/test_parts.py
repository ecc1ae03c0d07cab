"""Published crossed layouts as stators, rotors and end bells: what each is worth, and what was never built together."""

import warnings

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as smf

from pitbench.figures.estimate import Prior, estimate
from pitbench.figures.layout import sums
from pitbench.figures.mixed import fit, levels, reduce
from tests.reference.layouts import layout, stacked
from tests.reference.mixed_models import LATIN_SQUARE, MACHINES, PENICILLIN

KINDS = ("stator", "rotor", "end_bell")

# NIST/SEMATECH e-Handbook 2.3.4.1.2 (found): differences w1-w2, w1-w3, w1-w4, w2-w3, w2-w4, w3-w4 of four weights;
# R* is w1 + w2. Rows Y1 to Y6 and R*, columns w1 to w4, all over 8; repeatability factors of w1 to w4 and of w1 - w2.
# The pairs' order was inferred from the solution, since the signs are lost in the copy of the page.
WEIGHED = ((0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3))
SOLUTION = (
    (2, -2, 0, 0),
    (1, -1, -3, -1),
    (1, -1, -1, -3),
    (-1, 1, -3, -1),
    (-1, 1, -1, -3),
    (0, 0, 2, -2),
)
FACTORS, FACTOR_OF_DIFFERENCE = (0.3536, 0.3536, 0.6124, 0.6124), 0.7071


def test_latin_square_worths(published):
    """Three kinds of four parts from 16 of 64 builds: each part's mean, shrunk as its kind's spread tells.

    In a balanced layout REML is the analysis of variance: (mean square - residual) / 4 (textbook), from the printed
    sums of squares.
    """
    value, *factors = np.array(LATIN_SQUARE).T
    found = fit(layout(value, *factors))
    between, within = np.array([40.0, 24.0, 216.0]) / 3, 16.0 / 6
    published("variance of additive, car, driver", found.spread**2, (between - within) / 4, 1e-4)
    published("variance of a reading", found.noise**2, within, 1e-4)
    means = ([18.0, 22.0, 21.0, 19.0], [19.0, 20.0, 19.0, 22.0], [23.0, 24.0, 15.0, 18.0])
    for name, effects, mean, share in zip(KINDS, found.effects, means, 1 - within / between, strict=True):
        published(f"worth of each {name}", effects, share * (np.array(mean) - 20), 1e-4)


def back_to_back(difference):
    """Two readings a session, whose difference is given [6]: value, weight on the pan, session."""
    value = np.stack([difference, np.zeros(6)], axis=1).ravel()
    return layout(value, np.ravel(WEIGHED), np.repeat(np.arange(6), 2))


def restrained(weights):
    """Weights [... × 4] with w1 + w2 = 0."""
    return weights - weights[..., :2].mean(axis=-1, keepdims=True)


def test_weighing_design(published):
    """Pairs run in one session each, weights and sessions held together by no prior: the differences alone tell."""
    apart, only, solved = np.full((1, 1, 2), 1e4), np.zeros(1, dtype=np.int64), []
    for unit in np.eye(6):
        found = sums(back_to_back(unit))
        reduced = reduce(found, apart)
        centre = np.zeros((1, 1, 1))  # given: differences do not move with it
        solved.append(restrained(levels(found, reduced, only, only, centre)[0][0, 0]))
    published("solution, over 8", 8 * np.array(solved), SOLUTION, 1e-5)
    z = np.eye(10)[None]  # one normal for every weight and session: the rows of a root of their covariance
    root = restrained(levels(found, reduced, only, only, np.zeros((1, 10, 1)), z)[0][0])
    in_differences = root / np.sqrt(2)  # a difference has twice the variance of a reading
    published("repeatability factors", np.linalg.norm(in_differences, axis=0), FACTORS, 6e-5)
    own = np.linalg.norm(in_differences[:, 0] - in_differences[:, 1])
    published("factor of w1 - w2", own, FACTOR_OF_DIFFERENCE, 6e-5)


def statsmodels_fit(value, kinds):
    """REML by statsmodels: fit, and BLUP of every part by kind."""
    frame = pd.DataFrame({"y": value, "all": 1, **dict(zip(KINDS, kinds, strict=True))})
    parts = {kind: f"0 + C({kind})" for kind in KINDS}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = smf.mixedlm("y ~ 1", frame, groups="all", re_formula="0", vc_formula=parts)
        found = model.fit(reml=True, method=["lbfgs", "bfgs"], maxiter=500, gtol=1e-9)
        effects = found.random_effects[1]
    by_kind = [np.array([e for name, e in effects.items() if name.startswith(f"{kind}[")]) for kind in KINDS]
    return found, dict(zip(model.exog_vc.names, found.vcomp, strict=True)), by_kind


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_random_crossed_designs_agree_with_statsmodels(seed):
    """Stators, rotors and end bells at random, few of the builds run: spreads of each kind, worth of each part."""
    rng = np.random.default_rng(seed)
    kinds = [rng.integers(0, size, 40) for size in (3, 4, 5)]
    worths = [rng.normal(0, sd, 5)[kind] for sd, kind in zip((1.5, 1.0, 0.7), kinds, strict=True)]
    value = 10 + np.sum(worths, axis=0) + rng.normal(0, 0.5, 40)
    found, (other, variance, effects) = fit(layout(value, *kinds)), statsmodels_fit(value, kinds)
    assert found.criterion == pytest.approx(-2 * other.llf, abs=1e-3)
    assert found.noise == pytest.approx(np.sqrt(other.scale), rel=2e-3)
    assert found.spread == pytest.approx(np.sqrt([variance[kind] for kind in KINDS]), rel=0.02, abs=0.01)
    for own, theirs in zip(found.effects, effects, strict=True):
        assert own == pytest.approx(theirs, abs=5e-3)


def held(draws, truth):
    """Whether the 90 % intervals of draws [draws × columns] hold the truth [columns]."""
    low, high = np.quantile(draws, (0.05, 0.95), axis=0)
    return (low <= truth) & (truth <= high)


def test_combinations_never_made_lie_in_their_intervals():
    """Penicillin with two samples of six on each plate: readings of the other four, as of builds nobody tested.

    All three ways to leave them out; sd of plates and samples, and what is left over, as far as these tell.
    """
    value, plate, sample = stacked(PENICILLIN["plates"])
    normal, inside, off = np.random.default_rng(0), [], []
    for way in range(3):
        made = (plate + sample) % 3 == way
        given = layout(value[made], plate[made], sample[made], (6 * plate + sample)[made])
        found = estimate(given, Prior(0.5, (1.0, 2.0, 0.3), 23.0))
        never = ~made
        sums_of_both = found.levels(0)[:, plate[never]] + found.effects[1][:, sample[never]]
        further = np.hypot(found.noise, found.spreads[2]) * normal.standard_normal(sums_of_both.shape)
        inside.append(held(sums_of_both + further, value[never]).mean())
        off.append(np.square(sums_of_both.mean(axis=0) - value[never]).mean())
    assert 0.86 <= np.mean(inside) <= 0.94
    assert np.sqrt(np.mean(off)) < 0.5 * value.std()  # they are foretold, not only wide


@pytest.mark.parametrize(("remainder", "least", "most"), [(True, 15, 18), (False, 0, 12)])
def test_a_remainder_makes_room_for_what_does_not_add_up(remainder, least, most):
    """Machines, which do not add up, each worker on each machine foretold from all others.

    Of 18 intervals of 90 % about 16 should hold. Without a remainder for every combination half of them do not.
    """
    score, worker, machine, _ = stacked(MACHINES["scores"])
    cell, normal, inside = 3 * worker + machine, np.random.default_rng(0), []
    for one in range(18):
        rest = cell != one
        factors = (worker, machine, cell)[: 3 if remainder else 2]
        prior = Prior(1.0, (5.0,) * len(factors), 60.0)
        found = estimate(layout(score[rest], *(factor[rest] for factor in factors)), prior)
        foretold = found.levels(0)[:, one // 3] + found.effects[1][:, one % 3]
        if remainder:
            foretold = foretold + found.spreads[2] * normal.standard_normal(foretold.size)
        inside.append(held(foretold[:, None], score[cell == one].mean())[0])
    assert least <= np.count_nonzero(inside) <= most
