"""Chances, verdicts and groups from draws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures import chances


def separated(*means, sd=0.01, n=400):
    z = np.random.default_rng(1).standard_normal((n, len(means)))
    return np.array(means) + sd * z


@pytest.mark.parametrize("lead", [0.0, 0.2, 0.5])
def test_chance_of_two_motors_agrees_with_the_normal_distribution(lead):
    score = np.tile([lead, 0.0], (2000, 1))
    best = chances.best_of(score, chances.unseen_part(2000, 2, 0.3)).mean(axis=0)
    assert best[0] == pytest.approx(stats.norm.cdf(lead / (0.3 * np.sqrt(2))), abs=0.01)
    assert best.sum() == pytest.approx(1)


@given(st.integers(1, 6), st.integers(0, 1000))
def test_chances_add_up_to_one(n_motors, seed):
    score = np.random.default_rng(seed).normal(0, 1, (50, n_motors))
    assert chances.best_of(score, chances.unseen_part(50, n_motors, 0.3)).sum(axis=1) == pytest.approx(np.ones(50))


@pytest.mark.parametrize(
    ("chance", "lead", "verdict"),
    [
        (0.90, 0.5, "clear"),
        (0.90, 0.49, "leaning"),
        (0.89, 3.0, "leaning"),
        (0.70, 0.0, "leaning"),
        (0.69, 9.0, "open"),
    ],
)
def test_verdict(chance, lead, verdict):
    assert chances.verdict_of(chance, lead, 0.5) == verdict


def test_motors_far_apart_have_a_letter_each_and_equal_ones_share():
    assert letters(separated(2, 1, 0)) == ["a", "b", "c"]
    assert letters(separated(1, 1, 1)) == ["a", "a", "a"]


def test_a_motor_between_two_belongs_to_both():
    assert letters(separated(0.02, 0.01, 0.0)) == ["a", "ab", "b"]


def test_sixty_motors_far_apart_have_sixty_letters():
    found = letters(separated(*range(60, 0, -1)))
    assert len(set(found)) == 60 and all(len(letter) == 1 for letter in found)


@given(st.integers(1, 7), st.integers(0, 500), st.floats(0.01, 2))
def test_stretches_are_as_long_as_can_be(n, seed, sd):
    score = np.random.default_rng(seed).normal(np.linspace(1, 0, n), sd, (200, n))
    order = list(np.argsort(-score.mean(axis=0)))
    found = chances.groups(score, np.zeros_like(score), order)
    apart = [[(score[:, a] > score[:, b]).mean() >= 0.90 for b in order] for a in order]
    for i in range(n):
        for j in range(i + 1, n):
            share = bool(set(found[i]) & set(found[j]))
            spanned = any(not apart[a][b] for a in range(i + 1) for b in range(j, n))
            assert share == spanned


def letters(score):
    return chances.groups(score, np.zeros_like(score), list(range(score.shape[1])))
