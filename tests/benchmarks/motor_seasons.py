"""A simulator of seasons: motors on the bench evening after evening, raced between, some of them not what they were.

Every evening the tester has a mood, every clamping a seat of its own, every run its noise; rotors are warm to a
different degree and the timing is set anew. Motors are raced as much as their owner likes them. A change is a step (a
race too hot, a knock) or wear with the track minutes, in magnets (KV and current up), bearings (current up) or the
sensor board (spread). Work on a motor moves its current and its KV a little. Nothing here knows the model that is
fitted.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from pitbench.figures.conditions import RunConditions
from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.load_power import Load
from pitbench.figures.readings import Comparison, Readings

IMBALANCE, SPREAD = "pole_imbalance_pct", "sensor_spread_deg"
NOISE = {KV: 0.2, CURRENT: 1.0, RESISTANCE: 1.0, IMBALANCE: 0.3, SPREAD: 0.2}
"""σ of one reading: percent, of imbalance and spread points and degrees."""
MOOD = {KV: 0.3, CURRENT: 2.0, RESISTANCE: 1.5, IMBALANCE: 0.3, SPREAD: 0.2}
MOTORS_APART = {KV: 1.5, CURRENT: 7.0, RESISTANCE: 2.0, IMBALANCE: 1.0, SPREAD: 0.6}
WORKED = {KV: 0.2, CURRENT: 5.0, RESISTANCE: 0.0, IMBALANCE: 0.0, SPREAD: 0.0}
LEVEL = {KV: 3920.0, CURRENT: 4.0, RESISTANCE: 11.6, IMBALANCE: 5.0, SPREAD: 3.0}
RELATIVE = {KV, CURRENT, RESISTANCE}
CHANGES = {"magnets": (KV, CURRENT), "bearings": (CURRENT,), "board": (SPREAD,), "poles": (IMBALANCE,)}
PER_K, PER_DEG = 0.07, {KV: 0.5, CURRENT: 2.0}
MARK_DEG = 0.2
"""How exactly the timing is set anew for every evening, too near to be seen by those who read it."""


@dataclass(frozen=True)
class World:
    """What kind of seasons are drawn. noise, mood, clamping: times the usual, clampings in σ of a reading.

    there: chance that a motor is on the bench on an evening. raced: minutes between two evenings, lowest and highest.
    worked: pieces of work on a motor in a season, on average. changed: how many motors change, each by `size`
    session-corrected standard deviations: of the mean of an evening's runs with its clamping and its timing, less the
    mood as the motors that were there beside it show it. A step comes of racing; idle: or of lying in its box.
    """

    motors: tuple[int, ...] = (3, 4, 6, 8)
    evenings: tuple[int, ...] = (6, 8, 10, 14)
    runs: tuple[int, ...] = (1, 2, 3)
    noise: float = 1.0
    mood: float = 1.0
    clamping: float = 0.6
    there: float = 0.85
    raced: tuple[float, float] = (10.0, 35.0)
    worked: float = 0.0
    changed: int = 0
    kind: Literal["step", "wear"] = "step"
    size: float = 3.0
    tail: float | None = None
    idle: bool = False


@dataclass(frozen=True)
class Season:
    """What the bench read, track minutes of each run's motor before it [n] and of all motors now [motors], and what
    truly happened: by motor the figures that changed and by how much in its newest state, first to last; since: the
    first evening it was there, changed."""

    tested: Comparison
    minutes: np.ndarray
    now: np.ndarray
    changed: Mapping[int, Mapping[str, float]]
    since: Mapping[int, int]


def draw_season(world: World, seed: int) -> Season:
    """One season with all that is asked of it."""
    rng = np.random.default_rng(seed)
    motors, evenings, runs = (int(rng.choice(each)) for each in (world.motors, world.evenings, world.runs))
    on_bench = rng.random((motors, evenings)) < world.there
    keen = rng.uniform(0.3, 1.0, motors)  # how much each is raced
    outings = rng.uniform(*world.raced, (motors, evenings)) * (rng.random((motors, evenings)) < keen[:, None])
    outings[:, 0] = 0.0
    minutes = outings.cumsum(axis=1)
    state = np.zeros((motors, evenings), dtype=np.int64)
    for motor in range(motors):
        for at in rng.integers(2, evenings, rng.poisson(world.worked)):
            state[motor, at:] += 1
    worked = {name: rng.normal(0, 1, (motors, evenings + 9)) for name in NOISE}
    truth = _changes(world, rng, on_bench, minutes, state, runs)
    motor, evening, nth = (each.ravel() for each in np.indices((motors, evenings, runs)))
    kept = on_bench[motor, evening]
    motor, evening, nth = motor[kept], evening[kept], nth[kept]
    n = motor.size
    warm = rng.normal(26, 3, n) + 2 * nth
    mark = rng.normal(0, MARK_DEG, (motors, evenings))[motor, evening]
    readings = {}
    for name, noise in NOISE.items():
        noise = noise * world.noise
        seat = rng.normal(0, world.clamping * noise, (motors, evenings))[motor, evening]
        off = (
            rng.standard_normal(n)
            if world.tail is None
            else rng.standard_t(world.tail, n) * np.sqrt(1 - 2 / world.tail)
        )
        value = rng.normal(0, MOTORS_APART[name], motors)[motor] + seat + off * noise
        value = value + rng.normal(0, MOOD[name] * world.mood, evenings)[evening]
        value = value + WORKED[name] * worked[name][motor, state[motor, evening]] * (state[motor, evening] > 0)
        value = value + PER_K * (warm - 25) * (name == KV)
        value = value + mark * PER_DEG.get(name, 0.0)
        value = value + truth[name][motor, evening]
        value = LEVEL[name] * np.exp(value / 100) if name in RELATIVE else np.abs(LEVEL[name] + value)
        row = np.arange(n) if name != RESISTANCE else np.flatnonzero((nth == 0) & (evening % 3 == 0))
        readings[name] = Readings(
            motor[row], evening[row], value[row], np.ones(row.size), row, _states(state, motor, evening)[row]
        )
    conditions = RunConditions(
        motor=motor.tolist(),
        session=evening.tolist(),
        run_number=nth.tolist(),
        motor_temp=(warm + rng.normal(0, 0.5, n)).tolist(),
        ambient=[22.0] * n,
        timing=(40 + mark + rng.normal(0, 0.1, n)).tolist(),
        timing_mark=[None] * n,
    )
    newest = [int(_states(state, motor, evening)[motor == m].max(initial=0)) for m in range(motors)]
    tested = Comparison(motors, conditions, readings, Load("unknown", 7.6, 0.02, 3.7), turns=13.5, states=newest)
    told = _told(truth, on_bench, state)
    since = {m: _since(truth, on_bench[m] & (state[m] == state[m].max()), m) for m in told}
    return Season(tested, minutes[motor, evening], minutes[:, -1], told, since)


def _states(state: np.ndarray, motor: np.ndarray, evening: np.ndarray) -> np.ndarray:
    """States counted as the logbook counts them: only those in which something was read."""
    raw = state[motor, evening]
    found = np.zeros_like(raw)
    for m in np.unique(motor):
        own = motor == m
        found[own] = np.unique(raw[own], return_inverse=True)[1]
    return found


def _changes(
    world: World, rng: np.random.Generator, on_bench: np.ndarray, minutes: np.ndarray, state: np.ndarray, runs: int
) -> dict[str, np.ndarray]:
    """What each motor has changed by on every evening, by figure [motors × evenings]."""
    found = {name: np.zeros(on_bench.shape) for name in NOISE}
    for motor in rng.permutation(on_bench.shape[0])[: world.changed]:
        newest = on_bench[motor] & (state[motor] == state[motor].max())
        own = np.flatnonzero(newest)
        if own.size < 4 or minutes[motor, own[-1]] <= minutes[motor, own[0]]:
            continue
        what = str(rng.choice(list(CHANGES)))
        way = float(rng.choice([-1.0, 1.0])) if what == "board" else 1.0
        places = np.arange(2, own.size - 1)  # two evenings before and two after at the least
        raced = minutes[motor, own[places]] > minutes[motor, own[places - 1]]
        places = places[raced | world.idle]
        if not places.size:
            continue
        at = int(rng.choice(places))
        others = on_bench[:, own].sum(axis=0) - 1
        first = minutes[motor, own[0]]
        course = (minutes[motor] - first) / (minutes[motor, own[-1]] - first)
        course = np.clip(course, 0, 1) if world.kind == "wear" else (np.arange(course.size) >= own[at]).astype(float)
        for name in CHANGES[what]:
            square = (NOISE[name] * world.noise) ** 2 * (world.clamping**2 + 1 / runs)
            square += (MARK_DEG * PER_DEG.get(name, 0.0)) ** 2
            mood = (MOOD[name] * world.mood) ** 2
            sd = np.sqrt(square + (mood * square / (square + others * mood)).mean())  # what is not seen of the mood
            found[name][motor] = way * world.size * sd * course
    return found


def _told(truth: Mapping[str, np.ndarray], on_bench: np.ndarray, state: np.ndarray) -> dict[int, dict[str, float]]:
    found: dict[int, dict[str, float]] = {}
    for motor in range(on_bench.shape[0]):
        own = np.flatnonzero(on_bench[motor] & (state[motor] == state[motor].max()))
        if own.size:
            moved = {name: float(each[motor, own[-1]] - each[motor, own[0]]) for name, each in truth.items()}
            if any(moved.values()):
                found[motor] = {name: by for name, by in moved.items() if by}
    return found


def _since(truth: Mapping[str, np.ndarray], there: np.ndarray, motor: int) -> int:
    """The first evening on which a motor that changed was there and not what it was."""
    own = np.flatnonzero(there)
    moved = np.any([each[motor, own] != each[motor, own[0]] for each in truth.values()], axis=0)
    return int(own[moved.argmax()])


def up_to(season: Season, evening: int) -> Season:
    """The season as it stood after an evening; what changed is left as it is told at its end."""
    asked = season.tested
    kept = np.flatnonzero(np.array(asked.runs.session) <= evening)
    place = np.full(len(asked.runs.session), -1)
    place[kept] = np.arange(kept.size)
    columns = ([column[i] for i in kept] if len(column) else column for column in vars(asked.runs).values())
    readings = {name: _kept(found, place) for name, found in asked.readings.items()}
    of = readings[KV]
    states = [int(of.state[of.motor == motor].max(initial=0)) for motor in range(asked.n_motors)]
    tested = replace(asked, runs=RunConditions(*columns), readings=readings, states=states)
    return replace(season, tested=tested, minutes=season.minutes[kept])


def _kept(found: Readings, place: np.ndarray) -> Readings:
    """The readings of the runs that have a place."""
    row = place[found.run] >= 0
    columns = {name: column[row] for name, column in vars(found).items()}
    return Readings(**columns | {"run": place[found.run[row]]})
