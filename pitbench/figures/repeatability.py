"""How well a tester repeats itself: σ of one reading with its interval, and where the scatter of all runs comes from.

Values are on the scale of the engine (percent for KV, current and resistance), at equal warmth.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from pitbench.figures.layout import Layout
from pitbench.figures.mixed import fit
from pitbench.figures.posterior import PRIOR_FREEDOM, SPREAD_FREEDOM
from pitbench.figures.quantiles import chi_squared_point
from pitbench.figures.uncertainty import from_group_means

LOOKED_AT, NODES = (0.02, 8.0), 60
"""Spreads of clampings looked at, in units of the usual one, and how many."""
LIMIT = 2.8
"""Repeatability limit in σ: 1.96·√2, rounded as ISO 5725-6 does (recalled)."""


@dataclass(frozen=True)
class Repeatability:
    """σ of one reading, its 5 and 95 % points, and on how many repeats (degrees of freedom) it stands."""

    sd: float
    low90: float
    high90: float
    freedom: int

    @property
    def limit(self) -> float:
        """Two readings of one motor in one session differ by less, nineteen times in twenty (ISO 5725-6)."""
        return LIMIT * self.sd


def repeatability(values: ArrayLike, group: Sequence[int], usual: float | None = None) -> Repeatability | None:
    """σ of repeats pooled over groups (one motor in one session); values [n], groups [n]. None without a repeat.

    With `usual`, the tester's usual σ, that counts as three repeats more: σ² is scaled inverse χ², as everywhere in
    the engine. Without, the classical interval. Source: NIST/SEMATECH e-Handbook 2.4.4.1 (pooling); Gelman et al.,
    Bayesian Data Analysis, 3rd ed., 2.6 (recalled).

    >>> repeatability([1.0, 3.0, 10.0, 14.0], [0, 0, 1, 1])
    Repeatability(sd=2.236068, low90=1.291914, high90=9.873127, freedom=2)
    """
    labels = np.unique(np.asarray(group), return_inverse=True)[1]
    rest, repeats = from_group_means(values, labels), labels.size - int(labels.max()) - 1
    if repeats == 0:
        return None
    believed = 0.0 if usual is None else PRIOR_FREEDOM
    freedom = repeats + believed
    squares = float(rest @ rest) + believed * (usual or 0.0) ** 2
    low, high = (float(np.sqrt(squares / chi_squared_point(p, freedom))) for p in (0.95, 0.05))
    return Repeatability(float(np.sqrt(squares / freedom)), low, high, repeats)


@dataclass(frozen=True)
class ClampingSpread:
    """Spread from clamping to clamping of one motor, its 5 and 95 % points, and on how many clampings beyond those that
    motors and sessions use up (degrees of freedom)."""

    sd: float
    low90: float
    high90: float
    freedom: int

    def limit(self, sigma: float) -> float:
        """Two readings of one motor, clamped anew between them, differ by less, nineteen times in twenty."""
        return LIMIT * float(np.hypot(self.sd, sigma))


def clamping_spread(
    values: ArrayLike, motor: Sequence[int], session: Sequence[int], sigma: float, usual: float
) -> ClampingSpread | None:
    """How far clampings (one motor in one session) lie apart, beside motors and sessions; values [n], labels [n].

    None where every clamping is used up by its motor or session: it takes two motors in two sessions. The posterior on
    a line of spreads, motors and sessions free, means of clampings varying by τ² + σ²/n; prior half-Student with scale
    `usual` as in the engine. Source: restricted likelihood, Patterson & Thompson, Biometrika 58 (1971), recalled.
    """
    y, labels = np.asarray(values, dtype=float), np.stack([np.asarray(motor), np.asarray(session)])
    cells, label, count = np.unique(labels, axis=1, return_inverse=True, return_counts=True)
    mean = np.bincount(label, y - y.mean()) / count
    columns = np.concatenate([np.equal.outer(np.unique(each), each) for each in cells]).T.astype(float)
    basis, size, _ = np.linalg.svd(columns, full_matrices=False)
    basis = basis[:, size > 1e-9 * size[0]]
    freedom = mean.size - basis.shape[1]
    if freedom < 1:
        return None
    spread = usual * np.geomspace(*LOOKED_AT, NODES)
    weight = 1 / (spread[:, None] ** 2 + sigma**2 / count)
    inner = np.einsum("kn,np,nq->kpq", weight, basis, basis, optimize=True)
    pull = (weight * mean) @ basis
    left = weight @ mean**2 - (pull * np.linalg.solve(inner, pull[..., None])[..., 0]).sum(axis=1)
    restricted = 0.5 * (np.log(weight).sum(axis=1) - np.linalg.slogdet(inner)[1] - left)
    believed = np.log(spread) - 0.5 * (SPREAD_FREEDOM + 1) * np.log1p((spread / usual) ** 2 / SPREAD_FREEDOM)
    chance = np.exp(restricted + believed - (restricted + believed).max())
    chance /= chance.sum()
    low, high = np.interp((0.05, 0.95), np.cumsum(chance) - chance / 2, spread)
    return ClampingSpread(float(np.sqrt(chance @ spread**2)), float(low), float(high), freedom)


@dataclass(frozen=True)
class Shares:
    """Parts of the variance of all readings, together 1: motors, bench sessions, one reading."""

    motors: float
    sessions: float
    reading: float


def shares(values: ArrayLike, motor: Sequence[int], session: Sequence[int]) -> Shares | None:
    """Where the scatter of values [n] comes from: REML variances of crossed motors [n] and sessions [n] (`mixed`).

    None without two motors, a repeat and some scatter. One session alone has no share. Source: the gauge study of
    AIAG, Measurement Systems Analysis, 4th ed., by variances instead of ranges.
    """
    y = np.asarray(values, dtype=float)
    labels = [np.unique(np.asarray(each), return_inverse=True)[1].astype(np.int64) for each in (motor, session)]
    sizes = [int(label.max()) + 1 for label in labels]
    used = [factor for factor in range(2) if sizes[factor] > 1]
    nothing = np.zeros((y.size, 0))
    levels, counts = tuple(labels[f] for f in used), tuple(sizes[f] for f in used)
    layout = Layout(y, levels, counts, np.ones(y.size), nothing)
    if 0 not in used or layout.freedom == 0 or not np.ptp(y):
        return None
    found = fit(layout)
    variance = np.zeros(2)
    variance[used] = found.spread**2
    motors, sessions, reading = np.array([*variance, found.noise**2]) / (variance.sum() + found.noise**2)
    return Shares(float(motors), float(sessions), float(reading))
