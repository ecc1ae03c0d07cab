"""The engine against a brute-force posterior, against simulated truth, and against awkward data."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.figures.estimate import Estimate, Prior, estimate
from pitbench.figures.layout import Layout
from pitbench.figures.misfit import DOES_NOT_FIT

KV = Prior(noise=0.2, scales=(1.5, 0.3), centre=827.0)


def readings(values, motor, session=None, covariates=None, weight=None):
    n = len(values)
    session = np.zeros(n, dtype=int) if session is None else np.array(session)
    return Layout(
        np.array(values, dtype=float),
        (np.array(motor, dtype=int), session),
        (max(motor, default=0) + 1, int(session.max(initial=0)) + 1),
        np.ones(n) if weight is None else np.array(weight, dtype=float),
        np.zeros((n, 0)) if covariates is None else np.array(covariates, dtype=float).reshape(n, -1),
    )


def estimated(given, n_motors, prior, **options):
    """The engine's answer for motors 0 to n_motors − 1, also those without a reading."""
    return estimate(replace(given, sizes=(n_motors, *given.sizes[1:])), prior, **options)


def simulated(rng, n_motors, runs, sessions=2, noise=0.2, prior=KV):
    """Truth and readings drawn from the stated priors, every motor in every session in turn."""
    truth = 829 + abs(rng.normal(0, prior.scales[0])) * rng.standard_normal(n_motors)
    bias = abs(rng.normal(0, prior.scales[1])) * rng.standard_normal(sessions)
    motor = np.repeat(np.arange(n_motors), runs)
    session = np.tile(np.arange(runs) % sessions, n_motors)
    return truth, readings(truth[motor] + bias[session] + rng.normal(0, noise, motor.size), motor, session)


def brute_force(given, n_motors, prior, draws=60_000, seed=1):
    """Posterior mean and sd of motor 1 less motor 0 by importance sampling from the priors with dense covariances."""
    rng = np.random.default_rng(seed)
    y = given.value - given.value.mean()
    tau_m = abs(rng.normal(0, prior.scales[0], draws))
    tau_s = abs(rng.normal(0, prior.scales[1], draws))
    var = 3 * prior.noise**2 / rng.chisquare(3, draws)
    same_motor = np.equal.outer(given.levels[0], given.levels[0])
    same_session = np.equal.outer(given.levels[1], given.levels[1])
    cov = tau_m[:, None, None] ** 2 * same_motor + tau_s[:, None, None] ** 2 * same_session
    cov = cov + var[:, None, None] * np.eye(y.size)
    one = np.ones(y.size)
    inverse = np.linalg.inv(cov)
    information = one @ inverse @ one
    beta = (inverse @ y) @ one / information
    rest = y - beta[:, None]
    solved = np.einsum("kij,kj->ki", inverse, rest)
    log_weight = -0.5 * (np.linalg.slogdet(cov)[1] + np.log(information) + (rest * solved).sum(axis=1))
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    contrast = (given.levels[0] == 1).astype(float) - (given.levels[0] == 0)
    mean = tau_m**2 * (solved @ contrast)
    projected = inverse - np.einsum("ki,kj->kij", inverse @ one, inverse @ one) / information[:, None, None]
    variance = 2 * tau_m**2 - tau_m**4 * np.einsum("i,kij,j->k", contrast, projected, contrast)
    centre = weight @ mean
    return centre, np.sqrt(weight @ (variance + (mean - centre) ** 2))


@pytest.mark.parametrize(
    "given",
    [
        readings([829.0, 829.1, 829.5, 829.3], [0, 0, 1, 1]),
        readings([829.0, 829.4, 829.9, 829.6], [0, 0, 1, 1], [0, 1, 0, 1]),
        readings([829.0, 829.2, 829.1, 830.9, 828.6], [0, 0, 0, 1, 2], [0, 0, 1, 1, 1]),
    ],
    ids=["one session", "two sessions", "three motors, uneven"],
)
def test_difference_of_two_motors_agrees_with_brute_force(given):
    n_motors = int(given.levels[0].max()) + 1
    mean, sd = brute_force(given, n_motors, KV)
    draws = estimated(given, n_motors, KV, n_draws=8000).levels()
    difference = draws[:, 1] - draws[:, 0]
    assert difference.mean() == pytest.approx(mean, abs=0.06 * sd)
    assert difference.std() == pytest.approx(sd, rel=0.06)


