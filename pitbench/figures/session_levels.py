"""How one motor read from session to session, the mood of every session taken out by the other motors that were in it.

Spreads and σ are those the engine found for the comparison; here they are taken as known, and a motor's clampings are
set against what all other readings lead to expect of them. What those may do is in the doubt: sessions, clampings,
states, the slopes of warmth, timing and the evening, and wear of their own. What is done with the levels stands in
`wear` and `drift`.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.estimate import Estimate, Prior
from pitbench.figures.laid_out import STATE
from pitbench.figures.layout import Layout
from pitbench.figures.posterior import PRIOR_FREEDOM

CENTRE_SD = 100.0
"""Of what all motors have in common, percent or the figure's unit: as good as unknown."""


@dataclass(frozen=True)
class Levels:
    """One motor's clampings [k] in order of use: level, covariance [k × k] of the levels if the motor stays as it is,
    use (as given), and state. The level that all have in common is as good as unknown. squares, freedom: what the
    clampings of all other motors come to in units of their expected variance, and how many they are; with them the
    three repeats that stand for what is believed, as in the engine, so that figures read without scatter are no proof.
    work_sd: what of the covariance the levels of one state have in common, beside what all have.
    """

    use: Floats
    level: Floats
    covariance: Floats
    state: Ints
    squares: float
    freedom: int
    work_sd: float = 0.0

    def of_state(self, state: int) -> "Levels":
        """Those of one state alone."""
        own = self.state == state
        covariance = self.covariance[np.ix_(own, own)]
        return replace(self, use=self.use[own], level=self.level[own], covariance=covariance, state=self.state[own])


@dataclass(frozen=True)
class _Clampings:
    """Means of the readings of every clamping [c], what multiplies σ², and the columns of all that moves them."""

    value: Floats
    weight: Floats
    motor: Ints
    state: Ints
    use: Floats
    columns: Floats


def session_levels(
    layout: Layout, prior: Prior, found: Estimate, use: Floats, state: Ints, wear_sd: float
) -> dict[int, Levels]:
    """Levels of every motor with three clampings or more, by motor; prior, found: of the same readings [n].

    use [n]: track minutes, or whatever else wears, of the motor before each reading, counted so that a motor wears by
    N(0, wear_sd²) for each. state [n]: how many pieces of work had been done on it. A reading that
    does not fit those of its clamping weighs less; a clamping that does not fit is what is looked for.
    """
    if not layout.value.size:
        return {}
    clampings = _summed(layout, prior, found, use, state, wear_sd)
    own = 1 / (found.spreads[-1] ** 2 + found.noise**2 / clampings.weight)
    # Woodbury: P = V⁻¹ = D − A'A with D the clampings' own precision, and only the blocks of one motor are looked at
    weighed = clampings.columns * own[:, None]
    lower = np.linalg.cholesky(np.eye(weighed.shape[1]) + clampings.columns.T @ weighed)
    shared = np.linalg.solve(lower, weighed.T)
    pull = own * clampings.value - shared.T @ (np.linalg.solve(lower, weighed.T @ clampings.value))
    work_sd = found.spreads[STATE] if len(layout.sizes) > STATE else 0.0
    return {
        motor: replace(levels, work_sd=work_sd) for motor, levels in _by_motor(clampings, own, shared, pull, wear_sd)
    }


def _by_motor(
    clampings: _Clampings, own: Floats, shared: Floats, pull: Floats, wear_sd: float
) -> Iterator[tuple[int, Levels]]:
    order, squares = np.lexsort((clampings.use, clampings.state, clampings.motor)), float(clampings.value @ pull)
    for motor in np.unique(clampings.motor).tolist():
        rows = order[clampings.motor[order] == motor]
        if rows.size < 3:
            continue
        covariance = np.asarray(
            np.linalg.inv(np.diag(own[rows]) - shared[:, rows].T @ shared[:, rows]), dtype=np.float64
        )
        level, use = covariance @ pull[rows], clampings.use[rows]
        rest, freedom = max(squares - float(level @ pull[rows]), 0.0), own.size - rows.size - 1
        covariance -= np.outer(wear_sd * use, wear_sd * use)  # that of this motor is what is asked about
        yield (
            motor,
            Levels(
                use,
                level,
                covariance,
                clampings.state[rows],
                rest + PRIOR_FREEDOM,
                max(freedom, 0) + int(PRIOR_FREEDOM),
            ),
        )


def _summed(layout: Layout, prior: Prior, found: Estimate, use: Floats, state: Ints, wear_sd: float) -> _Clampings:
    """Clamping means, and columns scaled so that what each stands for is N(0, 1)."""
    seat = layout.seats
    size = int(seat.max()) + 1
    fits = np.zeros(size)
    np.maximum.at(fits, seat, found.weight)
    weight = layout.weight * found.weight / fits[seat]
    total: Floats = np.bincount(seat, weight, size).astype(np.float64, copy=False)

    def mean(column: Floats) -> Floats:
        return np.asarray(np.bincount(seat, weight * column, size) / total)

    first = np.empty(size, dtype=np.int64)
    first[seat] = np.arange(seat.size)
    means, sds = np.array(prior.slopes).reshape(-1, 2).T
    value = mean(layout.value - layout.covariates @ means)
    motor = layout.levels[0][first]
    worn = mean(use)
    columns = [np.full((size, 1), CENTRE_SD)]
    columns += [sd * mean(column)[:, None] for sd, column in zip(sds, layout.covariates.T, strict=True)]
    for factor, (levels, count, stretch) in enumerate(zip(layout.levels, layout.sizes, layout.stretched, strict=True)):
        columns.append(_indicated(levels[first], count) * (found.spreads[factor] * stretch))
    columns.append(_indicated(motor, layout.sizes[0]) * (wear_sd * worn)[:, None])
    return _Clampings(value - float(value.mean()), total, motor, state[first], worn, np.concatenate(columns, axis=1))


def _indicated(label: Ints, count: int) -> Floats:
    return np.asarray(label[:, None] == np.arange(count), dtype=np.float64)
