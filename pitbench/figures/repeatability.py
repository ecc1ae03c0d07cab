"""How well a tester repeats itself: σ of one reading with its interval, and where the scatter of all runs comes from.

Values are on the scale of the engine (percent for KV, current and resistance), at equal warmth.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from pitbench.figures.estimate import PRIOR_FREEDOM
from pitbench.figures.layout import Layout
from pitbench.figures.mixed import fit
from pitbench.figures.quantiles import chi_squared_point
from pitbench.figures.uncertainty import from_group_means

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