@pytest.mark.parametrize(("n_motors", "runs"), [(2, 2), (3, 2), (5, 4)])
def test_intervals_hold_the_truth_nine_times_in_ten(n_motors, runs):
    """Differences from the mean of the motors, which is what a ranking compares; data from the stated priors."""
    rng = np.random.default_rng(11)
    hits = []
    for _ in range(250):
        noise = np.sqrt(3 * KV.noise**2 / rng.chisquare(3))
        truth, given = simulated(rng, n_motors, runs, noise=noise)
        draws = estimated(given, n_motors, KV, n_draws=1000).levels()
        low, high = np.quantile(draws - draws.mean(axis=1, keepdims=True), [0.05, 0.95], axis=0)
        hits.append(((truth - truth.mean() >= low) & (truth - truth.mean() <= high)).mean())
    assert 0.86 <= np.mean(hits) <= 0.94


def test_many_runs_recover_the_truth_and_the_repeatability():
    truth, given = simulated(np.random.default_rng(3), 6, 200, sessions=10)
    found = estimated(given, 6, KV)
    centred = found.levels() - found.levels().mean(axis=1, keepdims=True)
    assert centred.mean(axis=0) == pytest.approx(truth - truth.mean(), abs=0.05)
    assert found.noise == pytest.approx(0.2, rel=0.05)
    assert centred.std(axis=0).max() < 0.03


def test_a_slope_is_learned_from_repeats():
    rng = np.random.default_rng(4)
    warm = np.tile(np.linspace(0, 30, 20), 2)
    motor = np.repeat([0, 1], 20)
    value = 829 + 0.5 * motor + 0.11 * warm + rng.normal(0, 0.1, 40)
    prior = Prior(0.2, (1.5, 0.3), 827.0, ((0.07, 0.04),))
    found = estimated(readings(value, motor, covariates=warm), 2, prior)
    assert found.slopes[0] == pytest.approx(0.11, abs=0.01)
    assert (found.levels()[:, 1] - found.levels()[:, 0]).mean() == pytest.approx(0.5, abs=0.08)


def test_without_any_spread_in_a_covariate_its_slope_stays_as_believed():
    prior = Prior(0.2, (1.5, 0.3), 827.0, ((0.07, 0.04), (0.5, 0.3)))
    found = estimated(readings([829, 829.2, 829.1], [0, 0, 1], covariates=np.zeros((3, 2))), 2, prior)
    assert found.slopes == pytest.approx([0.07, 0.5], abs=1e-6)


def test_a_motor_nobody_measured_is_as_wide_as_believed():
    found = estimated(readings([829.0, 829.1] * 30, [0, 1] * 30), 3, KV)
    spread = (found.levels()[:, 2] - found.levels()[:, :2].mean(axis=1)).std()
    assert KV.scales[0] * 0.95 < spread < KV.scales[0] * 1.5
    nobody = estimated(readings([], []), 2, KV)
    assert nobody.levels().mean(axis=0) == pytest.approx(KV.centre, abs=1e-6)
    assert nobody.levels().std(axis=0) == pytest.approx(KV.scales[0], rel=0.05)
    assert nobody.freedom == 0


def test_sessions_tied_by_a_check_motor_compare_motors_never_run_together():
    """Motor 1 in session 0 and motor 2 in session 1, which reads 1 % high; motor 0 in both shows it."""
    rng = np.random.default_rng(6)
    motor = np.array([0] * 6 + [1] * 6 + [0] * 6 + [2] * 6)
    session = np.repeat([0, 1], 12)
    value = 829 + (motor > 0) + 1.0 * session + rng.normal(0, 0.1, 24)
    tied = estimated(readings(value, motor, session), 3, KV).levels()
    untied = estimated(readings(value[motor > 0], motor[motor > 0] - 1, session[motor > 0]), 2, KV).levels()
    assert (tied[:, 2] - tied[:, 1]).mean() == pytest.approx(0, abs=0.2)
    assert (untied[:, 1] - untied[:, 0]).mean() > 0.4
    assert (untied[:, 1] - untied[:, 0]).std() > 1.5 * (tied[:, 2] - tied[:, 1]).std()


