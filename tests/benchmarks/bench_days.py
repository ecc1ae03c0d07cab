"""A simulator of bench days, drawn from the physics of brushless motors and not from the model that is fitted.

A motor is flux, winding resistance, a loss torque in two parts and its timing. Its rotor warms over repeats, which
weakens the magnets; the can follows at a distance. The tester reads no-load speed, current, timing and sometimes the
temperature of the can, each with noise, and every bench session reads a little off. What the engine should find is
worked out from the motor's own constants. What can go wrong on a bench beside that: `hard_days`.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from pitbench.figures.conditions import RunConditions
from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.load_power import SHARE, Load
from pitbench.figures.readings import Comparison, Readings

TEST_V, PACK_V, LEADS = 3.7, 7.6, 0.020
MAGNET_PER_K = -0.0011
COPPER_PER_K = 0.00393
RPM_PER_RAD_S = 60 / (2 * np.pi)
TIMING = 40.0
WARMER = 3.0
"""K that the can is warmer with every run in a session."""
HOURS_A_RUN = 0.1
"""Of a session: a run with clamping, running in and writing down."""


@dataclass(frozen=True)
class World:
    """What kind of bench days are drawn. Spreads in percent, each the sd of a normal, or None: drawn from the priors.

    noise_factor: how much noisier the tester is than believed. tail: degrees of freedom of Student noise, None: normal.
    linked: a motor with weak magnets spins faster and draws more, instead of KV and current on their own. evened: the
    user turned each motor's timing until its KV came near that of the others. timing_sd: how far motors are set apart,
    timing_noise: of a reading, degrees. evenings: all motors in all sessions, each in sessions of its own, or one apart
    from the others. blocks: all runs of a motor one after another, instead of motors in turn.

    hidden: what alters motors and bench before anything is read; typed: what alters the readings on their way into the
    logbook, twice the same as once.
    """

    motors: tuple[int, ...] = (2, 3, 4, 6)
    runs: int = 2
    sessions: tuple[int, ...] = (1, 2)
    resistance: bool = True
    thermometer: float = 0.7
    timing_known: float = 0.8
    gearing: tuple[str, ...] = ("free", "capped", "unknown")
    motor_pct: tuple[float, float, float] | None = None
    session_pct: tuple[float, float, float] | None = None
    noise_pct: tuple[float, float, float] | None = None
    noise_factor: float = 1.0
    tail: float | None = None
    linked: bool = False
    identical: bool = False
    evened: bool = False
    outlier: bool = False
    unseen_pct: float = 0.3
    timing_sd: float = 1.5
    timing_noise: float = 0.1
    evenings: Literal["all", "own", "one apart"] = "all"
    blocks: bool = False
    hidden: tuple["Hidden", ...] = ()
    typed: tuple["Typed", ...] = ()


@dataclass(frozen=True)
class Motors:
    """True constants [motors]: KV read at 25 °C and one cell, and current there, both at 40° of timing; R at 20 °C in
    ohm; the timing each is set to; what the bench cannot see, percent of power."""

    kv: np.ndarray
    current: np.ndarray
    resistance: np.ndarray
    timing: np.ndarray
    unseen: np.ndarray


@dataclass(frozen=True)
class Bench:
    """One day's conditions. In log, of KV, current and resistance: how far sessions read off [sessions × 3] and
    clampings [motors × sessions × 3], noise [3], drift an hour of the evening [3].

    lag: how many runs the rotor's warmth is behind the can's. leads: true resistance of the leads at load, ohm.
    """

    bias: np.ndarray
    clamping: np.ndarray
    noise: np.ndarray
    drift: np.ndarray
    rotor_share: float
    kv_per_deg: float
    current_per_deg: float
    thermometer: bool
    timing_known: bool
    ambient: np.ndarray
    lag: int = 0
    leads: float = LEADS


Hidden = Callable[[Motors, Bench, np.random.Generator], tuple[Motors, Bench]]
Typed = Callable[[Comparison], Comparison]


@dataclass(frozen=True)
class Day:
    """Motors on a bench and at a working point; `tested` is what the engine is given."""

    world: World
    motors: Motors
    bench: Bench
    gearing: str
    share: float
    capped: bool
    loss_share: float
    tested: Comparison

    def true_score(self) -> np.ndarray:
        """Power at load, percent of the mean of the motors, at one timing for all if timings are known [motors]."""
        watts = _power(self.compared(), self)
        return 100 * (watts / watts.mean() - 1)

    def compared(self) -> Motors:
        """The motors at the timing they are compared at: one for all if timings are known, else each its own."""
        timing = self.motors.timing
        return self.at(np.full_like(timing, np.median(timing)) if self.bench.timing_known else timing)

    def at(self, timing: np.ndarray) -> Motors:
        """The motors set to other timings [motors], degrees."""
        kv, current = (np.exp(s * (timing - TIMING)) for s in (self.bench.kv_per_deg, self.bench.current_per_deg))
        return replace(self.motors, kv=self.motors.kv * kv, current=self.motors.current * current, timing=timing)


def _power(motors: Motors, day: Day) -> np.ndarray:
    """Shaft power of the three-constant motor with the loss torque Tc + ke·ω, written out from the circuit."""
    emf_per_rpm = (TEST_V - motors.current * motors.resistance) / (motors.kv * TEST_V)
    ohms = motors.resistance + day.bench.leads
    mean_emf = 1 / np.mean(1 / emf_per_rpm)
    stall = PACK_V / ohms.mean()
    if day.capped:
        rpm = (PACK_V - day.share * stall * ohms.mean()) / mean_emf
        amps = (PACK_V - rpm * emf_per_rpm) / ohms
    else:
        amps = np.full(ohms.size, day.share * stall)
        rpm = (PACK_V - amps * ohms) / emf_per_rpm
    free_rpm = motors.kv * TEST_V
    lost = motors.current * ((1 - day.loss_share) + day.loss_share * rpm / free_rpm)
    return emf_per_rpm * rpm * (amps - lost)


def draw_day(world: World, seed: int) -> Day:
    """One simulated day with everything the engine is given."""
    rng = np.random.default_rng(seed)
    n = int(rng.choice(world.motors))
    sessions = int(rng.choice(world.sessions))
    motors, bench = _motors(world, rng, n), _bench(world, rng, n, sessions)
    gearing = str(rng.choice(world.gearing))
    capped = gearing == "capped" or (gearing == "unknown" and rng.random() < 0.5)
    low, high = SHARE["capped" if capped else "free"]
    day = Day(
        world=world,
        motors=motors,
        bench=bench,
        gearing=gearing,
        share=float(rng.uniform(low, high)),
        capped=capped,
        loss_share=float(np.clip(rng.normal(0.6, 0.15), 0, 1)),
        tested=Comparison(n, RunConditions(*[[]] * 7), {}, Load(gearing, PACK_V, LEADS, TEST_V), turns=13.5),  # type: ignore[arg-type]
    )
    for hide in world.hidden:
        motors, bench = hide(day.motors, day.bench, rng)
        day = replace(day, motors=motors, bench=bench)
    day = tested(day, *_plan(world, rng, n, sessions), rng)
    return _with_outlier(day, rng) if world.outlier else day


def _plan(world: World, rng: np.random.Generator, n: int, sessions: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Motor of every run, its session, and how many the motor had there before."""
    motor, run = np.repeat(np.arange(n), world.runs), np.tile(np.arange(world.runs), n)
    if world.evenings == "all":
        return motor, run % sessions, run // sessions
    if world.evenings == "one apart":
        return motor, (motor == rng.integers(n)).astype(np.int64), run
    own = [rng.permutation(sessions)[: rng.integers(1, sessions + 1)] for _ in range(n)]
    session = np.concatenate([evenings[np.arange(world.runs) % evenings.size] for evenings in own])
    return motor, session, run // np.repeat([evenings.size for evenings in own], world.runs)


