"""Least squares where every day has a curve of its own: each day is eliminated by itself, so time grows with the runs.

    y_i = curve_i·c[day_i] + x_i·β + e_i,  e ~ N(0, σ²/weight)

Coefficients are flat or normal with a size in units of σ; those of one group of columns share a size θ that is learned.
The engine (`estimate`) would need columns for every day, and its time grows with their cube: it is for factors, this is
for curves. With sizes in units of σ, σ² given θ is scaled inverse χ², all else given both is normal, and only θ needs a
grid. σ² has the prior of `estimate`, θ a half-normal one. Source: Gelman et al., Bayesian Data Analysis, 3rd ed., 5.4
and 14.2 (recalled).
"""

from dataclasses import dataclass, replace

import numpy as np

from pitbench.figures.arrays import Bools, Floats, Ints
from pitbench.figures.misfit import OUTLIER_AT, PASSES, SETTLED
from pitbench.figures.normals import SEED, antithetic, resampled
from pitbench.figures.posterior import PRIOR_FREEDOM

NODES, SMALLEST, LARGEST = 48, 0.03, 4.0
"""Nodes of θ, evenly spread over its logarithm between these multiples of its prior scale."""


@dataclass(frozen=True)
class Problem:
    """value, weight, day [n], days from 0 on, each with a row; curve [n × k]; columns [n × c].

    curve_size [k], size [c]: prior sd in units of σ, infinite where flat; group [c]: True for the columns of size θ,
    which has a half-normal prior of this scale; noise: the σ believed, counting for `believed` degrees of freedom; fit
    [n]: how much of a reading each counts for, where a weight tells its precision only.
    """

    value: Floats
    weight: Floats
    day: Ints
    curve: Floats
    curve_size: Floats
    columns: Floats
    size: Floats
    group: Bools
    scale: float
    noise: float
    fit: Floats
    believed: float = PRIOR_FREEDOM

    @property
    def freedom(self) -> float:
        """Degrees of freedom of σ², those of its prior included."""
        flat = int(np.isinf(self.size).sum()) + int(np.isinf(self.curve_size).sum()) * (int(self.day.max()) + 1)
        return self.believed + max(0.0, float(self.fit.sum()) - flat)

    @property
    def counted(self) -> Floats:
        """Weight with fit [n]."""
        return self.weight * self.fit


@dataclass(frozen=True)
class Reduced:
    """The problem with all days eliminated, d of them.

    covariance [d × k × k], over σ², and mean [d × k] of a day's curve at β = 0; through [d × k × c]: how it falls with
    β; information [c × c], right [c] and squares: what is left for β.
    """

    covariance: Floats
    mean: Floats
    through: Floats
    information: Floats
    right: Floats
    squares: float


@dataclass(frozen=True)
class Solved:
    """β [c] given θ, its covariance over σ² [c × c], the sum of squares not explained, and the log likelihood of θ.

    The likelihood has all else integrated out, restricted where coefficients are flat, without a constant.
    """

    mean: Floats
    covariance: Floats
    left: float
    log_likelihood: float


@dataclass(frozen=True)
class Drawn:
    """Draws of β [draws × c] and of the curve of every day [draws × d × k]; row i and row i + draws/2 are a pair.

    noise: σ of a reading of weight 1; fit [n]: how well every reading fits, 1 for most.
    """

    columns: Floats
    curves: Floats
    noise: float
    fit: Floats


def reduce(problem: Problem) -> Reduced:
    """Eliminate the curve of every day."""
    days, weight = int(problem.day.max()) + 1, problem.counted[:, None]
    everything = np.column_stack([problem.curve, problem.columns, problem.value])
    k = problem.curve.shape[1]
    by_day = np.zeros((days, k, everything.shape[1]))
    np.add.at(by_day, problem.day, (weight * problem.curve)[:, :, None] * everything[:, None, :])
    covariance = np.asarray(np.linalg.inv(by_day[:, :, :k] + np.diag(problem.curve_size**-2)), dtype=np.float64)
    along, rest = by_day[:, :, k:], everything[:, k:]
    through = covariance @ along
    whole = rest.T @ (weight * rest) - along.reshape(days * k, -1).T @ through.reshape(days * k, -1)
    return Reduced(covariance, through[:, :, -1], through[:, :, :-1], whole[:-1, :-1], whole[:-1, -1], whole[-1, -1])


