"""Race days for temperatures by another physics than `thermal_days`, with which no prior was found.

Here too a winding heats a can, but the current falls as the pack empties, still air takes more from a hotter can, a
turning rotor stirs the air between the two, heat goes with a power of rollout that differs from class to class, and
grip comes or goes over a day. Every world draws its own masses and airs. `WORLDS` stand in two halves: settings are
chosen on one and reported on the other. `ROWS` are days on which something is not as written down.
"""

from dataclasses import dataclass, replace

import numpy as np

from tests.benchmarks.thermal_days import COPPER_PER_K, Dice, Season

STEP_S, USUAL_RISE_K = 2.5, 45.0
RUNS_A_DAY = 6
BANK = np.linspace(0.6, 1.6, 21)
"""Rollouts of the last run, as shares of the usual one, at which its reading is also worked out."""


@dataclass(frozen=True)
class Unseen:
    """Ranges that every world draws from: winding, can J/K; link, still, moving W/K (moving: at usual speed); air: the
    power of speed; emptying: heat lost a second as the pack empties, in shares of the first heat; trend: heat gained a
    run as grip comes; exponent: heat by rollout. Spreads are sd of log heat.
    """

    winding: tuple[float, float] = (18.0, 45.0)
    can: tuple[float, float] = (35.0, 80.0)
    link: tuple[float, float] = (0.6, 1.5)
    still: tuple[float, float] = (0.10, 0.25)
    moving: tuple[float, float] = (0.15, 0.50)
    air: tuple[float, float] = (0.5, 0.9)
    exponent: tuple[float, float] = (1.3, 2.2)
    emptying: tuple[float, float] = (0.0003, 0.0007)
    trend: tuple[float, float] = (-0.01, 0.015)
    iron: tuple[float, float] = (0.1, 0.4)
    driver: float = 0.045
    breeze: float = 0.05
    traffic: float = 0.03
    motor: float = 0.035
    day: float = 0.08
    events: int = 2
    lengths: tuple[float, ...] = (300.0,)
    last_length: float | None = None
    typed_start: float = 0.5
    start_off_k: float = 0.0
    delay_s: tuple[float, float] = (50.0, 80.0)
    delay_known: float = 0.9
    usual_untold: bool = True
    changes_at: int | None = None
    current: float = 1.0
    moving_after: float = 1.0


@dataclass
class Physics:
    """What every world is made of, each [worlds × 1]."""

    winding: np.ndarray
    can: np.ndarray
    link: np.ndarray
    still: np.ndarray
    moving: np.ndarray
    air: np.ndarray
    exponent: np.ndarray
    emptying: np.ndarray
    trend: np.ndarray
    iron: np.ndarray
    watts: np.ndarray


def _warm(made: Physics, state, seconds, air_c, effort, speed):
    """Winding and can [worlds × n] after so many seconds [worlds × 1 or n]; effort 0: at rest. Midpoint steps."""
    running = bool(np.any(effort))
    steps = int(np.ceil(np.max(seconds) / (STEP_S if running else 4 * STEP_S)))
    if not steps:
        return state
    dt = seconds / steps
    link = made.link * (1.4 if running else 1.0)

    def slope(winding, can, past):
        over = can - air_c
        taken = made.still * (np.abs(over) / 40 + 0.02) ** 0.25 + made.moving * speed**made.air * running
        heat = made.watts * effort * (1 - made.emptying * past)
        copper = heat * (1 - made.iron) * (1 + COPPER_PER_K * (winding - 60))
        across = link * (winding - can)
        return (copper - across) / made.winding, (across + heat * made.iron - taken * over) / made.can

    winding, can = state
    for step in range(steps):
        w, c = slope(winding, can, dt * step)
        w, c = slope(winding + dt / 2 * w, can + dt / 2 * c, dt * (step + 0.5))
        winding, can = winding + dt * w, can + dt * c
    return winding, can


def _made(world: Unseen, dice: Dice) -> Physics:
    """Draw the worlds; watts such that five usual minutes warm the can by about 45 K, differing by a third."""
    names = ("winding", "can", "link", "still", "moving", "air", "exponent", "emptying", "trend", "iron")
    made = Physics(*(dice.between(*getattr(world, name)) for name in names), watts=np.full((dice.worlds, 1), 40.0))
    cold = np.full((dice.worlds, 1), 22.0)
    after = _warm(made, (cold, cold), 300.0, 22.0, 1.0, 1.0)
    rise = _warm(made, after, 60.0, 22.0, 0.0, 0.0)[1] - 22.0
    return replace(made, watts=made.watts * USUAL_RISE_K / rise * dice.spread(0.25))


