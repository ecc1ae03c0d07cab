"""The grid behind the heat forecast: a conjugate linear model of log rise in every cell, its likelihood as weight.

Cells differ in the scatter of runs, the spread between motors, the spread between events, the time constant of the
can, and in what has changed, where a run says that something has. Events, of which there are most, are eliminated.
Priors stand here and nowhere else.
"""

from dataclasses import dataclass, field
from math import log

import numpy as np

from pitbench.figures.arrays import Floats, Ints

LOG_RISE, LOG_RISE_SD = log(45.0), 0.35
PER_LOG_ROLLOUT, PER_LOG_ROLLOUT_SD = 1.7, 0.6
PER_DEGREE, PER_DEGREE_SD = 0.02, 0.02
PER_LOG_LENGTH, PER_LOG_LENGTH_SD = 0.0, 0.15
"""Log rise in K after five minutes, and what it gains per log of rollout, per degree of timing and, beyond the law of
warming, per log of length. Ours, from physical simulations, as are all below."""
PRIOR_MEAN = np.array([LOG_RISE, PER_LOG_ROLLOUT, PER_DEGREE, PER_LOG_LENGTH, 0.0, 0.0])
PRIOR_SD = np.array([LOG_RISE_SD, PER_LOG_ROLLOUT_SD, PER_DEGREE_SD, PER_LOG_LENGTH_SD, 1.0, 1.0])
"""Of the plain columns; the last two are what is wrong the same way for all runs of the class: in its cooling, and in
when its cans are read where nobody says so."""
PLAIN = PRIOR_MEAN.size
NOISE, NOISE_LOG_SD = 0.05, 0.5
"""Scatter of log rise from run to run, lognormal."""
MOTOR_SCALE, EVENT_SCALE = 0.05, 0.10
"""Spread of log rise between motors and between events, half-normal."""
TAU_S, TAU_LOG_SD = 150.0, 0.6
"""Time constant of the can while running, s, lognormal."""
CHANGE_SD = 0.25
"""Sd of log rise of a change: a tenth more current is 0.2, a fan that fails 0.3 to 0.4."""
CHANGES = {(0, 0, 0): 0.52, (1, 0, 0): 0.16, (0, 1, 0): 0.16, (0, 0, 1): 0.16}
"""Which of the three columns of a change stand, and how likely each is of a run picked for being odd, before it is
weighed: nothing has changed, this motor, this event, or that run alone. Ours."""
MOTOR, EVENT = 1, 2
"""Places in it."""
_NONE = 1e-3
"""Sd of a change that does not stand."""
_NEGLIGIBLE = 1e-4

_Z = np.linspace(-2.4, 2.4, 7)
HALF = np.array([0.15, 0.5, 1.0, 1.7, 2.6])
COARSE = HALF[::2]
"""Spreads between motors and between events, in their scales; the coarse ones do to judge readings."""
_TAU_Z = np.linspace(-1.6, 1.6, 5)
SIGMA = NOISE * np.exp(NOISE_LOG_SD * _Z)
TAU = TAU_S * np.exp(TAU_LOG_SD * _TAU_Z)
_FINEST = 0.05


def _log_half_normal(z: Floats) -> Floats:
    """Log of the share of a half-normal near each point of an uneven line."""
    return np.asarray(np.log(np.gradient(z)) - z**2 / 2)


@dataclass(frozen=True)
class Columns:
    """Runs for the grid: fixed [n × r] holds the plain columns (1, log rollout, timing, log length, the doubts they
    share about cooling and about delays), a column a motor, and where something may have changed three more: the runs
    of that motor since then, those of that event, and that run; events [n × events] a column an event.

    off [n × tau]: log rise at five minutes less what the priors expect; jacobian [n × tau]: log density of that in the
    reading; reading_var [n]: variance of the log rise from the thermometer alone; event [n]: label, the column set;
    told_of_tau [tau]: log weight that load logs give every time constant.
    """

    fixed: Floats
    event: Ints
    events: Floats
    off: Floats
    jacobian: Floats
    reading_var: Floats
    motors: int
    told_of_tau: Floats = field(default_factory=lambda: np.zeros(TAU.size))

    @property
    def changes(self) -> int:
        """Columns of what may have changed."""
        return int(self.fixed.shape[1] - PLAIN - self.motors)


@dataclass(frozen=True)
class Cells:
    """Cells [c] that carry weight: their place on the grid and their linear models.

    coefficients [c × r] of the fixed columns, off their prior means; covariance [c × r × r]; changed [c]: which of
    CHANGES stands; events [c × events]; an event given the coefficients has variance event_var [c × events] and moves
    with them by −event_pull [c × r × events]. alike [groups]: where each group of cells begins that differ in the
    spread between motors only, or, where something has changed, in that between events too.
    """

    weight: Floats
    sigma: Floats
    motor_sd: Floats
    event_sd: Floats
    tau_s: Floats
    changed: Ints
    coefficients: Floats
    covariance: Floats
    events: Floats
    event_pull: Floats
    event_var: Floats
    alike: Ints

    def together(self, values: Floats) -> Floats:
        """Means of values [c …] over cells alike, by their weight [groups …]."""
        weight = np.expand_dims(self.weight, tuple(range(1, values.ndim)))
        of_each = np.add.reduceat(weight * values, self.alike, axis=0)
        return np.asarray(of_each / np.add.reduceat(weight, self.alike, axis=0))


