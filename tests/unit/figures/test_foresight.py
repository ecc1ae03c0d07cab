"""Runs to settle and the reading that would tell most, against conjugate closed forms."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures import chances, foresight

N = 20_000
Z = stats.norm.ppf((np.arange(N) + 0.5) / N)
"""Even quantiles of a normal: draws without luck in them."""


def alone(noise):
    """Variance [1 × steps] of a difference of two motors' means where clampings do nothing: 2σ²/k."""
    return np.array([[2 * noise**2 / k for k in foresight.STEPS]])


def two_motors(lead_mean, lead_sd, unseen=0.3):
    """Draws in which only the lead varies, with the chance of being best worked out exactly."""
    lead = lead_mean + lead_sd * Z
    chance = stats.norm.cdf(lead / (unseen * np.sqrt(2)))
    return lead, np.column_stack([chance, 1 - chance]), np.column_stack([lead, np.zeros(N)])


def settle(lead_mean, lead_sd, noise, done=False):
    lead, best, score = two_motors(lead_mean, lead_sd)
    return foresight.runs_to_settle(lead, lead[:, None], alone(noise), best, score, 0.5, done)


def likely_clear(lead_mean, lead_sd, noise_of_lead, unseen=0.3):
    """Closed form: a normal lead read once with normal noise. Chance that either motor is then clearly ahead."""
    shrink = lead_sd**2 / (lead_sd**2 + noise_of_lead**2)
    rest = np.sqrt(lead_sd**2 * (1 - shrink) + 2 * unseen**2)
    needed = max(0.5, stats.norm.ppf(0.90) * rest)
    expected = stats.norm(lead_mean, np.sqrt(shrink) * lead_sd)
    return expected.sf(needed) + expected.cdf(-needed)


@pytest.mark.parametrize("lead_mean", [0.3, 0.8, 1.5])
@pytest.mark.parametrize("noise", [0.3, 1.0, 3.0])
def test_runs_agree_with_the_closed_form(lead_mean, noise):
    found = settle(lead_mean, 1.0, noise)
    runs = [k for k in foresight.STEPS if likely_clear(lead_mean, 1.0, noise * np.sqrt(2 / k)) >= 0.5]
    near = [abs(likely_clear(lead_mean, 1.0, noise * np.sqrt(2 / k)) - 0.5) < 0.02 for k in foresight.STEPS]
    if runs and not any(near):
        assert found == foresight.Settle(runs[0], "runs")
    assert found.why in ("runs", "over_32", "bench_cannot_tell")


def test_over_many_leads_the_runs_are_those_of_the_closed_form():
    """Between neighbouring steps the draws may decide differently, but not all the same way: half as many runs would
    be two steps off throughout."""
    off = []
    for lead_mean in (0.8, 0.9, 1.0, 1.2):
        for lead_sd in (0.6, 0.8, 1.0):
            for noise in (1.0, 1.5, 2.0):
                told = [likely_clear(lead_mean, lead_sd, noise * np.sqrt(2 / k)) >= 0.5 for k in foresight.STEPS]
                found = settle(lead_mean, lead_sd, noise)
                if found.runs is not None and any(told):
                    off.append(foresight.STEPS.index(found.runs) - told.index(True))
    assert len(off) > 20 and max(map(abs, off)) <= 1 and abs(np.mean(off)) < 0.3


def test_the_margin_decides_what_is_too_close_and_what_is_clear():
    """A lead about zero is inside 0.5 nine times in ten when its sd is 0.304; one known exactly is clear beyond 0.5."""
    assert stats.norm.cdf(0.5 / 0.315) - stats.norm.cdf(-0.5 / 0.315) == pytest.approx(0.887, abs=0.001)
    assert settle(0.0, 0.298, 1.0).why == "too_close" != settle(0.0, 0.315, 1.0).why

    def nearly_known(lead_mean):
        lead, best, score = two_motors(lead_mean, 0.4, unseen=0.05)
        return foresight.runs_to_settle(lead, lead[:, None], alone(0.2), best, score, 0.5, False).why

    assert (nearly_known(0.53), nearly_known(0.47)) == ("runs", "bench_cannot_tell")


def test_reasons_in_their_order():
    assert settle(3.0, 0.1, 1.0, done=True) == foresight.Settle(None, "done")
    assert settle(0.1, 0.15, 1.0) == foresight.Settle(None, "too_close")
    assert settle(0.3, 0.4, 1.0) == foresight.Settle(None, "bench_cannot_tell")
    assert settle(1.2, 1.0, 1.0).why == "runs"
    assert settle(0.7, 0.4, 60.0) == foresight.Settle(None, "over_32")


def test_what_runs_cannot_measure_they_cannot_tell():
    """The lead hangs on something no run reads: not even endless runs make it clear."""
    lead, best, score = two_motors(0.4, 2.0)
    other = np.random.default_rng(2).standard_normal((N, 1))
    found = foresight.runs_to_settle(lead, other, alone(0.1), best, score, 0.5, False)
    assert found.why in ("too_close", "bench_cannot_tell")
    nothing = foresight.runs_to_settle(lead, other[:, :0], np.zeros((0, len(foresight.STEPS))), best, score, 0.5, False)
    assert nothing.why in ("too_close", "bench_cannot_tell")


@given(st.floats(-1, 1), st.floats(0.2, 2), st.floats(0.05, 3))
def test_futures_average_to_what_is_believed_now(mean, sd, noise):
    lead, best, score = two_motors(mean, sd)
    bins = foresight.binned(lead[None, :], np.hstack([best, score]))
    means, probability = foresight.futures(bins, np.array([noise]))
    chance, leads = means[0, :, :2], means[0, :, 2:]
    assert probability.sum() == pytest.approx(1)
    assert probability @ chance == pytest.approx(best.mean(axis=0), abs=0.02)
    assert (probability @ leads)[0] == pytest.approx(score[:, 0].mean(), abs=0.03 * sd + 0.01)


def chance_after(lead, noise, best):
    return foresight.chances_after(lead[None, :], np.array([noise]), best)[0]


@given(st.floats(-1, 1), st.floats(0.2, 2))
def test_a_better_reading_tells_more_and_none_tells_less_than_nothing(mean, sd):
    lead, best, _ = two_motors(mean, sd)
    now = best.mean(axis=0).max()
    told = [chance_after(lead, noise, best) for noise in (0.0, 0.2, 1.0, 30.0)]
    assert all(a >= b - 0.005 for a, b in pairwise(told))
    assert told[-1] == pytest.approx(now, abs=0.02)


def test_chance_after_a_reading_agrees_with_the_closed_form():
    mean, sd, noise, unseen = 0.2, 1.0, 0.7, 0.3
    lead, best, _ = two_motors(mean, sd)
    shrink = sd**2 / (sd**2 + noise**2)
    rest = np.sqrt(sd**2 * (1 - shrink) + 2 * unseen**2)
    expected = mean + np.sqrt(shrink) * sd * Z
    closed = np.maximum(stats.norm.cdf(expected / rest), stats.norm.cdf(-expected / rest)).mean()
    assert chance_after(lead, noise, best) == pytest.approx(closed, abs=0.01)


def test_clear_share_counts_whoever_leads():
    chance = np.array([[0.95, 0.05], [0.05, 0.95], [0.95, 0.05], [0.85, 0.15]])
    score = np.array([[1.0, 0.0], [0.0, 1.0], [0.4, 0.0], [2.0, 0.0]])
    assert chances.clear_share(chance, score, np.full(4, 0.25), 0.5) == 0.5