LOGGED_AT = np.linspace(0, 1, 13)
"""Parts of a run at which its log tells the motor temperature."""


def draw(
    world: Unseen, worlds: int, seed: int, logs: list[np.ndarray] | None = None
) -> tuple[Season, np.ndarray, np.ndarray]:
    """So many seasons of one kind, the readings of their last runs at the rollouts of BANK [worlds × bank], and the
    usual rollouts [worlds × 1]. logs: takes what a probe in the motor read over every run [worlds × LOGGED_AT]."""
    dice = Dice(np.random.default_rng(seed), worlds)
    made, own = _made(world, dice), dice.spread(world.motor, 2)
    usual, rows, read = 44.0 * dice.spread(0.05), [], list[np.ndarray]()
    for event in range(world.events):
        day, air_c = dice.spread(world.day), dice.between(12, 32)
        state = tuple(np.repeat(air_c, 2, axis=1) for _ in range(2))
        rested, geared, teeth = np.full((worlds, 2), np.nan), usual * dice.spread(0.04), np.zeros((worlds, 1))
        for number in range(RUNS_A_DAY):
            nth = event * RUNS_A_DAY + number
            last = nth == world.events * RUNS_A_DAY - 1
            teeth = np.clip(teeth + dice.chance(0.4) * dice.choice([-1, 1]), -2, 2)
            motor = np.where(dice.chance(0.6), 0, dice.choice([0, 1]))
            changed = world.changes_at is not None and nth >= world.changes_at
            if changed:
                motor = np.zeros_like(motor)
            length = dice.choice(world.lengths) + dice.between(0, 12)
            if last and world.last_length is not None:
                length = length - length + world.last_length
            effort = day * np.take_along_axis(own, motor, 1) * dice.spread(world.driver) * (1 + made.trend * number)
            effort = effort * np.where(dice.chance(world.traffic), 0.8, 1.0) * (world.current**2 if changed else 1.0)
            blown = dice.spread(world.breeze) * (world.moving_after if changed else 1.0)
            rollout = geared * (1 + 0.035 * teeth)
            before, gap = np.take_along_axis(rested, motor, 1), 60 * dice.between(30, 70)
            start = np.take_along_axis(state[1], motor, 1)
            here = tuple(np.take_along_axis(each, motor, 1) for each in state)
            moved = replace(made, moving=made.moving * blown)
            if logs is not None:
                logs.append(_probed(moved, here, length, air_c, effort, rollout / usual, seed + nth))
            ended = _run(moved, here, length, air_c, effort, rollout / usual)
            written = _written(world, made, dice, ended, (start, before, air_c), last)
            if last:
                every = [_run(moved, here, length, air_c, effort, share) for share in BANK]
                off = written[-2] - written[-3]  # of the thermometer
                read = [_warm(made, each, 60.0, air_c, 0.0, 0.0)[1] + off for each in every]
            rows.append((motor, np.full_like(motor, event), rollout, np.full_like(length, 35.0), length, *written))
            state, rested = _rested(made, (state, rested), (ended, motor, length), gap, air_c)
            air_c = air_c + 0.4 + dice.noise(0.8)
    return Season(*(np.hstack(column) for column in zip(*rows, strict=True))), np.hstack(read), usual


def _written(world: Unseen, made: Physics, dice: Dice, ended, began, last: bool):
    """What comes of a run that ended so, from ambient on as in `Season`; began: start, time rested, air."""
    start, before, air_c = began
    untold, told = dice.between(40, 90), dice.between(*world.delay_s)
    known = dice.chance(world.delay_known)
    delay = np.where(known | (not world.usual_untold), told, untold)
    second, looked = dice.between(240, 420), dice.chance(0.3 if world.usual_untold else 0.0)
    noise = [dice.noise(1.0) for _ in range(3)]
    at = [_warm(made, ended, when, air_c, 0.0, 0.0)[1] for when in (delay, second, 60.0 + 0 * delay)]
    typed = np.where(dice.chance(world.typed_start), start + dice.noise(1.0), np.nan)
    if last and world.start_off_k:
        typed = start + world.start_off_k
    ambient, planned = air_c + dice.noise(0.5), air_c + dice.noise(1.0)
    said = np.where(known, np.round(delay / 5) * 5, np.nan), at[0] + noise[0]
    again = np.where(looked, np.round(second / 10) * 10, np.nan), np.where(looked, at[1] + noise[1], np.nan)
    return ambient, typed, before, *said, *again, at[2], at[2] + noise[2], planned


