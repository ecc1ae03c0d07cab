"""Simulated logs of a speed control: a car driven round a track, and what a logger makes of it.

Drawn from mechanics (mass, drag, grip, a pack that sags, a control that ramps) and from how loggers err; knows nothing
of the fit. All logs of one call are driven side by side.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from pitbench.figures.arrays import Floats
from pitbench.figures.load_log import Samples

STEP_S = 0.01
GRAVITY = 9.81


@dataclass(frozen=True)
class Logger:
    """How a log is written: seconds between rows and their jitter (share), what is bad, and what errs.

    bad: share of rows with one number that is rubbish; noise_a, noise_share: of current; late: rows speed lags;
    offset_a: read at rest; full: highest throttle the driver uses; motor_current: else the battery's; duty: whether it
    is written; still_s: stood at first; fine: not rounded.
    """

    interval_s: float = 0.1
    jitter: float = 0.1
    bad: float = 0.05
    noise_a: float = 0.4
    noise_share: float = 0.015
    late: float = 0.0
    offset_a: float = 0.0
    seconds: float = 240.0
    full: float = 1.0
    motor_current: bool = False
    duty: bool = False
    still_s: float = 5.0
    fine: bool = False


KINDS = {
    "10 rows a second, 5 % bad": Logger(),
    "speed one row late": Logger(late=1.0),
    "speed half a row late": Logger(late=0.5),
    "1.5 A read at rest": Logger(offset_a=1.5),
    "noisy current": Logger(noise_a=1.5, noise_share=0.04),
    "25 rows a second, jitter": Logger(interval_s=0.04, jitter=0.4),
    "4 rows a second, 8 min": Logger(interval_s=0.25, seconds=480.0),
    "never full throttle, duty and motor current": Logger(full=0.7, motor_current=True, duty=True),
    "the same, speed one row late": Logger(full=0.7, motor_current=True, duty=True, late=1.0),
    "clean, fine": Logger(bad=0.0, noise_a=0.1, noise_share=0.002, fine=True),
}


SMOOTH = {"smooth pulls, 20 rows a second": 0.0, "smooth pulls, one row late": 1.0}
"""Logs whose channels look much the same a row later, by the rows speed is late."""


@dataclass(frozen=True)
class Driven:
    """One log with its truth: kv in rpm/V, resistance in ohm."""

    samples: Samples
    kv: float
    resistance: float
    no_load_current: float


def draw(logger: Logger, count: int, seed: int) -> list[Driven]:
    """So many logs of one kind of logger, each of another motor and car."""
    rng = np.random.default_rng(seed)
    kv, ohm = rng.uniform(2000, 6000, count), rng.uniform(0.012, 0.06, count)
    idle = rng.uniform(1.0, 4.0, count)
    true = _drive(kv, ohm, idle, logger, rng)
    return [
        Driven(_written({name: each[:, one] for name, each in true.items()}, logger, rng), *truth)
        for one, truth in enumerate(zip(kv.tolist(), ohm.tolist(), idle.tolist(), strict=True))
    ]


def smooth(late: float, count: int, seed: int) -> list[Driven]:
    """So many logs of pulls of two seconds in which current only settles, each time from another height."""
    rng = np.random.default_rng(seed)
    pulls, each = 20, 40
    at = np.arange(pulls * 2 * each)
    full, since = at % (2 * each) >= each, at % (2 * each) - each
    throttle = np.where(full, 1.0, 0.3 + 0.1 * np.sin(at / 7))
    unknown = np.full(at.size, np.nan)
    found = []
    for _ in range(count):
        kv, ohm = float(rng.uniform(2000, 6000)), float(rng.uniform(0.012, 0.06))
        height = np.repeat(rng.uniform(14, 26, pulls), 2 * each)
        current = np.where(full, 18 + height * np.exp(-since / rng.uniform(8, 16)), 6.0)
        voltage = 7.9 - 0.02 * current - at / at.size * 0.3
        rpm = np.interp(at - late, at, kv * (voltage * throttle - current * ohm))
        noise = rng.standard_normal((3, at.size)) * [[0.005], [0.05], [0.01 * kv]]
        channels = voltage + noise[0], current + noise[1], rpm + noise[2]
        read = (channels[0], channels[1], False, channels[2], throttle, unknown, unknown, unknown)
        found.append(Driven(Samples(0.05 * at, *read), kv, ohm, 0.0))
    return found


def _drive(kv: Floats, ohm: Floats, idle: Floats, logger: Logger, rng: np.random.Generator) -> dict[str, Floats]:
    """What truly was, [steps × logs] every STEP_S."""
    count, steps = kv.size, int(logger.seconds / STEP_S)
    rollout = rng.uniform(0.9, 1.1, count) * 160 / kv
    mass, grip = rng.uniform(1.2, 1.7, count), rng.uniform(0.6, 1.0, count)
    inner, charged = rng.uniform(0.006, 0.02, count), rng.uniform(8.0, 8.4, count)
    force_per_a = 60 / (2 * np.pi * kv) * 2 * np.pi / rollout
    asked, scrub, slope = _driver(steps, count, logger, rng)
    speed, duty, used_ah = np.zeros(count), np.zeros(count), np.zeros(count)
    kept = {
        name: np.zeros((steps, count)) for name in ("voltage", "current", "motor_current", "rpm", "throttle", "duty")
    }
    for step in range(steps):
        duty += np.clip(np.maximum(asked[step], 0) - duty, -0.2, 0.1)
        open_v = charged - 0.9 * used_ah / 3
        rpm = 60 * speed / rollout
        total = ohm + duty**2 * inner
        flow = np.maximum((duty * open_v - rpm / kv) / total, 0)
        limit = grip * mass * GRAVITY * 0.7 / force_per_a + idle
        spins = flow > limit
        flow = np.where(spins, limit, flow)
        voltage = open_v - duty * flow * inner
        rpm = np.where(spins, kv * (duty * voltage - flow * ohm), rpm)
        push = np.where(flow > idle, flow - idle, 0) * force_per_a
        brake = np.where(asked[step] < 0, -asked[step] * 0.8 * grip * mass * GRAVITY, 0)
        drag = 0.004 * speed**2 + 0.15 * mass + scrub[step] * mass * GRAVITY
        pull = push - np.where(speed > 0.05, brake + drag, 0) - np.where(speed > 0.05, slope[step] * mass * GRAVITY, 0)
        speed = np.maximum(speed + STEP_S * pull / mass, 0)
        used_ah += duty * flow * STEP_S / 3600
        for name, value in (
            ("voltage", voltage),
            ("current", duty * flow),
            ("motor_current", flow),
            ("rpm", rpm),
            ("duty", duty),
        ):
            kept[name][step] = value
        kept["throttle"][step] = asked[step]
    return kept


def _driver(steps: int, count: int, logger: Logger, rng: np.random.Generator) -> tuple[Floats, Floats, Floats]:
    """Throttle asked for (negative brakes), scrub of corners and slope of the ground, [steps × logs]."""
    asked, scrub, slope = (np.zeros((steps, count)) for _ in range(3))
    for one in range(count):
        at = int(logger.still_s / STEP_S)
        while at < steps:
            for seconds, throttle, corner in (
                (rng.uniform(0.6, 3.0), logger.full, rng.choice([0.0, rng.uniform(0, 0.15)])),
                (rng.uniform(0.1, 0.5), rng.choice([0.0, -rng.uniform(0.2, 0.8)]), 0.0),
                (rng.uniform(0.4, 1.5), rng.uniform(0.2, 0.7) * logger.full, rng.uniform(0.05, 0.3)),
                (rng.uniform(0.1, 0.6), rng.uniform(0.5, 0.9) * logger.full, rng.uniform(0.0, 0.2)),
            ):
                end = at + max(int(seconds / STEP_S), 1)
                asked[at:end, one], scrub[at:end, one] = throttle, corner
                slope[at:end, one] = rng.normal(0, 0.02)
                at = end
    return asked, scrub, slope


def _written(true: dict[str, Floats], logger: Logger, rng: np.random.Generator) -> Samples:
    """What stands in the log of one car."""
    spacing = logger.interval_s * (
        1 + logger.jitter * rng.uniform(-1, 1, int(logger.seconds / logger.interval_s * 1.5))
    )
    time = np.cumsum(spacing)
    time = time[time < logger.seconds - 0.1]
    at = np.arange(len(true["rpm"])) * STEP_S
    late = np.interp(np.arange(time.size) - logger.late, np.arange(time.size), time)

    def read(name: str, when: Floats = time) -> Floats:
        return np.interp(when, at, true[name])

    current = read("motor_current" if logger.motor_current else "current")
    spread = np.hypot(logger.noise_a, logger.noise_share * current)
    current = current + logger.offset_a + spread * rng.standard_normal(time.size)
    rpm = read("rpm", late) * (1 + 0.003 * rng.standard_normal(time.size))
    voltage = read("voltage") + 0.02 * rng.standard_normal(time.size)
    duty = read("duty") if logger.duty else np.full(time.size, np.nan)
    columns = {"voltage": voltage, "current": current, "rpm": rpm}
    if not logger.fine:
        columns = {"voltage": voltage.round(1), "current": current.round(1), "rpm": 50 * (rpm / 50).round()}
    _spoil(columns, logger.bad, rng)
    unknown = np.full(time.size, np.nan)
    return Samples(
        time,
        columns["voltage"],
        columns["current"],
        logger.motor_current,
        columns["rpm"],
        np.maximum(read("throttle"), 0).round(2),
        duty.round(3),
        unknown,
        unknown,
    )


def _spoil(columns: dict[str, Floats], share: float, rng: np.random.Generator) -> None:
    """One number of so many rows becomes 0, twice itself, a number of another time, or all bits set."""
    for row in np.flatnonzero(rng.random(columns["rpm"].size) < share):
        column: Any = columns[str(rng.choice(list(columns)))]
        column[row] = rng.choice([0.0, 2 * column[row], rng.choice(column), 6553.5])