def solve(problem: Problem, reduced: Reduced, theta: float) -> Solved:
    """β at one θ > 0. Flat columns must be independent of each other and of the curves."""
    size = np.where(problem.group, theta, problem.size)
    information = reduced.information + np.diag(1 / size**2)
    covariance = np.asarray(np.linalg.inv(information), dtype=np.float64)
    mean = covariance @ reduced.right
    left = max(0.0, float(reduced.squares - mean @ reduced.right))
    log_det = float(np.linalg.slogdet(information)[1]) + 2 * float(np.log(theta)) * int(problem.group.sum())
    total = problem.believed * problem.noise**2 + left
    return Solved(mean, covariance, left, -0.5 * (log_det + problem.freedom * float(np.log(total))))


def draw(problem: Problem, n_draws: int, seed: int) -> Drawn:
    """Draws from the posterior, readings that do not fit weighed down. `n_draws`: an even number."""
    fit = fitting(problem)
    problem = replace(problem, fit=fit)
    reduced = reduce(problem)
    theta = problem.scale * np.geomspace(SMALLEST, LARGEST, NODES)
    solved = [solve(problem, reduced, each) for each in theta]
    log_weight = np.array([each.log_likelihood for each in solved]) - 0.5 * (theta / problem.scale) ** 2 + np.log(theta)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    squares = problem.believed * problem.noise**2 + np.array([each.left for each in solved])
    half, (days, k, c) = n_draws // 2, reduced.through.shape
    node = resampled(weight, half, seed)
    chi_squared = np.random.default_rng([SEED, seed]).chisquare(problem.freedom, half)
    sigma = np.sqrt(squares[node] / chi_squared)[:, None]
    z = antithetic(n_draws, c + days * k, seed)[:half]
    mean, departure = np.array([each.mean for each in solved])[node], np.empty((half, c))
    for each in np.unique(node):
        own = node == each
        departure[own] = z[own, :c] @ np.linalg.cholesky(solved[each].covariance).T
    bend = np.einsum("dij,rdj->rdi", np.linalg.cholesky(reduced.covariance), z[:, c:].reshape(half, days, k))
    columns = _pairs(mean, sigma * departure)
    curves = reduced.mean - (columns @ reduced.through.reshape(days * k, c).T).reshape(n_draws, days, k)
    curves += _pairs(np.zeros(1), sigma[:, :, None] * bend)
    noise = float(np.exp(weight @ np.log(squares / problem.freedom) / 2))
    return Drawn(columns, curves, noise, fit)


def fitting(problem: Problem) -> Floats:
    """Weight min(1, (2.5/|r|)⁴) on leverage-standardised residuals r with θ at its prior scale, as in `misfit` [n]."""
    fit = np.ones(problem.value.size)
    for _ in range(PASSES):
        weighed = replace(problem, fit=fit)
        reduced = reduce(weighed)
        solved = solve(weighed, reduced, problem.scale)
        variance = (problem.believed * problem.noise**2 + solved.left) / weighed.freedom
        day, curve = problem.day, problem.curve
        free = problem.columns - np.einsum("nk,nkc->nc", curve, reduced.through[day])
        leverage = np.einsum("ni,nij,nj->n", curve, reduced.covariance[day], curve)
        leverage += ((free @ solved.covariance) * free).sum(axis=1)
        scale = np.sqrt(variance / problem.weight * np.clip(1 - weighed.counted * leverage, 0.05, 1.0))
        residual = problem.value - (curve * reduced.mean[day]).sum(axis=1) - free @ solved.mean
        again = (OUTLIER_AT / np.maximum(np.abs(residual) / scale, OUTLIER_AT)) ** 4
        settled = bool(np.abs(again - fit).max() < SETTLED)
        fit = again
        if settled:
            break
    return fit


def _pairs(mean: Floats, departure: Floats) -> Floats:
    """Every mean with its departure, then with the departure turned round."""
    return np.concatenate([mean + departure, mean - departure])
