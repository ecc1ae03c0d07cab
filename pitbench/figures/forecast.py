"""The forecast: what a can will finish at, from a fit and a plan. Fast enough to be asked again with every key.

Finish = ambient + (start − ambient)·e^(−L/τ) + rise: in every cell of the fit a lognormal, shifted; the answer is their
mixture. Temperatures in °C, lengths in s, rollout in mm, timing in degrees.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pitbench.figures.arrays import Bools, Floats, Ints
from pitbench.figures.heat_cells import EVENT, MOTOR, PLAIN, PRIOR_MEAN
from pitbench.figures.heat_changes import DOUBTED
from pitbench.figures.heat_fit import UNKNOWN, HeatFit
from pitbench.figures.heating import USUAL_LENGTH_S, left, of_five_minutes
from pitbench.figures.spread import NORMAL_POINTS, Spread, normal_below, spreads

CEILING_C = 80.0
"""Temperature limit at the can when the user set none (common practice; magnets weaken for good when overheated)."""
ALLOWED = 0.10
"""Chance over the limit that the longest rollout keeps to. Ours."""
READ_SD_K, READ_RISE_K = 1.5, 3.0
"""A reading in air that was planned: thermometer and air, about 1 K each, over no less a rise than this. Common
practice, no source."""
CHANGE_TOLD = 3
"""So many runs after one that was out of its band have told what it was. Ours."""
LIKELIER = 0.7
"""From so likely on it is said to be a change and not that run alone or luck. Ours."""
_ROLLOUT_ROOM, _LENGTH_ROOM, _START_ROOM_K = 0.01, 0.05, 8.0
"""How far beyond the runs used a plan may lie before it counts as outside, as a share; of a start, in K. Ours."""
_STEPS = 9
_SHORTEST, _LONGEST, _TRIED = 0.5, 2.0, 31
"""The longest rollout is sought between these shares of the usual one, in so many steps, then once more between two."""

SEED = 11
"""Of the normals of `finish_draws`: others than those of the bench figures and of pace."""


@dataclass(frozen=True)
class Plan:
    """One run to come. motor, event: labels of the fit, None for one it does not know; None elsewhere: unknown.

    An unknown timing counts as the motor's usual, an unknown start as ambient. Length must be above 0.
    """

    motor: int | None
    event: int | None
    rollout_mm: float
    length_s: float
    ambient_c: float
    timing_deg: float | None = None
    start_c: float | None = None


@dataclass(frozen=True)
class Forecast:
    """Finish temperature in °C, the chance that it passes the ceiling, and what speaks against trusting it."""

    finish: Spread
    chance_over: float
    flags: tuple[str, ...]


@dataclass(frozen=True)
class Mixture:
    """Cells [c] × plans [p]: a normal of log rise (mean, sd), on a shift in °C."""

    weight: Floats
    mean: Floats
    sd: Floats
    shift: Floats

    def below(self, temp: Floats) -> Floats:
        """Chance to finish under temperatures [… × p]."""
        over = np.maximum(temp[..., None, :] - self.shift, 1e-9)
        return np.asarray(np.einsum("...cp,c->...p", normal_below((np.log(over) - self.mean) / self.sd), self.weight))

    def over(self, ceiling_c: float) -> Floats:
        """Chance of every plan [p] to finish over a temperature."""
        return np.asarray(1 - self.below(np.full(self.mean.shape[1], ceiling_c)))

    def spreads(self) -> list[Spread]:
        """Spread of every plan; a point of a mixture lies between the same points of its parts."""
        own = self.shift + np.exp(self.mean + NORMAL_POINTS[:, None, None] * self.sd)
        return spreads(self.below, own.min(axis=1), own.max(axis=1), _STEPS)


def forecasts(fit: HeatFit, plans: Sequence[Plan], ceiling_c: float = CEILING_C) -> list[Forecast]:
    """Forecast of every plan. Plans of one motor at one event cost little more than one plan. ValueError for a length
    of 0."""
    found: list[Forecast | None] = [None] * len(plans)
    for motor, event in {(plan.motor, plan.event) for plan in plans}:
        at = [i for i, plan in enumerate(plans) if (plan.motor, plan.event) == (motor, event)]
        asked = mixture(fit, [plans[i] for i in at])
        over = asked.over(ceiling_c)
        spread = asked.spreads()
        for i, finish, chance in zip(at, spread, over.tolist(), strict=True):
            found[i] = Forecast(finish, chance, flags(fit, plans[i]))
    return [each for each in found if each is not None]


def forecast(fit: HeatFit, plan: Plan, ceiling_c: float = CEILING_C) -> Forecast:
    """Forecast of one plan."""
    return forecasts(fit, [plan], ceiling_c)[0]


def longest_rollout(fit: HeatFit, plan: Plan, ceiling_c: float = CEILING_C, allowed: float = ALLOWED) -> float | None:
    """The longest rollout in mm such that it and every shorter one, from half to twice the usual, keeps the chance over
    the ceiling to `allowed`; None when even the shortest does not. The plan's own rollout does not matter.
    """
    low, high = fit.rollout_ref_mm * _SHORTEST, fit.rollout_ref_mm * _LONGEST
    for _ in range(2):
        tried = np.linspace(low, high, _TRIED)
        over = mixture(fit, [replace(plan, rollout_mm=each) for each in tried.tolist()]).over(ceiling_c) > allowed
        if over[0]:
            return None
        if not over.any():
            return high
        first = int(np.argmax(over))
        low, high = float(tried[first - 1]), float(tried[first])
    return low


def flags(fit: HeatFit, plan: Plan) -> tuple[str, ...]:
    """What speaks against trusting a forecast; doubted: a reading of its motor or its event."""
    runs, used = fit.runs, fit.used
    motor, event = np.asarray(runs.motor), np.asarray(runs.event)
    near = ((motor == plan.motor) | (event == plan.event)) & ~np.isnan(np.asarray(runs.finish_c, dtype=float))
    raised = {
        "priors_only": not used.any(),
        "new_motor": not fit.of_motor(plan.motor),
        "new_event": not fit.of_event(plan.event),
        "rollout_outside": _outside(plan.rollout_mm, runs.rollout_mm, used, _ROLLOUT_ROOM),
        "length_outside": _outside(plan.length_s, runs.length_s, used, _LENGTH_ROOM),
        "reading_doubted": bool((near & ~(fit.rightly >= DOUBTED)).any()),
        "start_unknown": plan.start_c is None,
        "start_outside": _start_outside(fit, plan),
        "delay_unknown": _delay_unknown(fit, near),
        "something_changed": _something_changed(fit, plan),
    }
    return tuple(name for name, stands in raised.items() if stands)


def _start_outside(fit: HeatFit, plan: Plan) -> bool:
    """Whether a can is planned to start further above the air, or below it, than any did."""
    runs, used = fit.runs, fit.used
    over = (np.asarray(runs.start_c, dtype=float) - np.asarray(runs.ambient_c, dtype=float))[used]
    if plan.start_c is None or np.isnan(over).all():
        return False
    planned = plan.start_c - plan.ambient_c
    return not np.nanmin(over) - _START_ROOM_K <= planned <= np.nanmax(over) + _START_ROOM_K


def _delay_unknown(fit: HeatFit, near: Bools) -> bool:
    """Whether half the readings of that motor or event, or more, do not say when they were taken."""
    told = np.asarray(fit.runs.delay_told, dtype=bool)[near & fit.used]
    return bool(told.size) and 2 * told.sum() <= told.size


def _something_changed(fit: HeatFit, plan: Plan) -> bool:
    """Whether the newest run of that motor or event out of its band stands unexplained yet: none has come after it, or
    those that did make it likely that the motor or the event has changed. A run within its band has to be likely, too.
    """
    change, cells = fit.change, fit.cells
    if change is None or change.since >= CHANGE_TOLD or (plan.motor != change.motor and plan.event != change.event):
        return False
    changed = (cells.changed == MOTOR) | (cells.changed == EVENT)
    return (change.out and not change.since) or bool(cells.weight[changed].sum() >= LIKELIER)


def _outside(planned: float, seen: Sequence[float], used: Bools, room: float) -> bool:
    """Whether a number lies outside what the runs used had; nothing is outside of nothing."""
    known = np.asarray(seen, dtype=float)[used]
    known = known[~np.isnan(known)]
    return bool(known.size) and not known.min() * (1 - room) <= planned <= known.max() * (1 + room)


def mixture(fit: HeatFit, plans: Sequence[Plan]) -> Mixture:
    """Plans of one motor at one event. Cells alike count as one normal with their mean and variance."""
    level, variance = _level(fit, plans[0].motor, plans[0].event)
    cells, ref = fit.cells, _timing_ref(fit, plans[0].motor)
    column = np.array([[p.length_s, p.ambient_c, p.rollout_mm] for p in plans], dtype=float)
    length, ambient, rollout = column.T
    if not (length > 0).all():
        raise ValueError("a run to forecast needs a length above 0 s")
    start = np.array([p.ambient_c if p.start_c is None else p.start_c for p in plans])
    timing = np.array([0.0 if p.timing_deg is None or np.isnan(ref) else p.timing_deg - ref for p in plans])
    row = np.zeros((PLAIN, length.size))
    row[0], row[1], row[2] = 1, np.log(rollout / fit.rollout_ref_mm), timing
    row[3] = np.log(length / USUAL_LENGTH_S)
    middle, tau = cells.together(level), cells.tau_s[cells.alike][:, None]
    spread = cells.together(variance + _squared(level)) - _squared(middle)
    own = (middle + PRIOR_MEAN) @ row + np.log(of_five_minutes(length, tau))
    reading = READ_SD_K / np.maximum(np.exp(own), READ_RISE_K)
    return Mixture(
        weight=np.add.reduceat(cells.weight, cells.alike),
        mean=own,
        sd=np.sqrt(((spread @ row) * row).sum(axis=1) + cells.together(cells.sigma**2)[:, None] + reading**2),
        shift=ambient + (start - ambient) * left(length, tau),
    )


def _squared(rows: Floats) -> Floats:
    return np.asarray(rows[:, :, None] * rows[:, None])


def _level(fit: HeatFit, motor: int | None, event: int | None) -> tuple[Floats, Floats]:
    """Mean [c × plain] and covariance [c × plain × plain] of the plain columns, off their prior means; the level is
    that of this motor at this event, after what has changed."""
    cells = fit.cells
    pick = np.zeros((cells.weight.size, PLAIN, cells.coefficients.shape[1]))
    pick[:, range(PLAIN), range(PLAIN)] = 1
    own, alone = np.zeros(cells.weight.size), np.zeros(cells.weight.size)
    if motor is not None and motor < fit.timing_ref.size:
        pick[:, 0, PLAIN + motor] = 1
    else:
        alone = alone + cells.motor_sd**2
    if fit.change is not None:
        pick[:, 0, -3:-1] = motor == fit.change.motor, event == fit.change.event
    mean = np.einsum("cir,cr->ci", pick, cells.coefficients)
    if event is not None and event < cells.events.shape[1]:
        pick[:, 0] -= cells.event_pull[:, :, event]
        own, alone = cells.events[:, event], alone + cells.event_var[:, event]
    else:
        alone = alone + cells.event_sd**2
    mean[:, 0] += own
    variance = pick @ cells.covariance @ np.swapaxes(pick, 1, 2)
    variance[:, 0, 0] += alone
    return mean, variance


def _timing_ref(fit: HeatFit, motor: int | None) -> float:
    known = motor is not None and motor < fit.timing_ref.size
    return float(fit.timing_ref[motor]) if known else UNKNOWN


def finish_draws(fit: HeatFit, motors: int, plan: Plan, n_draws: int) -> Floats:
    """Mean finish temperature in °C of the first `motors` labels under one plan [draws × motors], each at its own usual
    timing, without the scatter of a run. Deterministic. An event the fit does not know adds its spread to all alike.
    """
    cells, rng = fit.cells, np.random.default_rng(SEED)
    cell = np.searchsorted(np.cumsum(cells.weight)[:-1], (np.arange(n_draws) + 0.5) / n_draws)
    cell = cell[rng.permutation(n_draws)]
    known = fit.timing_ref.size
    root = np.linalg.cholesky(cells.covariance)
    half = rng.standard_normal((n_draws // 2 + n_draws % 2, root.shape[1] + motors + 1))
    normal = np.concatenate([half, -half])[:n_draws]
    found = cells.coefficients[cell] + np.einsum("drc,dc->dr", root[cell], normal[:, : root.shape[1]])
    alone = cells.motor_sd[cell, None] * normal[:, root.shape[1] : -1]
    own = np.concatenate([found[:, PLAIN : PLAIN + known], alone[:, known:]], axis=1)[:, :motors]
    if fit.change is not None:
        own[:, [fit.change.motor]] += found[:, [-3]]
        own += found[:, [-2]] * (plan.event == fit.change.event)
    log_rise = PRIOR_MEAN[0] + found[:, [0]] + own + _event(fit, plan.event, cell, found, normal[:, -1])[:, None]
    log_rise += (PRIOR_MEAN[1] + found[:, [1]]) * np.log(plan.rollout_mm / fit.rollout_ref_mm)
    log_rise += (PRIOR_MEAN[3] + found[:, [3]]) * np.log(plan.length_s / USUAL_LENGTH_S)
    sigma, tau = cells.sigma[cell, None], cells.tau_s[cell, None]
    start = plan.ambient_c if plan.start_c is None else plan.start_c
    rise = np.exp(log_rise + sigma**2 / 2) * of_five_minutes(np.array(plan.length_s), tau)
    return np.asarray(plan.ambient_c + (start - plan.ambient_c) * left(np.array(plan.length_s), tau) + rise)


def _event(fit: HeatFit, event: int | None, cell: Ints, found: Floats, normal: Floats) -> Floats:
    """What the event adds to log rise [draws], given the other coefficients."""
    cells = fit.cells
    if event is None or event >= cells.events.shape[1]:
        return np.asarray(cells.event_sd[cell] * normal)
    off = np.einsum("dr,dr->d", cells.event_pull[cell, :, event], found - cells.coefficients[cell])
    return np.asarray(cells.events[cell, event] - off + np.sqrt(cells.event_var[cell, event]) * normal)