def sigma_near(found: Cells) -> Floats:
    """Sigmas laid again where the weight of a first grid lies, evenly in log."""
    log_sigma = np.log(found.sigma)
    middle = found.weight @ log_sigma
    reach = max(float(np.sqrt(found.weight @ (log_sigma - middle) ** 2)), _FINEST)
    return np.asarray(np.exp(middle + reach * _Z))


def cells(runs: Columns, weight: Floats, sigma: Floats = SIGMA, half: Floats = HALF) -> Cells:
    """The posterior on evenly spread log sigmas; a run of weight w [n] counts as w runs. Axes: change, sigma, motor sd,
    event sd, own axes, tau.

    Source: Bayesian linear regression with known noise (Bishop, Pattern Recognition and Machine Learning, 3.3), the
    events eliminated by the Schur complement.
    """
    stands, log_own, change_sd = _own_axis(runs, half)
    motor_sd, event_sd = MOTOR_SCALE * np.tile(half, stands.max() + 1), EVENT_SCALE * half
    noise = sigma[:, None] ** 2 + runs.reading_var
    heavy = (weight / noise)[:, :, None]
    by_fixed, by_event = heavy * runs.fixed, heavy * runs.events
    cross = runs.fixed.T @ by_event
    pull_fixed, pull_event = np.swapaxes(by_fixed, 1, 2) @ runs.off, np.swapaxes(by_event, 1, 2) @ runs.off
    event_precision = by_event.sum(axis=1)[:, None] + event_sd[:, None] ** -2.0
    event_pull = cross[:, None] / event_precision[:, :, None]
    rest = (runs.fixed.T @ by_fixed)[:, None] - event_pull @ np.swapaxes(cross, 1, 2)[:, None]
    rest = rest[:, None] + _prior_precision(runs, motor_sd, change_sd)[:, None]
    covariance, log_det = np.linalg.inv(rest), np.linalg.slogdet(rest)[1]
    coefficients = covariance @ (pull_fixed[:, None] - event_pull @ pull_event[:, None])[:, None]
    events = (pull_event[:, None] / event_precision[..., None])[:, None]
    events = events - np.swapaxes(event_pull, 2, 3)[:, None] @ coefficients
    explained = (pull_fixed[:, None, None] * coefficients).sum(axis=3)
    explained = explained + (pull_event[:, None, None] * events).sum(axis=3)
    log_det = log_det + np.log(event_precision).sum(axis=2)[:, None]
    log_det = log_det + _log_prior_variance(runs, motor_sd, change_sd, event_sd)
    unexplained = (heavy * runs.off**2).sum(axis=1) + (weight * np.log(noise)).sum(axis=1)[:, None]
    prior = log_own[:, None, None] + _log_half_normal(half)[:, None] - _TAU_Z**2 / 2 + runs.told_of_tau
    prior = prior - (np.log(sigma / NOISE) / NOISE_LOG_SD)[:, None, None, None] ** 2 / 2
    log_weight = prior + weight @ runs.jacobian + (explained - log_det[..., None] - unexplained[:, None, None]) / 2
    shares = np.exp(log_weight - log_weight.max())
    k, m, e, t = np.nonzero(shares > _NEGLIGIBLE)
    label = ((stands[m] * sigma.size + k) * half.size + np.where(stands[m], 0, e)) * TAU.size + t
    order = np.argsort(label, kind="stable")
    k, m, e, t, label = (each[order] for each in (k, m, e, t, label))
    kept = shares[k, m, e, t]
    return Cells(
        weight=kept / kept.sum(),
        sigma=sigma[k],
        motor_sd=motor_sd[m],
        event_sd=event_sd[e],
        tau_s=TAU[t],
        changed=stands[m],
        coefficients=coefficients[k, m, e, :, t],
        covariance=covariance[k, m, e],
        events=events[k, m, e, :, t],
        event_pull=event_pull[k, e],
        event_var=1 / event_precision[k, e],
        alike=np.unique(label, return_index=True)[1],
    )


def _own_axis(runs: Columns, half: Floats) -> tuple[Ints, Floats, Floats]:
    """What goes with the spread between motors, every change that may have been times every spread [m]: which change,
    log prior of both, and the sd of the columns of a change [m × changes]."""
    if not runs.changes:
        return np.zeros(half.size, dtype=np.int64), _log_half_normal(half), np.zeros((half.size, 0))
    stands = np.repeat(np.arange(len(CHANGES)), half.size)
    log_prior = np.log(list(CHANGES.values()))[stands] + np.tile(_log_half_normal(half), len(CHANGES))
    return stands, log_prior, np.where(np.array(list(CHANGES))[stands] == 1, CHANGE_SD, _NONE)


def _prior_precision(runs: Columns, motor_sd: Floats, change_sd: Floats) -> Floats:
    """Prior precision of the fixed columns [m × r × r]."""
    own = np.repeat(motor_sd[:, None], runs.motors, axis=1)
    sd = np.hstack([np.tile(PRIOR_SD, (motor_sd.size, 1)), own, change_sd])
    return np.asarray(sd[:, :, None] ** -2.0 * np.eye(sd.shape[1]))


def _log_prior_variance(runs: Columns, motor_sd: Floats, change_sd: Floats, event_sd: Floats) -> Floats:
    """Log determinant of the prior covariance of motors, changes and events [m × event sd]."""
    own = runs.motors * np.log(motor_sd) + np.log(change_sd).sum(axis=1)
    return np.asarray(2 * (own[:, None] + runs.events.shape[1] * np.log(event_sd)))
