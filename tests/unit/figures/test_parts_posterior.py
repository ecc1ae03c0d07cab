"""What parts are worth, against brute force: spreads and shares from their priors, weighed by dense covariances."""

import numpy as np
import pytest

from pitbench.figures import posterior
from pitbench.figures.estimate import Prior, estimate
from pitbench.figures.layout import Layout, relabelled
from pitbench.figures.posterior import LARGEST, SMALLEST
from pitbench.figures.shares import DOUBT, REMAINDER_DOUBT

PRIOR = Prior(noise=0.2, scales=(1.5, 0.3, 0.25), centre=827.0, shares=(0.15, 0.30, 0.50, 0.05))
"""KV in the engine's unit, by remainder, stator, rotor and end bell."""
BUILDS = np.array([(0, 0, 0), (1, 1, 1), (0, 1, 0), (1, 0, 1), (2, 0, 1)])
NEVER_SWAPPED = ([0, 0, 1, 1], [0, 0, 0, 0], [829.0, 829.1, 830.4, 830.5])
ROTORS_SWAPPED = (
    [0, 0, 1, 1, 2, 2, 3, 3],
    [0, 0, 0, 0, 1, 1, 1, 1],
    [829.0, 829.1, 830.4, 830.5, 830.3, 830.2, 829.4, 829.3],
)
A_STATOR_MORE = (
    [*ROTORS_SWAPPED[0], 4, 4, 0],
    [*ROTORS_SWAPPED[1], 2, 2, 2],
    [*ROTORS_SWAPPED[2], 828.6, 828.8, 829.2],
)


def factors(build, session):
    """Build, session, stator, rotor, end bell of every reading, and its clamping."""
    return (build, session, *BUILDS[build].T), relabelled(5 * session + build)


def brute_force(build, session, value, contrasts, draws=50_000):
    """Mean and sd of contrasts [c × 7] of three stators, two rotors and two end bells."""
    rng = np.random.default_rng(4)
    scaled = np.abs(rng.standard_t(4, (draws, 3)))
    scaled = scaled[((scaled > SMALLEST) & (scaled < LARGEST)).all(axis=1)]
    draws = scaled.shape[0]
    tau = scaled * np.array(PRIOR.scales)
    share = np.array(PRIOR.shares) * np.exp(
        np.array([REMAINDER_DOUBT, DOUBT, DOUBT, DOUBT]) * rng.standard_normal((draws, 4))
    )
    share /= share.sum(axis=1, keepdims=True)
    noise = 3 * PRIOR.noise**2 / rng.chisquare(3, draws)
    levels, clamping = factors(build, session)
    one = np.array([np.equal.outer(label, label) for label in (*levels, clamping)], dtype=float)
    of_kind = tau[:, :1] ** 2 * share
    by_factor = np.stack([of_kind[:, 0], tau[:, 1] ** 2, *of_kind[:, 1:].T, tau[:, 2] ** 2], axis=1)
    covariance = np.einsum("kf,fij->kij", by_factor, one) + noise[:, None, None] * np.eye(build.size)
    inverse = np.linalg.inv(covariance)
    column = inverse.sum(axis=2)
    total = column.sum(axis=1)
    centred = inverse - column[:, :, None] * column[:, None, :] / total[:, None, None]  # the centre is flat
    y = value - value.mean()
    log_weight = -0.5 * (np.linalg.slogdet(covariance)[1] + np.log(total) + np.einsum("i,kij,j->k", y, centred, y))
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    parts = np.concatenate([np.eye(size)[BUILDS[build, kind]] for kind, size in enumerate((3, 2, 2))], axis=1)
    variance = np.repeat(of_kind[:, 1:], (3, 2, 2), axis=1)
    found = []
    for contrast in contrasts:
        with_readings = (variance * contrast) @ parts.T
        mean = np.einsum("ki,kij,j->k", with_readings, centred, y)
        left = variance @ contrast**2 - np.einsum("ki,kij,kj->k", with_readings, centred, with_readings)
        middle = weight @ mean
        found.append((middle, np.sqrt(weight @ (left + mean**2) - middle**2)))
    return found


CONTRASTS = {
    "stator 1 - 0": (-1, 1, 0, 0, 0, 0, 0),
    "stator 2 - 0": (-1, 0, 1, 0, 0, 0, 0),
    "rotor 1 - 0": (0, 0, 0, -1, 1, 0, 0),
    "end bell 1 - 0": (0, 0, 0, 0, 0, -1, 1),
    "stator 2 with rotor 1 - both 0": (-1, 0, 1, -1, 1, 0, 0),
}


@pytest.mark.parametrize(
    "rows",
    [NEVER_SWAPPED, ROTORS_SWAPPED, A_STATOR_MORE],
    ids=["never swapped", "rotors swapped", "a stator more"],
)
def test_worths_are_what_brute_force_says(monkeypatch, rows):
    """To 4 % with ten times the points; with as many as are used, sds are up to a tenth too wide."""
    build, session, value = (np.array(column) for column in rows)
    levels, clamping = factors(build, session)
    sizes = (len(BUILDS), int(session.max()) + 1, 3, 2, 2)
    layout = Layout(
        value, levels, sizes, np.ones(build.size), np.zeros((build.size, 0)), clamping=clamping, of_first=(2, 3, 4)
    )
    as_used = estimate(layout, PRIOR, n_draws=8000)
    monkeypatch.setattr(posterior, "FINE", (800, 11))
    finer = estimate(layout, PRIOR, n_draws=40_000)
    told = brute_force(build, session, value, np.array(list(CONTRASTS.values()), dtype=float))
    for (name, contrast), (mean, sd) in zip(CONTRASTS.items(), told, strict=True):
        for made, off, wider in ((finer, 0.04, 0.04), (as_used, 0.06, 0.15)):
            found = np.concatenate(made.effects[2:], axis=1) @ np.array(contrast, dtype=float)
            assert found.mean() == pytest.approx(mean, abs=off * sd), name
            assert found.std() == pytest.approx(sd, rel=wider), name
