"""What a class's track runs say about heat: the rise of the can in five minutes, by motor, event, rollout and timing.

log rise = a + motor + event + b·ln(rollout ÷ ref) + c·(timing − ref) + l·ln(length ÷ 300 s) + scatter. The fit
is made once for a set of runs; what changes with a key is in `forecast`, whether a run says that something has changed
in `heat_changes`. A reading brought to five minutes from cold is worked out nowhere else. Temperatures in °C, lengths
in s, rollout in mm, timing in degrees.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Bools, Floats, Ints
from pitbench.figures.cooling import tells
from pitbench.figures.heat_cells import COARSE, PLAIN, PRIOR_MEAN, TAU, Cells, Columns, cells, sigma_near
from pitbench.figures.heat_changes import Change, newest_change, rightly_odds, with_change
from pitbench.figures.heating import USUAL_LENGTH_S, left, of_five_minutes
from pitbench.figures.log_heat import LoggedCan, told_of_tau

UNKNOWN = float("nan")

PASSES = 6
LEAST_LENGTH_S = 30.0
"""A shorter run warms too little to learn from. Ours."""
UNLIKE = 1.5
"""Where some runs say when they were read, the habit of those that do not is in doubt by so much more: some write down
only what is unusual. Ours."""
_LEAST_WARMED_K = 1.0
_SETTLED = 0.002


@dataclass(frozen=True)
class TrackRuns:
    """Track runs in columns [n], in order of time; an unknown number is NaN.

    motor, event: labels from 0. timing_deg: timing mark plus ESC timing, compared within one motor only. start_c: the
    can at the start. finish_c, own_k, shared_k, delay_k: finish temperature, the sd that is its own and those, with
    their sign, that runs of the class share, as `cooling.finish` tells them. delay_told: whether the time was said.
    curves: of those runs that were logged, in any order.
    """

    motor: Sequence[int]
    event: Sequence[int]
    rollout_mm: Sequence[float]
    timing_deg: Sequence[float]
    length_s: Sequence[float]
    ambient_c: Sequence[float]
    start_c: Sequence[float]
    finish_c: Sequence[float]
    own_k: Sequence[float]
    shared_k: Sequence[float]
    delay_k: Sequence[float]
    delay_told: Sequence[bool]
    curves: Sequence[LoggedCan] = ()


@dataclass(frozen=True)
class HeatFit:
    """What was learned, and from what.

    rightly [n]: chance that a run was read rightly, NaN where it could not be used (readings that tell nothing, no
    ambient, too short). timing_ref [motors]: median timing, NaN without. change: what the newest run out of its band
    may have begun. Runs come in the order they were given.
    """

    runs: TrackRuns
    cells: Cells
    rollout_ref_mm: float
    timing_ref: Floats
    rightly: Floats
    change: Change | None

    @property
    def used(self) -> Bools:
        """Which runs were used [n]."""
        return ~np.isnan(self.rightly)

    def of_motor(self, motor: int | None) -> int:
        """Runs used of one motor."""
        return int((self.used & (np.asarray(self.runs.motor) == motor)).sum())

    def of_event(self, event: int | None) -> int:
        """Runs used of one event."""
        return int((self.used & (np.asarray(self.runs.event) == event)).sum())

    def beside_its_event(self) -> tuple[Floats, Floats, float]:
        """How far the log rise of every run lies from that of the mean motor at its rollout, timing and length, on any
        level of its event, and its weight, 0 where it was not used [n]; and the scatter of a run of weight 1."""
        found, used = self.cells, self.used
        columns = _columns(self.runs, used, self.rollout_ref_mm, self.timing_ref)
        if self.change is not None:
            columns = with_change(columns, self.change)
        own = slice(PLAIN, PLAIN + columns.motors)
        rest = found.coefficients.copy()
        rest[:, own] = 0
        tau = np.searchsorted(TAU, found.tau_s)
        off = found.weight @ (columns.off[:, tau].T - rest @ columns.fixed.T)
        sigma = float(found.weight @ found.sigma)
        value, weight = np.zeros(used.size), np.zeros(used.size)
        value[used] = off
        weight[used] = self.rightly[used] * sigma**2 / (sigma**2 + columns.reading_var)
        return value, weight, sigma


def fit(runs: TrackRuns, planned_rollout_mm: float) -> HeatFit:
    """Learn from track runs; with none the priors stand and the planned rollout is the reference.

    A run counts by the chance that it was read rightly: a mixture with a wide component, at most six passes, each
    judging a run by what the others say of it.
    """
    motor = np.asarray(runs.motor, dtype=np.int64)
    used, ref, timing_ref, columns = used_columns(runs, planned_rollout_mm)
    change = newest_change(columns, motor[used])
    if change is not None:
        columns = with_change(columns, change)
    found, weight = _judged(columns, change)
    rightly = np.full(used.size, UNKNOWN)
    rightly[used] = weight
    return HeatFit(runs, cells(columns, weight, sigma_near(found)), ref, timing_ref, rightly, change)


def used_columns(runs: TrackRuns, planned_rollout_mm: float = UNKNOWN) -> tuple[Bools, float, Floats, Columns]:
    """Which runs tell something [n], the rollout and the timings [motors] they are compared at, and their columns."""
    motor = np.asarray(runs.motor, dtype=np.int64)
    rise = np.asarray(runs.finish_c, dtype=float) - np.asarray(runs.ambient_c, dtype=float)
    doubt = np.sqrt(sum(np.square(each, dtype=float) for each in (runs.own_k, runs.shared_k, runs.delay_k)))
    told = [tells(*each) for each in zip(rise.tolist(), doubt.tolist(), strict=True)]
    used = np.array(told, dtype=bool) & ~(np.asarray(runs.length_s, dtype=float) < LEAST_LENGTH_S)
    rollout, timing = (np.asarray(each, dtype=float) for each in (runs.rollout_mm, runs.timing_deg))
    known = rollout[used & ~np.isnan(rollout)]
    ref = float(np.median(known)) if known.size else planned_rollout_mm
    timing_ref = _timing_ref(motor, np.where(used, timing, UNKNOWN))
    return used, ref, timing_ref, _columns(runs, used, ref, timing_ref)


def _judged(columns: Columns, change: Change | None = None) -> tuple[Cells, Floats]:
    """A coarse fit, and the chance of every run [n] that it was read rightly; that of a change is known."""
    weight = np.ones(columns.event.size)
    found = cells(columns, weight, half=COARSE)
    for _ in range(PASSES):
        before, weight = weight, _rightly(columns, found, weight)
        if change is not None:
            weight[change.at] = change.rightly
        found = cells(columns, weight, half=COARSE)
        if np.allclose(weight, before, rtol=0, atol=_SETTLED):
            break
    return found, weight


def _timing_ref(motor: Ints, timing: Floats) -> Floats:
    known = [timing[(motor == m) & ~np.isnan(timing)] for m in range(motor.max(initial=-1) + 1)]
    return np.array([np.median(each) if each.size else UNKNOWN for each in known], dtype=float)


def _columns(runs: TrackRuns, used: Bools, ref: float, timing_ref: Floats) -> Columns:
    """The runs used, brought to five minutes from cold at every time constant."""
    of = {name: np.asarray(value, dtype=float)[used] for name, value in vars(runs).items() if name != "curves"}
    motor, event = of["motor"].astype(np.int64), of["event"].astype(np.int64)
    length = np.where(np.isnan(of["length_s"]), USUAL_LENGTH_S, of["length_s"])[:, None]
    rise, over = of["finish_c"] - of["ambient_c"], np.nan_to_num(of["start_c"] - of["ambient_c"])
    own = np.log(np.maximum(rise[:, None] - over[:, None] * left(length, TAU), _LEAST_WARMED_K))
    rollout, timing = np.nan_to_num(np.log(of["rollout_mm"] / ref)), np.nan_to_num(of["timing_deg"] - timing_ref[motor])
    unlike = UNLIKE if of["delay_told"].any() else 1.0
    shared = [of["shared_k"] / rise, unlike * of["delay_k"] / rise]
    plain = np.column_stack([np.ones(motor.size), rollout, timing, np.log(length[:, 0] / USUAL_LENGTH_S), *shared])
    level = plain @ PRIOR_MEAN
    return Columns(
        fixed=np.hstack([plain, np.eye(timing_ref.size)[motor]]),
        event=event,
        events=np.eye(event.max(initial=-1) + 1)[event],
        off=own - np.log(of_five_minutes(length, TAU)) - level[:, None],
        jacobian=-own,
        reading_var=(of["own_k"] / rise) ** 2,
        motors=timing_ref.size,
        told_of_tau=told_of_tau(runs.curves),
    )


def _rightly(runs: Columns, found: Cells, weight: Floats) -> Floats:
    """Chance of every run [n] to have been read rightly, from the most likely cell, the run itself left out."""
    best = int(np.argmax(found.weight))
    off = runs.off[:, int(np.searchsorted(TAU, found.tau_s[best]))]
    row = runs.fixed - found.event_pull[best].T[runs.event]
    known = ((row @ found.covariance[best]) * row).sum(axis=1) + found.event_var[best, runs.event]
    noise = found.sigma[best] ** 2 + runs.reading_var
    others = 1 - known * weight / noise
    residual = (off - runs.fixed @ found.coefficients[best] - found.events[best, runs.event]) / others
    variance = known / others + noise
    return rightly_odds(residual, variance)
