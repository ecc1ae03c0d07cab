"""How likely a number was mistyped, held against numpy's inverse and scipy's normal densities."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import multivariate_normal, norm

from pitbench.figures.mistyped import ERRORS, SURE, TAIL, TIMES, Meant, judged, precision_of, standing

COV = [[1.0, 0.6, 0.2], [0.6, 2.0, 0.3], [0.2, 0.3, 0.5]]


@given(st.integers(1, 8), st.integers(0, 1000))
def test_the_inverse_is_numpys(n, seed):
    root = np.random.default_rng(seed).normal(size=(n, n))
    cov = root @ root.T + np.eye(n)
    assert np.array(precision_of(cov.tolist())) == pytest.approx(np.linalg.inv(cov))


def test_a_number_stands_off_by_its_sd_given_the_others():
    r = np.array([1.0, -2.0, 0.5])
    cov = np.array(COV)
    for i in range(3):
        rest = [j for j in range(3) if j != i]
        gain = np.linalg.solve(cov[np.ix_(rest, rest)], cov[rest, i])
        sd = np.sqrt(cov[i, i] - gain @ cov[rest, i])
        assert standing(r, precision_of(COV))[i] == pytest.approx((r[i] - gain @ r[rest]) / sd)


def test_the_chance_is_bayes_rule_over_every_hypothesis():
    """Each density of the row from scipy: right, one number far out, one put right, anywhere."""
    r, widths, unknown = [0.4, 9.0, -0.3], [50.0, 80.0, 40.0], 0.05
    meant = [Meant(1, "a", -8.5, 0.02, 1.0), Meant(1, "b", -12.0, 0.05, 2.0), Meant(0, "a", 3.0, 0.02, 3.0)]
    meant.append(Meant(1, "swap", -9.2, 0.01, 4.0, (2, 0.5, 5.0)))
    row = multivariate_normal(np.zeros(3), COV)
    z, precision = standing(r, precision_of(COV)), precision_of(COV)

    def put(each):
        moved = list(r)
        moved[each.at] += each.move
        if each.other:
            moved[each.other[0]] += each.other[1]
        return row.pdf(moved)

    right = row.pdf(r) + sum(
        TAIL * row.pdf(r) / norm.pdf(z[i]) * norm.pdf(z[i], scale=TIMES) for i in range(3)
    )  # fmt: skip
    slips = [ERRORS * each.share * put(each) for each in meant]
    anywhere = [
        ERRORS * unknown * row.pdf(r) / norm.pdf(z[i]) * precision[i][i] ** -0.5 / widths[i] for i in range(3)
    ]  # fmt: skip
    whole = right + sum(slips) + sum(anywhere)
    found = judged(r, precision, widths, meant, unknown)
    assert found[1].chance == pytest.approx((slips[0] + slips[1] + slips[3] + anywhere[1]) / whole, rel=1e-6)
    assert 0 not in found


def test_a_repair_is_offered_only_where_one_is_sure():
    precision = precision_of([[1.0]])
    one = Meant(0, "a digit wrong", -20.0, 0.01, 1.0)
    verdict = judged([20.0], precision, [1000.0], [one], 0.001)[0]
    assert (verdict.cause, verdict.meant, verdict.exact) == ("a digit wrong", 1.0, True) and verdict.chance > 0.99
    two = [one, one._replace(value=2.0, move=-20.5)]
    assert judged([20.0], precision, [1000.0], two, 0.001)[0].meant is None
    lost = [each._replace(lost=True) for each in two]
    verdict = judged([20.0], precision, [1000.0], lost, 0.001)[0]
    assert verdict.meant in (1.0, 2.0) and not verdict.exact, "digits are lost: about what was foreseen"
    assert 0.5 < SURE < 1


def test_nobody_knows_the_cause_of_what_no_slip_explains():
    verdict = judged([40.0], precision_of([[1.0]]), [100.0], [Meant(0, "a", -30.0, 0.1, 1.0)], 0.03)[0]
    assert (verdict.cause, verdict.meant) == ("", None)


@given(st.floats(-3.5, 3.5))
def test_what_lies_where_it_should_is_let_pass(off):
    assert judged([off], precision_of([[1.0]]), [100.0], [Meant(0, "a", -off, 0.3, 1.0)], 0.03) == {}
