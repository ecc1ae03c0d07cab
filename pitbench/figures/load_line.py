"""rpm = Kv·(V − i·R) put through the samples of a load log. The only place where Kv and R are taken from one.

- Noise on current flattens a line (errors in variables): each sample's V and i are explained by those beside it, whose
  noise is another's (instrumental variables; textbook, J. Wooldridge, Introductory Econometrics, ch. 15).
- Bad samples lose their weight (Tukey's bisquare at 4.685 robust standard deviations, textbook).
- Channels are not of one moment: speed is laid back by the whole rows that fit best, and the part of a row left over is
  an unknown of its own, of which LAG_REST is believed (ours). A smooth log cannot tell whole rows: where no lag leaves
  little more and the free part asks for none, none are laid back, and up to LAG_TOLD is believed. Where the part is far
  from where least is left, channels err in more than lag: then it is left out, and R and Kv are as uncertain as the
  difference moves them.
- Samples of one pull are no independent evidence: doubt comes from leaving out one pull at a time (jackknife; B. Efron,
  R. Tibshirani, An Introduction to the Bootstrap, 1993, ch. 11).
"""

from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Bools, Floats, Ints

BISQUARE = 4.685
MOST_LAG, LAG_REST, LAG_TOLD, LAG_BENDS, LAG_PLAIN = 3, 0.3, 1.0, 0.1, 1.2
"""Rows tried either way; what is believed of the part of a row left over; from which doubt on it is not told, which is
then believed of it; from which on it counts to second order; and how much more no lag leaves than the best where
rows are plainly late."""
ENOUGH_FOR_LAG = 4000
DOUBT_GROWS = 1.3
"""Pulls left out leave the weights as they are and so doubt too little: chosen so that on simulated logs (seeds from 0
on, tests/benchmarks/load_logs.py) Kv and R lie within two standard errors about as often as they should."""
STEPS, LAG_STEPS, SETTLED, SINGULAR = 30, 6, 1e-6, 1e14
KV, OHM, REST = 0, 1, 2


@dataclass(frozen=True)
class Log:
    """All rows of a log [n], in V fed to the windings, A and rpm, without NaN; what is doubted of every current, A."""

    voltage: Floats
    current: Floats
    rpm: Floats
    current_doubt: float


@dataclass(frozen=True)
class Chosen:
    """Rows the line is put through [m], the pull each belongs to [m] (0 on), and whether the row before and the one
    after may explain it [m]; whether a lag can show: all have both beside them, and rows are close enough in time."""

    rows: Ints
    pull: Ints
    before: Bools
    after: Bools
    lag: bool


@dataclass(frozen=True)
class Line:
    """kv in rpm/V, resistance in ohm, their covariance [2 × 2], lag in rows, and the weight of each row chosen [m]."""

    kv: float
    resistance: float
    covariance: Floats
    lag: float
    weights: Floats


def fit(log: Log, chosen: Chosen) -> Line | None:
    """The line, or None where the rows cannot carry one.

    Rows must lie MOST_LAG + 2 or more from both ends of the log if `chosen.lag`.
    """
    if not chosen.lag:
        return _line(_Fit(log, chosen, 0, free=False))
    whole, part, needed = _best_lag(log, chosen)
    free = _Fit(log, chosen, whole, free=True)
    late, doubt = free.late()
    if whole and not needed:  # a smooth log looks much the same rows later
        still = _Fit(log, chosen, 0, free=True)
        off, told = still.late()
        if abs(off) <= 2 * told:
            whole, free, part, late, doubt = 0, still, off, off, told
    believed = min(max(LAG_REST, 2 * doubt), LAG_TOLD)
    if doubt < LAG_TOLD and abs(late - part) <= LAG_REST + 2 * doubt:
        free.bend(late)
        return _line(free, believed)
    return _line(_Fit(log, chosen, whole, free=False), abs(late - part) if doubt < LAG_TOLD else believed)


def _best_lag(log: Log, chosen: Chosen) -> tuple[int, float, bool]:
    """The lag in whole rows that leaves least, by the robust spread of what is left over at most ENOUGH_FOR_LAG rows;
    the part of a row by which a parabola through it and those beside it is least later, −0.5 to 0.5; and whether no lag
    leaves plainly more."""
    few = slice(0, ENOUGH_FOR_LAG)
    rows = Chosen(chosen.rows[few], chosen.pull[few], chosen.before[few], chosen.after[few], True)
    lags = range(-MOST_LAG, MOST_LAG + 1)
    left = {lag: _Fit(log, rows, lag, free=False, steps=LAG_STEPS).left for lag in lags}
    best = min(lags, key=lambda lag: (left[lag], abs(lag)))
    sooner, later = left.get(best - 1, np.inf), left.get(best + 1, np.inf)
    bent = sooner + later - 2 * left[best]
    part = (sooner - later) / bent / 2 if 0 < bent < np.inf else 0.0
    return best, part, left[0] > LAG_PLAIN * left[best]


