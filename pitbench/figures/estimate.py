"""What the motors of one comparison truly read, given noisy runs in several bench sessions: draws from the posterior.

The one engine behind every compared figure. Model of one figure on its own scale:

    y = centre + covariates·slopes + u_motor + u_session + e,   u ~ N(0, τ²) per factor,   e ~ N(0, σ²)

Priors: σ² scaled inverse χ² with 3 degrees of freedom at the tester's repeatability, τ half-normal, slopes normal. The
posterior of (τ_motor, τ_session, σ) is summed over a fixed grid; given a node everything is normal, and the motors,
whose block is diagonal, are eliminated first.
Source: Gelman et al., Bayesian Data Analysis, 3rd ed., chapters 5 and 14 (recalled).
Deterministic: fixed seed, antithetic pairs.
"""

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PRIOR_FREEDOM = 3.0
OUTLIER_AT = 2.5
OUTLIER_PASSES = 3
DOES_NOT_FIT = 0.5
"""A run whose weight falls below this is flagged: its residual is beyond about 3 σ."""
RIDGE = 1e-9
MOTOR_NODES, SESSION_NODES, NOISE_NODES = 9, 7, 11


@dataclass(frozen=True)
class Readings:
    """Readings of one figure: value, motor, session, weight [n] and covariates [n × k], zero at the stated conditions.

    A weight of ½ counts as half a reading. Labels are whole numbers from 0.
    """

    value: Floats
    motor: Ints
    session: Ints
    weight: Floats
    covariates: Floats


@dataclass(frozen=True)
class Prior:
    """noise σ, motor and session scales, on the scale of the readings. slopes: (mean, sd) for each covariate.

    centre: where motors lie when there is not one reading.
    """

    noise: float
    motor_sd: float
    session_sd: float
    centre: float
    slopes: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Estimate:
    """draws [n_draws × motors]; row i and row i + n_draws/2 are an antithetic pair.

    noise: σ of one reading; session_sd: τ of a session; freedom: degrees of freedom of the repeats; slopes [k]; weight
    [n]: how far each reading fits (1: well).
    """

    draws: Floats
    noise: float
    session_sd: float
    freedom: float
    slopes: Floats
    weight: Floats


def estimate(readings: Readings, n_motors: int, prior: Prior, *, n_draws: int = 4000, seed: int = 0) -> Estimate:
    """Draws of every motor's true figure at covariates zero; see the module. `n_draws` even.

    A motor without a reading is N(centre of the measured, motor_sd²).
    """
    rng = np.random.default_rng([20_260_412, seed])
    measured = np.bincount(readings.motor, minlength=n_motors) > 0
    lone = prior.motor_sd * _antithetic(rng, n_draws, n_motors)
    if not measured.any():
        slopes = np.array([mean for mean, _ in prior.slopes])
        return Estimate(prior.centre + lone, prior.noise, prior.session_sd, 0.0, slopes, np.ones(0))
    fit = _fitting_weights(readings, n_motors, prior)
    sums = _sums(readings, readings.weight * fit, n_motors, prior)
    grid = _posterior(sums, prior)
    rest, draws = _draw(sums, grid, rng, n_draws)
    draws[:, ~measured] = rest[:, :1] + lone[:, ~measured]
    slopes = np.array([mean for mean, _ in prior.slopes])
    found = slopes + grid.weight @ grid.mean[:, 1 : 1 + slopes.size]
    noise = float(np.exp(grid.weight @ np.log(grid.noise)))
    session = float(np.sqrt(grid.weight @ grid.session_sd**2))
    return Estimate(draws + sums.offset, noise, session, sums.freedom, found, fit)


@dataclass(frozen=True)
class _Sums:
    """Sufficient statistics of one pass over the readings. "Rest" is centre, slopes and sessions, in that order."""

    offset: float
    count: float
    yy: float
    motor_count: Floats
    motor_y: Floats
    cross: Floats
    rest_rest: Floats
    rest_y: Floats
    slope_precision: Floats
    freedom: float
    least_squares: float

    @property
    def sessions(self) -> int:
        return self.rest_y.size - 1 - self.slope_precision.size


