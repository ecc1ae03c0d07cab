"""The ranking: from draws of one comparison to places, chances, a verdict and what would settle it.

The score is the power at load in percent of the mean of the motors compared, plus what the user gave weight; this is
the only place where it is worked out. Everything here works on draws and does not know how they came about. Only what
depends on weights and margins is worked out anew when they change; the rest is the comparison's `summary`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures import chances, foresight
from pitbench.figures.arrays import Floats
from pitbench.figures.comparison import Drawn
from pitbench.figures.criteria import CURRENT, GOALS, KV, RESISTANCE
from pitbench.figures.intervals import Interval, intervals, points
from pitbench.figures.next_test import (
    USUAL_MINUTES,
    Minutes,
    NextTest,
    Scores,
    come_with_a_run,
    highest_session,
    next_test,
    readings_in,
)

ASKED_MOTORS, ASKED_CHANCE = 6, 0.02
"""How many motors, by chance of being best, and from which chance on, are looked at for the reading that would tell
most; the two likeliest always."""
CONTENDERS = 12
"""How many motors, from the top, the futures of a verdict are worked out for."""


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
    next_test: NextTest | None
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
    drawn: Drawn,
    weights: Mapping[str, float] | None = None,
    margins: Mapping[str, float] | None = None,
    minutes: Minutes = USUAL_MINUTES,
    session: int | None = None,
) -> Ranking:
    """Rank the motors of a comparison, one or more; weights and margins by figure name as far as the user set them.

    minutes, session: what further tests take, and the newest bench session; see `next_test`.
    Deterministic: the same draws always give the same numbers.
    """
    weight, margin = weights_of(weights or {}), margins_of(margins or {})
    score = score_of(drawn, weight, margin)
    unseen = chances.unseen_part(score.shape[0], score.shape[1], drawn.unseen_pct)
    scored = _Scored(score, unseen, chances.best_of(score, unseen), _order(score))
    verdict = lead = settle = would_tell = to_test = None
    if len(scored.order) >= 2:
        ahead = score[:, scored.order[0]] - score[:, scored.order[1]]
        lead = intervals(ahead[:, None])[0]
        chance = float(scored.best[:, scored.order[0]].mean())
        verdict = chances.verdict_of(chance, lead.mean, margin["load_power_w"])
        settle = _settle(drawn, scored, ahead, margin["load_power_w"], verdict == "clear", session)
        likely = _likely(scored)
        would_tell = None if verdict == "clear" else _would_tell_most(drawn, scored, likely)
        to_test = next_test(drawn, _scores(scored, likely, weight, would_tell), minutes, session)
    return Ranking(
        motors=_placed(drawn, scored),
        verdict=verdict,
        lead=lead,
        settle=settle,
        bench_leader=drawn.summary.bench_leader,
        next_test=to_test,
        would_tell_most=would_tell,
        repeatability=drawn.summary.repeatability,
        weights=weight,
        margins=margin,
    )


def weights_of(given: Mapping[str, float]) -> dict[str, float]:
    """Weight of every figure: as given, else 1 for the power at load and 0 for all others."""
    return {name: given.get(name, 1.0 if name == "load_power_w" else 0.0) for name in GOALS}


def margins_of(given: Mapping[str, float]) -> dict[str, float]:
    """Margin of every figure: as given, else that of the table."""
    return {name: given.get(name, goal.margin) for name, goal in GOALS.items()}


def best_of(drawn: Drawn, weights: Mapping[str, float], margins: Mapping[str, float]) -> int:
    """The motor with the highest mean score: place 1 of `rank`, without all else it works out."""
    return _order(score_of(drawn, weights_of(weights), margins_of(margins)))[0]


def weights_order(
    drawn: Drawn, weights: Mapping[str, float], margins: Mapping[str, float]
) -> dict[str, tuple[list[int], list[int]]]:
    """Motors best first, for every figure that has weight, with that weight halved and with it doubled."""
    weight, margin = weights_of(weights), margins_of(margins)
    parts = _parts(drawn, weight, margin)

    def order(name: str, factor: float) -> list[int]:
        return _order(np.sum([part * (factor if of == name else 1.0) for of, part in parts.items()], axis=0))

    return {name: (order(name, 0.5), order(name, 2.0)) for name in parts}


def _order(score: Floats) -> list[int]:
    """Motors by mean score, best first."""
    mean = score.mean(axis=0)
    return sorted(range(mean.size), key=lambda motor: (-mean[motor], motor))


def score_of(drawn: Drawn, weights: Mapping[str, float], margins: Mapping[str, float]) -> Floats:
    """Draws of the score [draws × motors], percent."""
    score = np.zeros_like(drawn.power.watts)
    for part in _parts(drawn, weights, margins).values():
        score += part
    return score


def _parts(drawn: Drawn, weights: Mapping[str, float], margins: Mapping[str, float]) -> dict[str, Floats]:
    """What every figure that has weight, and is known of some motor, adds to the score [draws × motors]."""
    return {
        name: weight * _worth(drawn.values[name], name, margins[name])
        for name, weight in weights.items()
        if weight and (name == "load_power_w" or any(drawn.known(name, m) for m in range(drawn.asked.n_motors)))
    }


def _worth(values: Floats, name: str, margin: float) -> Floats:
    """Percent of score: the power difference itself, or half a percent for every margin another figure is better by."""
    goal = GOALS[name]
    mean = values.mean(axis=1, keepdims=True)
    difference = values - mean
    if goal.margin_in_percent:
        difference *= 100 / mean
    return np.asarray(difference if name == "load_power_w" else goal.better * 0.5 / margin * difference)


def _placed(drawn: Drawn, scored: _Scored) -> list[Placed]:
    summary = drawn.summary
    letters = chances.groups(scored.score, scored.unseen, scored.order)
    low90, low50, high50, high90 = points(scored.score, (0.05, 0.25, 0.75, 0.95)).tolist()
    mean, chance = scored.score.mean(axis=0).tolist(), scored.best.mean(axis=0).tolist()
    return [
        Placed(
            motor=motor,
            place=place + 1,
            chance_best=chance[motor],
            score=Interval(mean[motor], low90[motor], high90[motor]),
            low50=low50[motor],
            high50=high50[motor],
            group=letters[place],
            figures={name: found[motor] for name, found in summary.figures.items()},
            runs={name: drawn.runs(name, motor) for name in GOALS},
            does_not_fit=motor in summary.does_not_fit,
        )
        for place, motor in enumerate(scored.order)
    ]


def _settle(
    drawn: Drawn, scored: _Scored, lead: Floats, margin: float, done: bool, session: int | None
) -> foresight.Settle:
    """Runs in the clampings of the newest session."""
    top, newest = scored.order[:CONTENDERS], highest_session(drawn) if session is None else session
    names = come_with_a_run(drawn)
    found = [drawn.estimates[name] for name in names]
    effects = [each.further_reading(top[0]) - each.further_reading(top[1]) for each in found]
    variance = [
        foresight.further_runs(
            each.noise**2, each.spreads[-1] ** 2, readings_in(drawn, name, newest)[top[:2]], np.array(foresight.STEPS)
        )
        for name, each in zip(names, found, strict=True)
    ]
    return foresight.runs_to_settle(
        lead,
        np.array(effects).reshape(len(found), lead.size).T,
        np.array(variance).reshape(len(found), len(foresight.STEPS)),
        scored.best[:, top],
        scored.score[:, top],
        margin,
        done,
    )


def _likely(scored: _Scored) -> list[int]:
    """The motors likeliest to be the best, two at least."""
    chance = scored.best.mean(axis=0)
    by_chance = sorted(scored.order, key=lambda motor: (-chance[motor], motor))[:ASKED_MOTORS]
    return [motor for i, motor in enumerate(by_chance) if i < 2 or chance[motor] >= ASKED_CHANCE]


def _scores(scored: _Scored, likely: list[int], weight: Mapping[str, float], would_tell: WouldTell | None) -> Scores:
    """What the planner of the next test needs."""
    return Scores(
        score=scored.score,
        best=scored.best,
        leaders=(scored.order[0], scored.order[1]),
        likely=likely,
        counting={KV, CURRENT, RESISTANCE} | {name for name, each in weight.items() if each},
        alone=(would_tell.motor, would_tell.figure) if would_tell else None,
    )


def _would_tell_most(drawn: Drawn, scored: _Scored, likely: list[int]) -> WouldTell | None:
    now = float(scored.best.mean(axis=0).max())
    options = [(name, motor) for name in (KV, CURRENT, RESISTANCE) for motor in likely]
    estimates = {name: drawn.estimates[name] for name in (KV, CURRENT, RESISTANCE)}
    about = np.array([estimates[name].further_reading(motor) for name, motor in options])
    noise = np.array([np.hypot(estimates[name].noise, estimates[name].spreads[1]) for name, _ in options])
    after = foresight.chances_after(about, noise, scored.best[:, likely])
    (name, motor), most = options[int(after.argmax())], float(after.max())
    if most - now < foresight.WORTH_A_READING:
        return None
    return WouldTell(motor, name, drawn.known(name, motor), now, most)