class _Fit:
    """Weighted instrumental variables: unknowns Kv and −Kv·R, and with `free` minus the part of a row by which speed is
    still late, since rpm(t + δ) is about rpm + δ·(growth a row) + δ²/2·(growth of that)."""

    def __init__(self, log: Log, chosen: Chosen, lag: int, *, free: bool, steps: int = STEPS) -> None:
        self.chosen, self.lag, self.doubt = chosen, lag, log.current_doubt
        at = chosen.rows
        self.rpm = log.rpm[at + lag]
        self.volts_amps = np.column_stack([log.voltage, log.current])
        self.own = self.volts_amps[at]
        self.free = free
        if chosen.lag:
            sides = log.rpm[at + lag - 1], log.rpm[at + lag + 1]
            self.growth, self.curve = (sides[1] - sides[0]) / 2, sides[0] + sides[1] - 2 * self.rpm
        if free:
            self.own = np.column_stack([self.own, self.growth])
        self.weights, self.left, self.solved = np.ones(at.size), np.inf, False
        self._iterate(steps)

    def bend(self, late: float) -> None:
        """Fitted again with what the part of a row left over does to second order."""
        if LAG_BENDS < abs(late) <= 1:
            self.rpm = self.rpm + late**2 / 2 * self.curve
            self._iterate(STEPS)

    def _iterate(self, steps: int) -> None:
        self.line: Floats = np.zeros(self.own.shape[1])
        for _ in range(steps):
            others = self.others()
            left = others.T @ self.own
            self.solved = bool(np.isfinite(left).all() and np.linalg.cond(left) < SINGULAR)
            if not self.solved:
                return
            before, self.line = self.line, np.asarray(np.linalg.solve(left, others.T @ self.rpm), dtype=np.float64)
            rest = np.abs(self.rpm - self.own @ self.line)
            self.left = 1.4826 * float(np.median(rest))
            self.weights = np.maximum(1 - (rest / (BISQUARE * max(self.left, 1e-9))) ** 2, 0) ** 2
            if np.abs(self.line - before).max() < SETTLED * np.abs(self.line).max():
                return

    def others(self) -> Floats:
        """What explains each row, weighted [m × unknowns]: V and i of the good rows beside it, its own where there are
        none, and by how much i grew from one to the other."""
        at, known = self.chosen.rows, np.ones(len(self.volts_amps))
        known[at] = self.weights
        last = known.size - 1
        before = self.chosen.before * known[at - 1]
        after = self.chosen.after * known[np.minimum(at + 1, last)]
        sides = (before + after)[:, None]
        earlier, later = self.volts_amps[at - 1], self.volts_amps[np.minimum(at + 1, last)]
        beside = (before[:, None] * earlier + after[:, None] * later) / np.maximum(sides, 1e-9)
        found = np.where(sides > 0, beside, self.own[:, :2])
        if self.free:
            found = np.column_stack([found, before * after * (later - earlier)[:, 1]])
        return np.asarray(found * self.weights[:, None])

    def jackknife(self) -> tuple[Floats, Floats] | None:
        """Kv, R and the rest of the lag, with their covariance; None where a pull cannot be spared."""
        others, pulls = self.others(), int(self.chosen.pull.max()) + 1
        left = _by_pull(others[:, :, None] * self.own[:, None, :], self.chosen.pull, pulls)
        right = _by_pull(others * self.rpm[:, None], self.chosen.pull, pulls)[:, :, None]
        without = left.sum(axis=0) - left
        if not self.solved or pulls < 3 or np.linalg.cond(without).max() > SINGULAR:
            return None
        each = _figures(np.linalg.solve(without, right.sum(axis=0) - right)[:, :, 0])
        whole = _figures(np.linalg.solve(left.sum(axis=0), right.sum(axis=0)).T)[0]
        off = each - each.mean(axis=0)
        return whole, off.T @ off * (pulls - 1) / pulls

    def late(self) -> tuple[float, float]:
        """The part of a row by which speed is still late, and one standard error of it; infinite where not told."""
        told = self.jackknife()
        return (float(told[0][REST]), float(told[1][REST, REST]) ** 0.5) if told else (0.0, np.inf)

    def moves(self, by: Floats | float) -> Floats:
        """How far Kv, R and the rest of the lag would move were every rpm `by` higher."""
        others = self.others()
        right = others.T @ np.column_stack([self.rpm, self.rpm + by])
        now, then = _figures(np.asarray(np.linalg.solve(others.T @ self.own, right).T, dtype=np.float64))
        return np.asarray(then - now)


def _by_pull(values: Floats, pull: Ints, pulls: int) -> Floats:
    """Sums [pulls × …] of values [m × …] over the rows of each pull."""
    flat = values.reshape(len(values), -1).T
    return np.array([np.bincount(pull, each, pulls) for each in flat]).T.reshape(pulls, *values.shape[1:])


def _figures(solved: Floats) -> Floats:
    """Kv, R and, where it was free, the rest of the lag, of unknowns [k × unknowns]."""
    return np.column_stack([solved[:, 0], -solved[:, 1] / solved[:, 0], -solved[:, 2:]])


def _line(of: _Fit, doubted: float = 0.0) -> Line | None:
    """What a fit came to, with what is doubted of every current, and of the lag: `doubted` rows, less what a free fit
    told. None where leaving out pulls does not work."""
    told = of.jackknife()
    if told is None:
        return None
    mean, covariance = told[0], told[1] * DOUBT_GROWS**2
    shifted = of.moves(float(of.line[1]) * of.doubt)
    covariance = covariance + np.outer(shifted, shifted)
    lag = float(of.lag)
    if of.free:
        gain = covariance[:, REST] / (covariance[REST, REST] + doubted**2)
        mean, covariance = mean - gain * mean[REST], covariance - np.outer(gain, covariance[REST])
        lag += float(mean[REST])
    elif of.chosen.lag:
        moved = of.moves(doubted * of.growth)
        covariance = covariance + np.outer(moved, moved)
    return Line(float(mean[KV]), float(mean[OHM]), covariance[:2, :2], lag, of.weights)