def _rested(made: Physics, before, ran, gap, air_c):
    """Winding and can of all motors, and how long each has rested, after a run of one of them and a gap."""
    (state, rested), (ended, motor, length) = before, ran
    rest = _warm(made, state, length, air_c, 0.0, 0.0)
    for all_motors, one in zip(rest, ended, strict=True):
        np.put_along_axis(all_motors, motor, one, 1)
    rested = rested + length
    np.put_along_axis(rested, motor, 0.0, 1)
    return _warm(made, rest, gap, air_c, 0.0, 0.0), rested + gap


def _run(made, state, length, air_c, effort, ratio):
    return _warm(made, state, length, air_c, effort * ratio**made.exponent, ratio**0.3)


def _probed(made, state, length, air_c, effort, ratio, seed):
    """A probe between can and winding, a different place in every world, slow, told in whole degrees."""
    place = np.random.default_rng(seed // 1000)
    own, slow_s = (place.uniform(*ends, (length.size, 1)) for ends in ((0.0, 0.6), (5.0, 30.0)))
    found, read = [], own * state[0] + (1 - own) * state[1]
    for part, before in zip(LOGGED_AT, (0.0, *LOGGED_AT), strict=False):
        winding, can = _run(made, state, length * part, air_c, effort, ratio) if part else state
        read = read + (own * winding + (1 - own) * can - read) * (1 - np.exp(-(part - before) * length / slow_s))
        found.append(read)
    noise = np.random.default_rng([seed, 7]).normal(0, 0.3, (length.size, LOGGED_AT.size))
    return np.round(np.hstack(found) + noise)


USUAL = Unseen()
WORLDS = {
    "chosen": {
        "usual": USUAL,
        "light": replace(USUAL, can=(22.0, 35.0), winding=(12.0, 22.0)),
        "closed car": replace(USUAL, moving=(0.05, 0.15), still=(0.06, 0.12)),
        "windy, wild driver": replace(USUAL, breeze=0.09, driver=0.065),
        "a season": replace(USUAL, events=5),
    },
    "reported": {
        "heavy": replace(USUAL, can=(80.0, 120.0), winding=(40.0, 60.0)),
        "strong fan": replace(USUAL, moving=(0.5, 0.9), still=(0.2, 0.35)),
        "grip comes and goes": replace(USUAL, trend=(-0.03, 0.04), day=0.12),
        "tired packs": replace(USUAL, emptying=(0.0008, 0.0014)),
        "steady": replace(USUAL, breeze=0.02, driver=0.02, traffic=0.0),
        "poor link, long season": replace(USUAL, link=(0.35, 0.6), events=5),
    },
}
"""Kinds of worlds: settings are chosen on one half and reported on the other."""
BROAD = replace(USUAL, can=(22.0, 100.0), winding=(12.0, 50.0), moving=(0.15, 0.9))
ROWS = {
    "as written down": BROAD,
    "read at 150 to 240 s, never said": replace(BROAD, delay_s=(150.0, 240.0), delay_known=0.0, usual_untold=False),
    "read at 150 to 240 s, said for one in four": replace(
        BROAD, delay_s=(150.0, 240.0), delay_known=0.25, usual_untold=False
    ),
    "read at 10 to 25 s, said": replace(BROAD, delay_s=(10.0, 25.0), delay_known=1.0),
    "read at 10 to 25 s, said for one in four": replace(
        BROAD, delay_s=(10.0, 25.0), delay_known=0.25, usual_untold=False
    ),
    "main of 8 min after runs of 5": replace(BROAD, last_length=480.0),
    "main of 10 min after runs of 5": replace(BROAD, last_length=600.0),
    "lengths from 4 to 8 min": replace(BROAD, lengths=(240.0, 300.0, 360.0, 480.0)),
    "last start typed 15 K too warm": replace(BROAD, start_off_k=15.0),
    "10 % more current from the tenth run on": replace(BROAD, changes_at=9, current=1.1),
    "fan fails before the tenth run": replace(BROAD, moving=(0.4, 0.9), changes_at=9, moving_after=0.5),
    "nothing changes, one motor": replace(BROAD, changes_at=9),
}
"""Days on which something is not as written down, over 2 events of 6 runs."""