def _sums(readings: Readings, weight: Floats, n_motors: int, prior: Prior) -> _Sums:
    y, rest, precision = _design(readings, prior)
    offset = float(weight @ y / weight.sum())
    y = y - offset
    motors = np.zeros((y.size, n_motors))
    motors[np.arange(y.size), readings.motor] = 1.0
    weighted = weight[:, None] * rest
    cross, rest_rest, rest_y = motors.T @ weighted, rest.T @ weighted, weighted.T @ y
    motor_count, motor_y = motors.T @ weight, motors.T @ (weight * y)
    slope_ridge = np.zeros(rest_y.size)
    slope_ridge[1 : 1 + precision.size] = prior.noise**2 * precision
    matrix = np.block([[np.diag(motor_count), cross], [cross.T, rest_rest + np.diag(slope_ridge)]])
    rss, rank = _least_squares(matrix, np.concatenate([motor_y, rest_y]), float(weight @ (y * y)))
    count = float(weight.sum())
    return _Sums(
        offset,
        count,
        float(weight @ (y * y)),
        motor_count,
        motor_y,
        cross,
        rest_rest,
        rest_y,
        precision,
        max(0.0, count - (rank - precision.size)),
        rss,
    )


def _design(readings: Readings, prior: Prior) -> tuple[Floats, Floats, Floats]:
    """Values less the prior slopes, the columns of the rest, and the prior precision of the slopes."""
    n = readings.value.size
    means = np.array([mean for mean, _ in prior.slopes])
    precision = np.array([1 / sd**2 for _, sd in prior.slopes])
    sessions = np.zeros((n, int(readings.session.max()) + 1))
    sessions[np.arange(n), readings.session] = 1.0
    covariates = readings.covariates.reshape(n, means.size)
    return readings.value - covariates @ means, np.column_stack([np.ones(n), covariates, sessions]), precision


def _least_squares(matrix: Floats, right: Floats, yy: float) -> tuple[float, int]:
    """Residual sum of squares and rank, motors and sessions free, slopes held by their priors: what repeats say."""
    values, vectors = np.linalg.eigh(matrix)
    kept = values > RIDGE * values.max()
    along = (vectors.T @ right)[kept]
    return max(0.0, yy - float(along @ (along / values[kept]))), int(kept.sum())


@dataclass(frozen=True)
class _Grid:
    """Nodes of the posterior [k]: weights, standard deviations, and the normal of the rest given the node."""

    weight: Floats
    motor_sd: Floats
    session_sd: Floats
    noise: Floats
    mean: Floats
    half: Floats
    motor_precision: Floats


def _posterior(sums: _Sums, prior: Prior) -> _Grid:
    motor_sd, session_sd, noise = (axis.ravel() for axis in np.meshgrid(*_axes(sums, prior), indexing="ij"))
    variance = noise**2
    precision = sums.motor_count / variance[:, None] + 1 / motor_sd[:, None] ** 2
    share = 1 / (precision * variance[:, None] ** 2)
    system = sums.rest_rest / variance[:, None, None] - (sums.cross.T * share[:, None, :]) @ sums.cross
    diagonal = np.arange(sums.rest_y.size)
    system[:, diagonal, diagonal] += _rest_precision(sums, session_sd) + RIDGE
    right = sums.rest_y / variance[:, None] - (share * sums.motor_y) @ sums.cross
    lower = np.linalg.cholesky(system)
    half = np.linalg.inv(lower)
    along = np.einsum("kij,kj->ki", half, right)
    mean = np.einsum("kji,kj->ki", half, along)
    log_likelihood = -0.5 * (
        sums.count * np.log(variance)
        + sums.motor_count.size * np.log(motor_sd**2)
        + sums.sessions * np.log(session_sd**2)
        + np.log(precision).sum(axis=1)
        + 2 * np.log(lower[:, diagonal, diagonal]).sum(axis=1)
        + sums.yy / variance
        - (share * sums.motor_y**2).sum(axis=1)
        - (along**2).sum(axis=1)
    )
    log_prior = -0.5 * PRIOR_FREEDOM * (np.log(variance) + prior.noise**2 / variance)
    log_weight = log_likelihood + log_prior
    weight = np.exp(log_weight - log_weight.max())
    return _Grid(weight / weight.sum(), motor_sd, session_sd, noise, mean, half, precision)