def _spread(rng: np.random.Generator, given: tuple[float, float, float] | None, prior: tuple[float, ...]) -> np.ndarray:
    """Three spreads as fractions: those given, else half-normal with the scales of the priors."""
    return 0.01 * np.array(given if given is not None else np.abs(rng.normal(0, prior)))


def _motors(world: World, rng: np.random.Generator, n: int) -> Motors:
    kv_sd, current_sd, resistance_sd = _spread(rng, world.motor_pct, (1.5, 7.0, 2.0))
    z = rng.standard_normal((4, n))
    log_kv, log_current, log_ohms = kv_sd * z[0], current_sd * z[1], resistance_sd * z[2]
    if world.linked:  # flux down: speed up in proportion, and the same loss torque takes more current
        log_current = log_current + log_kv
    unseen = 0.01 * world.unseen_pct * z[3]
    timing = TIMING + rng.normal(0, world.timing_sd, n)
    if world.evened:
        timing = timing - np.clip(0.7 * log_kv / 0.005, -6.0, 6.0)
    if world.identical:
        all_five = (log_kv, log_current, log_ohms, unseen, timing)
        log_kv, log_current, log_ohms, unseen, timing = (np.full(n, each[0]) for each in all_five)
    level = rng.uniform(-0.03, 0.03, 3)
    return Motors(
        kv=3920 * np.exp(level[0] + log_kv),
        current=4.0 * np.exp(level[1] + log_current),
        resistance=0.0116 * np.exp(level[2] + log_ohms),
        timing=timing,
        unseen=100 * unseen,
    )


