"""A simulator of pools of parts: every stator × rotor × end bell there could be, some of them on a bench.

A pool is a bench day (`bench_days`) whose motors are all builds; a build's constants are the sum of what its stator,
rotor and end bell give it, and a rest of its own, by shares of the spread between motors. Nothing of it comes from the
model that is fitted but the comparison it is read into.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

import numpy as np

from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.readings import Comparison, Readings
from tests.benchmarks import hard_days as hard
from tests.benchmarks.bench_days import Bench, Day, Motors, World, draw_day, tested

SPREAD, IMBALANCE = "sensor_spread_deg", "pole_imbalance_pct"
Shares = Mapping[str, tuple[float, float, float, float]]
CAUSES: Shares = {
    KV: (0.30, 0.50, 0.05, 0.15),
    CURRENT: (0.30, 0.20, 0.25, 0.25),
    RESISTANCE: (0.95, 0.0, 0.0, 0.05),
    SPREAD: (0.0, 0.05, 0.85, 0.10),
    IMBALANCE: (0.0, 0.90, 0.0, 0.10),
}
"""What can cause a figure: stator, rotor, end bell, rest, of the variance between builds. The design's, written out."""
EQUAL: Shares = dict.fromkeys(CAUSES, (0.25, 0.25, 0.25, 0.25))
REST: Shares = dict.fromkeys(CAUSES, (0.0, 0.0, 0.0, 1.0))
MOTOR_PCT = (1.5, 7.0, 2.0)
"""How far builds lie apart, percent of KV, current and resistance: scales of half-normals, drawn for every pool."""
EVENNESS = {SPREAD: (2.5, 1.0, 0.2), IMBALANCE: (3.5, 1.5, 0.3)}
"""Level, spread between builds and noise of a reading, of figures that are no part of the power."""
SESSIONS = 12
"""More than are used."""
RUNS = 3
"""Runs of a build in a session at the start."""


@dataclass(frozen=True)
class Kind:
    """What pools of one kind are like. sizes: stators, rotors, end bells; a motor is built from the nth of each.

    shares: true ones. clamped: σ that clampings lie apart; noise: as in `World`, percent.
    """

    sizes: tuple[int, int, int] = (3, 3, 3)
    shares: Literal["causes", "equal", "rest"] = "causes"
    clamped: float = 0.7
    noise: tuple[float, float, float] = (0.2, 1.0, 0.7)
    resistance: bool = True

    @property
    def of(self) -> np.ndarray:
        """Stator, rotor and end bell of every legal build [builds × 3]."""
        return np.stack(np.unravel_index(np.arange(int(np.prod(self.sizes))), self.sizes), axis=1)

    @property
    def own(self) -> list[int]:
        """Builds of the motors as they were bought, each with its own parts."""
        own = [np.full(3, motor) for motor in range(min(self.sizes))]
        return [int(np.ravel_multi_index(tuple(each), self.sizes)) for each in own]


@dataclass(frozen=True)
class Pool:
    """Builds on a bench day, the runs made so far within it, true evenness [builds] by figure, and the next session."""

    kind: Kind
    day: Day
    even: Mapping[str, np.ndarray]
    session: int

    @property
    def tested(self) -> list[int]:
        """Builds that were run."""
        return sorted(set(self.day.tested.runs.motor))

    def truth(self) -> np.ndarray:
        """Power at load of every build, percent of the mean of all of them [builds]."""
        return self.day.true_score()


def shares_of(kind: Kind) -> Shares:
    """True shares by figure."""
    return {"causes": CAUSES, "equal": EQUAL, "rest": REST}[kind.shares]


def draw_pool(kind: Kind, seed: int) -> Pool:
    """One pool, each motor with its own parts and run three times in one or two sessions."""
    builds = int(np.prod(kind.sizes))
    world = World(
        motors=(builds,),
        runs=0,
        sessions=(SESSIONS,),
        resistance=kind.resistance,
        timing_known=1.0,
        noise_pct=kind.noise,
        hidden=(partial(_from_parts, kind=kind), partial(hard.clamped, sigmas=kind.clamped)),
    )
    day, rng = draw_day(world, seed), np.random.default_rng([seed, 5])
    day = replace(day, tested=replace(day.tested, readings={}))  # of no run; columns without rows have no kind
    even = {
        name: (level + sd * _summed(rng, kind.of, kind.sizes, shares_of(kind)[name])).clip(0.2)
        for name, (level, sd, _) in EVENNESS.items()
    }
    pool = Pool(kind, day, even, 0)
    for _ in range(int(rng.integers(1, 3))):
        pool = evening(pool, [(build, RUNS) for build in kind.own], rng)
    return pool


def _from_parts(motors: Motors, bench: Bench, rng: np.random.Generator, *, kind: Kind) -> tuple[Motors, Bench]:
    """Constants of all builds, from parts."""
    shares = shares_of(kind)
    spread = 0.01 * np.abs(rng.normal(0, MOTOR_PCT))
    off = [
        sd * _summed(rng, kind.of, kind.sizes, shares[name])
        for sd, name in zip(spread, (KV, CURRENT, RESISTANCE), strict=True)
    ]
    level = rng.uniform(-0.03, 0.03, 3)
    kv, current, ohm = (
        usual * np.exp(at + each) for usual, at, each in zip((3920, 4.0, 0.0116), level, off, strict=True)
    )
    return replace(motors, kv=kv, current=current, resistance=ohm), bench


def _summed(
    rng: np.random.Generator, of: np.ndarray, sizes: Sequence[int], shares: tuple[float, float, float, float]
) -> np.ndarray:
    """Effects of all builds, of variance 1 over all parts there are [builds]."""
    parts = [np.sqrt(share) * rng.standard_normal(size) for share, size in zip(shares[:3], sizes, strict=True)]
    rest = np.sqrt(shares[3]) * rng.standard_normal(len(of))
    return np.sum([effect[of[:, kind]] for kind, effect in enumerate(parts)], axis=0) + rest


def evening(pool: Pool, runs: Sequence[tuple[int, int]], rng: np.random.Generator) -> Pool:
    """The pool after a session of (build, how many runs), in turn as far as `bench_days` has them so."""
    build = np.concatenate([np.full(count, build) for build, count in runs])
    number = np.concatenate([np.arange(count) for _, count in runs])
    before = len(pool.day.tested.runs.motor)
    day = tested(pool.day, build, np.full(build.size, pool.session), number, rng)
    return replace(pool, day=replace(day, tested=_read(pool, day.tested, before, rng)), session=pool.session + 1)


def _read(pool: Pool, found: Comparison, before: int, rng: np.random.Generator) -> Comparison:
    """The comparison with the evenness of the runs from `before` on."""
    motor, session = (np.array(column[before:]) for column in (found.runs.motor, found.runs.session))
    rows, readings = before + np.arange(motor.size), dict(found.readings)
    for name, (*_, noise) in EVENNESS.items():
        value = (pool.even[name][motor] + noise * rng.standard_normal(motor.size)).clip(0)
        more = Readings(motor, session, value, np.ones(motor.size), rows)
        both = zip(vars(found.of(name)).values(), vars(more).values(), strict=True)
        readings[name] = Readings(*(np.concatenate(each) for each in both))
    return replace(found, readings=readings)
