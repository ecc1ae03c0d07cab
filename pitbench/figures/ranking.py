"""The ranking: from draws of one comparison to places, chances, a verdict and what would settle it.

The score is the power at load in percent of the mean of the motors compared, plus what the user gave weight; this is
the only place where it is worked out. Everything here works on draws and does not know how they came about.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pitbench.figures import chances, foresight
from pitbench.figures.comparison import CURRENT, KV, RESISTANCE, Drawn
from pitbench.figures.criteria import GOALS, MEASURED, UNSEEN_PCT
from pitbench.figures.misfit import DOES_NOT_FIT
from pitbench.figures.uncertainty import pooled_correlation, speed_per_amp_uncertainty

Floats = NDArray[np.float64]
ASKED_MOTORS = 12
"""How many motors, by chance of being best, are looked at for the reading that would tell most."""


@dataclass(frozen=True)
class Interval:
    """Mean and the 5 and 95 % points."""

    mean: float
    low90: float
    high90: float


@dataclass(frozen=True)
class Placed:
    """One motor: place from 1, chance of being best, score in percent with its intervals, group letters, figures."""

    motor: int
    place: int
    chance_best: float
    score: Interval
    low50: float
    high50: float
    group: str
    figures: Mapping[str, Interval | None]
    runs: Mapping[str, int]
    does_not_fit: bool


@dataclass(frozen=True)
class WouldTell:
    """The reading that would tell most: of which motor and figure, and the highest chance now and expected after."""

    motor: int
    figure: str
    measured_before: bool
    chance_now: float
    chance_expected: float


@dataclass(frozen=True)
class Ranking:
    """The whole answer in numbers, motors in order of place. With fewer than two motors what compares is None."""

    motors: Sequence[Placed]
    verdict: str | None
    lead: Interval | None
    settle: foresight.Settle | None
    bench_leader: tuple[int, float] | None
    would_tell_most: WouldTell | None
    repeatability: Mapping[str, float | None]
    weights: Mapping[str, float]
    margins: Mapping[str, float]


@dataclass(frozen=True)
class _Scored:
    """Draws of the score and of the unseen part [draws × motors], chance to be best given a draw, motors best first."""

    score: Floats
    unseen: Floats
    best: Floats
    order: list[int]


def rank(
    drawn: Drawn, weights: Mapping[str, float] | None = None, margins: Mapping[str, float] | None = None
) -> Ranking:
    """Rank the motors of a comparison, one or more; weights and margins by figure name as far as the user set them.

    Deterministic: the same draws always give the same numbers.
    """
    weight, margin = weights_of(weights or {}), margins_of(margins or {})
    scored = _scored(drawn, weight, margin)
    verdict = lead = settle = would_tell = None
    if len(scored.order) >= 2:
        ahead = scored.score[:, scored.order[0]] - scored.score[:, scored.order[1]]
        lead = _interval(ahead)
        chance = float(scored.best[:, scored.order[0]].mean())
        verdict = chances.verdict_of(chance, lead.mean, margin["load_power_w"])
        settle = _settle(drawn, scored, ahead, margin["load_power_w"], verdict == "clear")
        would_tell = None if verdict == "clear" else _would_tell_most(drawn, scored)
    return Ranking(
        motors=_placed(drawn, scored),
        verdict=verdict,
        lead=lead,
        settle=settle,
        bench_leader=_bench_leader(drawn),
        would_tell_most=would_tell,
        repeatability=_repeatability(drawn),
        weights=weight,
        margins=margin,
    )


def weights_of(given: Mapping[str, float]) -> dict[str, float]:
    """Weight of every figure: as given, else 1 for the power at load and 0 for all others."""
    return {name: given.get(name, 1.0 if name == "load_power_w" else 0.0) for name in GOALS}


def margins_of(given: Mapping[str, float]) -> dict[str, float]:
    """Margin of every figure: as given, else that of the table."""
    return {name: given.get(name, goal.margin) for name, goal in GOALS.items()}


def _scored(drawn: Drawn, weights: Mapping[str, float], margins: Mapping[str, float]) -> _Scored:
    n_draws, n_motors = drawn.power.watts.shape
    score = np.zeros((n_draws, n_motors))
    for name, weight in weights.items():
        if weight and (name == "load_power_w" or any(drawn.known(name, motor) for motor in range(n_motors))):
            score += weight * _worth(drawn.values[name], name, margins[name])
    unseen = chances.unseen_part(n_draws, n_motors, UNSEEN_PCT)
    mean = score.mean(axis=0)
    order = sorted(range(n_motors), key=lambda motor: (-mean[motor], motor))
    return _Scored(score, unseen[0], chances.best_of(score, unseen), order)


def _worth(values: Floats, name: str, margin: float) -> Floats:
    """Percent of score: the power difference itself, or half a percent for every margin another figure is better by."""
    goal = GOALS[name]
    mean = values.mean(axis=1, keepdims=True)
    difference = values - mean
    if goal.margin_in_percent:
        difference *= 100 / mean
    return np.asarray(difference if name == "load_power_w" else goal.better * 0.5 / margin * difference)


def _placed(drawn: Drawn, scored: _Scored) -> list[Placed]:
    motors = range(len(scored.order))
    letters = chances.groups(scored.score, scored.unseen, scored.order)
    low90, low50, high50, high90 = np.quantile(scored.score, [0.05, 0.25, 0.75, 0.95], axis=0)
    figures = {name: _intervals(drawn, name, len(motors)) for name in GOALS}
    unfit = _unfit(drawn)
    return [
        Placed(
            motor=motor,
            place=place + 1,
            chance_best=float(scored.best[:, motor].mean()),
            score=Interval(float(scored.score[:, motor].mean()), float(low90[motor]), float(high90[motor])),
            low50=float(low50[motor]),
            high50=float(high50[motor]),
            group=letters[place],
            figures={name: found[motor] for name, found in figures.items()},
            runs={name: drawn.runs(name, motor) for name in GOALS},
            does_not_fit=motor in unfit,
        )
        for place, motor in enumerate(scored.order)
    ]


def _intervals(drawn: Drawn, name: str, n_motors: int) -> list[Interval | None]:
    """The figure of every motor in its unit, None where no reading carries it."""
    known = [drawn.known(name, motor) for motor in range(n_motors)]
    if not any(known):
        return [None] * n_motors
    mean = drawn.values[name].mean(axis=0)
    low, high = np.quantile(drawn.values[name], [0.05, 0.95], axis=0)
    return [Interval(float(mean[m]), float(low[m]), float(high[m])) if known[m] else None for m in range(n_motors)]


def _unfit(drawn: Drawn) -> set[int]:
    """Motors with a reading that does not fit."""
    return {
        reading.motor
        for name, found in drawn.estimates.items()
        for reading, weight in zip(drawn.asked.readings.get(name, ()), found.weight, strict=True)
        if weight < DOES_NOT_FIT
    }


def _bench_leader(drawn: Drawn) -> tuple[int, float] | None:
    """The motor with the highest chance of the highest speed per amp, among two or more that were measured."""
    speed_per_amp = drawn.values["speed_per_amp"]
    known = [motor for motor in range(speed_per_amp.shape[1]) if drawn.known("speed_per_amp", motor)]
    if len(known) < 2:
        return None
    chance = np.bincount(speed_per_amp.argmax(axis=1), minlength=speed_per_amp.shape[1]) / speed_per_amp.shape[0]
    leader = max(known, key=lambda motor: (chance[motor], -motor))
    return leader, float(chance[leader])


def _settle(drawn: Drawn, scored: _Scored, lead: Floats, margin: float, done: bool) -> foresight.Settle:
    first, second = scored.order[:2]
    found = [drawn.estimates[name] for name in MEASURED if _comes_with_a_run(drawn, name)]
    differences = (
        np.array([each.effects[0][:, first] - each.effects[0][:, second] for each in found]).reshape(-1, lead.size).T
    )
    noise = np.array([each.noise for each in found])
    return foresight.runs_to_settle(lead, differences, noise, scored.best, scored.score, margin, done)


def _comes_with_a_run(drawn: Drawn, name: str) -> bool:
    """Whether a bench run here usually measures this figure: at least half of them did."""
    with_run = sum(reading.run is not None for reading in drawn.asked.readings.get(name, ()))
    return with_run > 0 and 2 * with_run >= len(drawn.asked.runs.motor)


def _would_tell_most(drawn: Drawn, scored: _Scored) -> WouldTell | None:
    chance = scored.best.mean(axis=0)
    now = float(chance.max())
    likely = sorted(scored.order, key=lambda motor: (-chance[motor], motor))[:ASKED_MOTORS]
    best = scored.best[:, likely]
    options = []
    for name in (KV, CURRENT, RESISTANCE):
        found = drawn.estimates[name]
        draws, noise = found.levels(), float(np.hypot(found.noise, found.spreads[1]))
        for motor in likely:
            after = foresight.chance_after(draws[:, motor], noise, best)
            options.append(WouldTell(motor, name, drawn.known(name, motor), now, after))
    most = max(options, key=lambda option: option.chance_expected)
    return most if most.chance_expected - now >= foresight.WORTH_A_READING else None


def _repeatability(drawn: Drawn) -> dict[str, float | None]:
    """σ of one reading in the figure's unit; None where no repeat says anything."""
    sigma: dict[str, float | None] = dict.fromkeys(GOALS)
    for name, found in drawn.estimates.items():
        if found.freedom >= 1:
            sigma[name] = found.noise * (float(drawn.values[name].mean()) / 100 if MEASURED[name].relative else 1.0)
    u_kv, u_current = sigma[KV], sigma[CURRENT]
    if u_kv and u_current:
        kv, current = (float(drawn.values[name].mean()) for name in (KV, CURRENT))
        relative = speed_per_amp_uncertainty(kv, u_kv, current, u_current, _correlation_of_repeats(drawn))
        sigma["speed_per_amp"] = relative * float(drawn.values["speed_per_amp"].mean())
    return sigma


def _correlation_of_repeats(drawn: Drawn) -> float:
    """How KV and current of one run go together, within motors and sessions."""
    current = {reading.run: reading.value for reading in drawn.asked.readings.get(CURRENT, ())}
    both = [reading for reading in drawn.asked.readings.get(KV, ()) if reading.run in current]
    cells: dict[tuple[int, int], int] = {}
    group = [cells.setdefault((reading.motor, reading.session), len(cells)) for reading in both]
    return pooled_correlation([reading.value for reading in both], [current[reading.run] for reading in both], group)


def _interval(draws: Floats) -> Interval:
    low, high = np.quantile(draws, [0.05, 0.95])
    return Interval(float(draws.mean()), float(low), float(high))