def _axes(sums: _Sums, prior: Prior) -> tuple[Floats, Floats, Floats]:
    """Nodes of τ at quantiles of their priors, so of equal prior weight; σ evenly in its logarithm where it can lie."""
    freedom = PRIOR_FREEDOM + sums.freedom
    centre = np.log((PRIOR_FREEDOM * prior.noise**2 + sums.least_squares) / freedom)
    width = np.sqrt(2 / freedom)
    noise = np.exp(0.5 * np.linspace(centre - 2.8 * width, centre + 4.2 * width, NOISE_NODES))
    return prior.motor_sd * _half_normal(MOTOR_NODES), prior.session_sd * _half_normal(SESSION_NODES), noise


def _half_normal(nodes: int) -> Floats:
    """Quantiles of |N(0, 1)| at (i + ½)/n."""
    return np.array([NormalDist().inv_cdf(0.5 + (i + 0.5) / nodes / 2) for i in range(nodes)])


def _rest_precision(sums: _Sums, session_sd: Floats) -> Floats:
    """Prior precisions of centre (flat), slopes and sessions for every node [k × rest]."""
    k = session_sd.size
    fixed = np.concatenate([[0.0], sums.slope_precision])
    return np.column_stack([np.tile(fixed, (k, 1)), np.repeat(1 / session_sd[:, None] ** 2, sums.sessions, axis=1)])


def _draw(sums: _Sums, grid: _Grid, rng: np.random.Generator, n_draws: int) -> tuple[Floats, Floats]:
    """Draws of the rest and of the motors: systematic resampling of nodes, antithetic normals."""
    pairs = n_draws // 2
    points = (np.arange(pairs) + 0.5) / pairs
    node = np.minimum(np.searchsorted(np.cumsum(grid.weight), points), grid.weight.size - 1)
    node = np.tile(rng.permutation(node), 2)
    z = _antithetic(rng, n_draws, sums.rest_y.size + sums.motor_count.size)
    size = sums.rest_y.size
    rest = grid.mean[node] + np.einsum("dji,dj->di", grid.half[node], z[:, :size])
    precision, variance = grid.motor_precision[node], grid.noise[node, None] ** 2
    mean = (sums.motor_y - rest @ sums.cross.T) / variance / precision
    return rest, rest[:, :1] + mean + z[:, size:] / np.sqrt(precision)


def _antithetic(rng: np.random.Generator, n_draws: int, columns: int) -> Floats:
    z = rng.standard_normal((n_draws // 2, columns))
    return np.concatenate([z, -z])


def _fitting_weights(readings: Readings, n_motors: int, prior: Prior) -> Floats:
    """Weight min(1, (2.5/|r|)⁴) of each reading, r leverage-standardised, three passes, τ at its prior scale."""
    fit = np.ones(readings.value.size)
    y, rest, slope_precision = _design(readings, prior)
    columns = np.column_stack([rest, np.eye(n_motors)[readings.motor]])
    sessions = rest.shape[1] - 1 - slope_precision.size
    penalty = np.concatenate(
        [
            [0.0],
            slope_precision,
            np.full(sessions, prior.session_sd**-2.0),
            np.full(n_motors, prior.motor_sd**-2.0),
        ]
    )
    for _ in range(OUTLIER_PASSES):
        weight = readings.weight * fit
        sums = _sums(readings, weight, n_motors, prior)
        freedom = PRIOR_FREEDOM + sums.freedom
        variance = (PRIOR_FREEDOM * prior.noise**2 + sums.least_squares) / freedom
        system = (columns.T * weight) @ columns / variance + np.diag(penalty + RIDGE)
        spread = np.linalg.solve(system, columns.T)
        residual = y - columns @ (spread @ (weight * (y - sums.offset))) / variance - sums.offset
        leverage = readings.weight * np.einsum("ij,ji->i", columns, spread) / variance
        scale = np.sqrt(variance / readings.weight * np.clip(1 - leverage, 0.05, 1.0))
        size = np.abs(residual) / scale
        fit = np.minimum(1.0, (OUTLIER_AT / np.maximum(size, OUTLIER_AT)) ** 4)
    return fit