def test_a_run_that_does_not_fit_counts_less():
    value = [829.0, 829.1, 828.9, 829.05, 831.5, 829.2, 829.1, 829.3]
    found = estimated(readings(value, [0, 0, 0, 0, 0, 1, 1, 1]), 2, KV)
    assert found.weight[4] < DOES_NOT_FIT
    assert min(np.delete(found.weight, 4)) > DOES_NOT_FIT
    assert found.levels()[:, 0].mean() == pytest.approx(829.05, abs=0.3)


layouts = st.lists(
    st.tuples(st.floats(460, 1151), st.integers(0, 4), st.integers(0, 2), st.sampled_from([0.0, 1.0, 30.0])),
    min_size=1,
    max_size=6,
)
"""Readings of any size a record lets in, KV from 100 to 100,000: value, motor, session, covariate."""


@settings(max_examples=60)
@given(layouts, st.integers(0, 3))
def test_any_layout_gives_finite_draws(rows, n_slopes):
    n_motors = 5
    value, motor, session, covariate = zip(*rows, strict=True)
    session = np.unique(session, return_inverse=True)[1]
    columns = np.tile(np.array(covariate)[:, None], n_slopes)
    prior = Prior(0.2, (1.5, 0.3), 827.0, ((0.07, 0.04),) * n_slopes)
    found = estimated(readings(value, motor, session, columns), n_motors, prior, n_draws=200)
    assert found.levels().shape == (200, n_motors)
    assert np.isfinite(found.levels()).all() and np.isfinite(found.noise) and found.noise > 0


def test_a_thousand_runs_against_one_and_repeats_without_any_scatter():
    rng = np.random.default_rng(8)
    value = np.append(829 + rng.normal(0, 0.2, 1000), 829.5)
    found = estimated(readings(value, [0] * 1000 + [1]), 2, KV)
    assert 0.15 < (found.levels()[:, 1] - found.levels()[:, 0]).std() < 0.3  # the noise of the one run
    still = estimated(readings([829.0] * 6, [0, 0, 0, 1, 1, 1]), 2, KV)
    assert 0.02 < still.noise < 0.2


def test_a_further_reading_lies_where_the_readings_so_far_were_taken():
    """By hand: centre + effect + slopes · usual covariates, in every draw, and so exactly where a reading comes in."""
    found = Estimate(
        centre=np.array([100.0, 102.0]),
        effects=(np.array([[1.0, -1.0], [3.0, -3.0]]),),
        slope_draws=np.array([[0.5], [0.7]]),
        usual=np.array([[2.0], [-4.0]]),
        noise=1.0,
        spreads=(1.0,),
        freedom=1,
        weight=np.ones(2),
        between=np.ones(2),
    )
    assert found.further_reading(0).tolist() == pytest.approx([102.0, 106.4])
    assert found.further_reading(1).tolist() == pytest.approx([97.0, 96.2])


def test_half_a_weight_is_half_a_reading():
    twice = estimated(readings([829.0, 829.0, 829.6], [0, 0, 1]), 2, KV, n_draws=8000).levels()
    half = estimated(
        readings([829.0] * 4 + [829.6], [0] * 4 + [1], weight=[0.5] * 4 + [1]), 2, KV, n_draws=8000
    ).levels()
    assert half.mean(axis=0) == pytest.approx(twice.mean(axis=0), abs=0.02)
    assert half.std(axis=0) == pytest.approx(twice.std(axis=0), rel=0.05)


def test_draws_are_the_same_every_time_and_come_in_antithetic_pairs():
    given = readings([829.0, 829.1, 829.5], [0, 0, 1])
    one, other = estimated(given, 2, KV, seed=3), estimated(given, 2, KV, seed=3)
    assert (one.levels() == other.levels()).all()
    assert not (one.levels() == estimated(given, 2, KV, seed=4).levels()).all()
    first, second = np.split(one.levels(), 2)
    halves = first + second
    assert np.corrcoef(first[:, 0], second[:, 0])[0, 1] < -0.5
    assert halves.std() < one.levels().std() * 2