def _bench(world: World, rng: np.random.Generator, n: int, sessions: int) -> Bench:
    if world.noise_pct is not None:
        noise = 0.01 * np.array(world.noise_pct)
    else:
        noise = 0.01 * np.array((0.2, 1.0, 1.0)) * np.sqrt(3 / rng.chisquare(3, 3))
    bias = _spread(rng, world.session_pct, (0.3, 2.0, 2.0)) * rng.standard_normal((sessions, 3))
    return Bench(
        bias=bias,
        clamping=np.zeros((n, sessions, 3)),
        noise=noise * world.noise_factor,
        drift=np.zeros(3),
        rotor_share=float(np.clip(rng.normal(0.65, 0.3), 0.05, 1.2)),
        kv_per_deg=float(rng.normal(0.005, 0.003)),
        current_per_deg=float(rng.normal(0.02, 0.02)),
        thermometer=bool(rng.random() < world.thermometer),
        timing_known=bool(rng.random() < world.timing_known),
        ambient=rng.normal(22, 4, sessions),
    )


def tested(day: Day, motor: np.ndarray, session: np.ndarray, number: np.ndarray, rng: np.random.Generator) -> Day:
    """The day with further runs [n]: motor, session and how many runs the motor had in that session before."""
    world, motors, bench, n = day.world, day.motors, day.bench, motor.size
    noise = rng.standard_normal((3, n)) if world.tail is None else _student(rng, world.tail, n)
    start = rng.normal(4.0, 1.0, n).clip(0)  # can over ambient, K: without load the stator warms the rotor
    air, rise = bench.ambient[session], WARMER * number + start
    rotor = air + (WARMER * np.maximum(number - bench.lag, 0) + start) * bench.rotor_share
    can = air + rise
    flux = 1 + MAGNET_PER_K * (rotor - 25.0)
    set_timing = rng.normal(0, 0.2, n)  # the mark is set anew for every run
    degrees = motors.timing[motor] + set_timing - TIMING
    hours = _hours(day, motor, session, number)
    off = bench.bias[session] + bench.clamping[motor, session] + hours[:, None] * bench.drift + bench.noise * noise.T
    kv = motors.kv[motor] / flux * np.exp(bench.kv_per_deg * degrees + off[:, 0])
    current = motors.current[motor] * np.exp(bench.current_per_deg * degrees + off[:, 1])
    cold = air + rng.normal(0, 0.5, n)
    ohms = motors.resistance[motor] * (1 + COPPER_PER_K * (cold - 20)) * np.exp(off[:, 2])
    timing = TIMING + degrees + rng.normal(0, world.timing_noise, n)
    at_20 = 1000 * ohms / (1 + COPPER_PER_K * (air - 20))
    figures = {KV: kv, CURRENT: current} | ({RESISTANCE: at_20} if world.resistance else {})
    runs = RunConditions(
        motor=motor.tolist(),
        session=session.tolist(),
        run_number=number.tolist(),
        motor_temp=can.tolist() if bench.thermometer else [None] * n,
        ambient=air.tolist(),
        timing=timing.tolist() if bench.timing_known else [None] * n,
        timing_mark=[None] * n,
        hours=hours.tolist(),
    )
    found = _with_runs(day.tested, runs, figures)
    for typed in world.typed:
        found = typed(found)
    return replace(day, tested=found)


def _hours(day: Day, motor: np.ndarray, session: np.ndarray, number: np.ndarray) -> np.ndarray:
    """When in its session each further run [n] is made: motors in turn or in blocks, after all runs made before."""
    before, hours = np.array(day.tested.runs.session, dtype=np.int64), np.zeros(motor.size)
    order = np.lexsort((number, motor) if day.world.blocks else (motor, number))
    for one in np.unique(session):
        rows = order[session[order] == one]
        hours[rows] = HOURS_A_RUN * (np.count_nonzero(before == one) + np.arange(rows.size))
    return hours


def _student(rng: np.random.Generator, freedom: float, n: int) -> np.ndarray:
    return rng.standard_t(freedom, (3, n)) * np.sqrt((freedom - 2) / freedom)


def _with_runs(before: Comparison, runs: RunConditions, figures: dict[str, np.ndarray]) -> Comparison:
    """A comparison with further runs [n] behind those it has, and what was read in each [n] by figure."""
    both = zip(vars(before.runs).values(), vars(runs).values(), strict=True)
    at = (np.array(runs.motor), np.array(runs.session))
    row = len(before.runs.motor) + np.arange(at[0].size)
    readings = {
        name: _joined(before.of(name), Readings(*at, value, np.ones(row.size), row)) for name, value in figures.items()
    }
    return replace(before, runs=RunConditions(*([*old, *new] for old, new in both)), readings=readings)


def _joined(one: Readings, other: Readings) -> Readings:
    return Readings(*(np.concatenate(both) for both in zip(vars(one).values(), vars(other).values(), strict=True)))


def _with_outlier(day: Day, rng: np.random.Generator) -> Day:
    """One run of one motor read 8 σ off, in all its figures."""
    row = int(rng.integers(len(day.tested.runs.motor)))
    off = 8 * rng.choice([-1.0, 1.0], 3) * day.bench.noise
    readings = {
        name: replace(found, value=np.where(found.run == row, found.value * np.exp(off[i]), found.value))
        for i, (name, found) in enumerate(day.tested.readings.items())
    }
    return replace(day, tested=replace(day.tested, readings=readings))
