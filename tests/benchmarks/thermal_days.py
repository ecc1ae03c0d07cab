"""A simulator of race days for temperatures, drawn from physics and not from the law that is fitted.

A motor is two bodies, winding and can. The winding takes the copper loss, which grows as it warms; the can takes the
iron loss and gives heat to air that moves with the car. A lap is a straight and an infield, each with its own current
and speed; the driver, the grip of the day and the motor change both. At rest the winding goes on warming the can. The
user reads the can with a noisy thermometer, sometimes the start too. Many worlds are drawn at once, as arrays.
"""

from dataclasses import dataclass, replace

import numpy as np

COPPER_PER_K = 0.00393
LAP_S, STRAIGHT = 14.0, 0.35
CURRENT = np.array([50.0, 22.0])  # A, straight and infield
SPEED = np.array([11.0, 5.5])  # m/s
ROLLOUT_MM, PINION_STEP = 44.0, 0.032
TIMING_DEG, CURRENT_PER_DEGREE, IRON_PER_DEGREE = 35.0, 0.008, 0.015
RUN_STEPS, REST_STEPS = 150, 200


@dataclass(frozen=True)
class World:
    """What kind of days are drawn; spreads are sd of logs. events × 6 runs; tooth: chance that the pinion was
    changed by one since the run before, last_step: by how much rollout is off the others in the last run.

    link: winding to can, W/K; can, winding: J/K; still: can to still air, W/K; moving: what air adds at 1 m/s, W/K.
    """

    events: int = 1
    motors: int = 2
    ohms: float = 0.0135
    iron_w: float = 9.0
    link: float = 1.0
    can: float = 50.0
    winding: float = 35.0
    still: float = 0.165
    moving: float = 0.09
    class_spread: float = 0.12
    driver: float = 0.025
    breeze: float = 0.03
    traffic: float = 0.0
    grip: float = 0.045
    open_air: float = 0.05
    grip_gain: float = 0.0
    motor: float = 0.02
    tooth: float = 0.5
    step: float = PINION_STEP
    last_step: float = 0.0
    track_gearing: float = 0.04
    lengths: tuple[float, ...] = (300.0,)
    rest_min: tuple[float, float] = (35.0, 70.0)
    typed_start: float = 0.5
    thermometer: float = 1.0
    delay_s: tuple[float, float] = (50.0, 75.0)
    delay_known: float = 1.0
    second_reading: float = 0.3


@dataclass(frozen=True)
class Season:
    """Runs of all worlds [worlds × runs]: what the user wrote down; finish_true, the can at one minute; to_read, what
    the thermometer says of it; planned, the air that was planned with.

    rested: s since that motor finished, NaN for its first run of a day; second: the can at second_s, NaN if nobody
    looked.
    """

    motor: np.ndarray
    event: np.ndarray
    rollout: np.ndarray
    timing: np.ndarray
    length: np.ndarray
    ambient: np.ndarray
    start_typed: np.ndarray
    rested: np.ndarray
    delay: np.ndarray
    reading: np.ndarray
    second_s: np.ndarray
    second: np.ndarray
    finish_true: np.ndarray
    to_read: np.ndarray
    planned: np.ndarray


@dataclass
class Bodies:
    """Temperatures of winding and can [worlds × motors], °C, and the heat constants of the class [worlds × 1]."""

    winding: np.ndarray
    can: np.ndarray
    link: np.ndarray
    still: np.ndarray
    heat_winding: np.ndarray
    heat_can: np.ndarray

    def flows(self, winding, can, ambient, to_air):
        """Warming of both without losses, K/s."""
        across = self.link * (winding - can)
        return -across / self.heat_winding, (across - to_air * (can - ambient)) / self.heat_can

    def rest(self, seconds, ambient):
        """All motors rest [worlds × 1], s."""
        dt = seconds / REST_STEPS
        for _ in range(REST_STEPS):
            w1, c1 = self.flows(self.winding, self.can, ambient, self.still)
            w2, c2 = self.flows(self.winding + dt / 2 * w1, self.can + dt / 2 * c1, ambient, self.still)
            self.winding, self.can = self.winding + dt * w2, self.can + dt * c2


def run_on_track(bodies, winding, can, seconds, ambient, current, iron, ohms, to_air):
    """Winding and can [worlds × 1] after a run of whole laps; current, iron, to_air: of straight and infield,
    [worlds × 2]. Losses and air are averaged over each step, so that no step falls between straights."""
    dt, laps = seconds / RUN_STEPS, np.round(seconds / LAP_S)
    for step in range(RUN_STEPS):
        straight = (_on_straights(laps * (step + 1) / RUN_STEPS) - _on_straights(laps * step / RUN_STEPS)) * (
            RUN_STEPS / laps
        )
        part = np.hstack([straight, 1 - straight])
        square, lost, air = ((each * part).sum(axis=1, keepdims=True) for each in (current**2, iron, to_air))

        def warming(w, c, square=square, lost=lost, air=air):
            from_w, from_c = bodies.flows(w, c, ambient, air)
            copper = square * ohms * (1 + COPPER_PER_K * (w - 20))
            return from_w + (copper + lost / 2) / bodies.heat_winding, from_c + lost / 2 / bodies.heat_can

        w1, c1 = warming(winding, can)
        w2, c2 = warming(winding + dt / 2 * w1, can + dt / 2 * c1)
        winding, can = winding + dt * w2, can + dt * c2
    return winding, can


def _on_straights(laps):
    """Laps' worth of straight in so many laps."""
    return np.floor(laps) * STRAIGHT + np.minimum(laps % 1, STRAIGHT)


@dataclass
class Losses:
    """What every world's motors burn and lose: level of current and of air [worlds × 1], own of each motor."""

    level: np.ndarray
    moving: np.ndarray
    ohms: np.ndarray
    kt: np.ndarray
    iron: np.ndarray


@dataclass
class Dice:
    """Random numbers of one season; `spread` gives lognormal factors around 1."""

    rng: np.random.Generator
    worlds: int

    def spread(self, sd, columns=1):
        return np.exp(sd * self.rng.standard_normal((self.worlds, columns)))

    def chance(self, share):
        return self.rng.random((self.worlds, 1)) < share

    def choice(self, values):
        return self.rng.choice(values, (self.worlds, 1))

    def between(self, low, high):
        return self.rng.uniform(low, high, (self.worlds, 1))

    def noise(self, sd):
        return sd * self.rng.standard_normal((self.worlds, 1))


def draw(world: World, worlds: int, seed: int, days: list[Losses] | None = None) -> Season:
    """So many seasons (or days) of one kind; days: takes what every event made of the losses."""
    dice = Dice(np.random.default_rng(seed), worlds)
    constants, losses = _class(world, dice)
    usual = ROLLOUT_MM * dice.spread(0.05)
    rows = []
    for event in range(world.events):
        day = [] if days is None else days
        rows += _one_day(world, dice, constants, losses, usual * dice.spread(world.track_gearing), event, day)
    return Season(*(np.hstack(column) for column in zip(*rows, strict=True)))


def mean_finishes(world: World, worlds: int, seed: int, day: Losses, rollout, length, air, timing) -> np.ndarray:
    """The can of every motor that `draw` has for this seed one minute after such a run on that day, without luck
    [worlds × motors], °C; rollout in mm, length in s, air in °C [worlds × 1], timing in degrees off the usual
    [worlds × motors]. The motor starts as cold as the air."""
    constants, _ = _class(world, Dice(np.random.default_rng(seed), worlds))
    ratio, found = rollout / ROLLOUT_MM, []
    fast = SPEED * ratio**0.3
    for motor in range(world.motors):
        ohms, kt, iron = (each[:, [motor]] for each in (day.ohms, day.kt, day.iron))
        bodies = Bodies(air, air, *constants)
        set_to = timing[:, [motor]]
        current = CURRENT * day.level * ratio**1.1 * np.exp(CURRENT_PER_DEGREE * set_to) / kt
        lost = iron * np.exp(IRON_PER_DEGREE * set_to) * (fast / SPEED.mean() / ratio) ** 1.6
        to_air = bodies.still + day.moving * fast**0.6
        bodies.winding, bodies.can = run_on_track(bodies, air, air, length, air, current, lost, ohms, to_air)
        bodies.rest(np.full_like(length, 60.0), air)
        found.append(bodies.can)
    return np.hstack(found)


def _class(world: World, dice: Dice) -> tuple[list[np.ndarray], Losses]:
    """The heat constants of every world's class, and what its motors lose."""
    constants = [
        value * dice.spread(world.class_spread) for value in (world.link, world.still, world.winding, world.can)
    ]
    losses = Losses(
        level=dice.spread(world.class_spread / 2),
        moving=world.moving * dice.spread(world.class_spread),
        ohms=world.ohms * dice.spread(0.15) * dice.spread(world.motor * 1.5, world.motors),
        kt=dice.spread(world.motor, world.motors),
        iron=world.iron_w * dice.spread(4 * world.motor, world.motors),
    )
    return constants, losses


def _one_day(world, dice, constants, losses, geared, event, days):
    """Six runs of every world: their columns of Season, each [worlds × 1]."""
    air = dice.between(14, 30)
    cold = np.repeat(air, world.motors, axis=1)
    bodies = Bodies(cold, cold.copy(), *constants)
    day = replace(
        losses, level=losses.level * dice.spread(world.grip), moving=losses.moving * dice.spread(world.open_air)
    )
    days.append(day)
    rested, teeth = np.full(cold.shape, np.nan), np.zeros((dice.worlds, 1), dtype=int)
    rows = []
    for number in range(6):
        changed = dice.chance(world.tooth if number else 0.0)
        teeth = np.clip(teeth + changed * dice.choice([-1, 1]), -2, 2)
        off = world.last_step * dice.choice([-1, 1]) if number == 5 and world.last_step else world.step * teeth
        motor = np.where(dice.chance(0.6), 0, dice.choice(np.arange(world.motors)))
        timing = np.where(dice.chance(0.25), dice.choice([-2.0, 2.0]), 0.0)
        length = dice.choice(world.lengths) + dice.between(0, 12)
        before = np.take_along_axis(rested, motor, 1)
        start = _run(world, dice, bodies, day, number, motor, geared * (1 + off), timing, length, air)
        rested = rested + length
        np.put_along_axis(rested, motor, 0.0, 1)
        gap = 60 * dice.between(*world.rest_min)
        read = _readings(world, dice, bodies, motor, air, gap)
        rested = rested + gap
        typed = np.where(dice.chance(world.typed_start), start + dice.noise(world.thermometer), np.nan)
        wrote_air = air + dice.noise(0.5)
        what = motor, np.full_like(motor, event), geared * (1 + off), timing + TIMING_DEG, length
        to_read, planned = read[-1] + dice.noise(world.thermometer), air + dice.noise(1.0)
        rows.append((*what, wrote_air, typed, before, *read, to_read, planned))
        air = air + (1.0 if number < 3 else -0.5) + dice.noise(0.8)
    return rows


def _run(world, dice, bodies, day, number, motor, rollout, timing, length, air):
    """One run of one motor, the others at rest; the can at the start. Full throttle out of corners: mean square current
    goes with rollout to the 2.2."""
    ratio = rollout / ROLLOUT_MM
    effort = (1 + world.grip_gain * number) * dice.spread(world.driver)
    effort = effort * np.where(dice.chance(world.traffic), 0.88, 1.0)
    own = {name: np.take_along_axis(getattr(day, name), motor, 1) for name in ("ohms", "kt", "iron")}
    fast = SPEED * ratio**0.3
    current = CURRENT * day.level * effort * ratio**1.1 * np.exp(CURRENT_PER_DEGREE * timing) / own["kt"]
    iron = own["iron"] * np.exp(IRON_PER_DEGREE * timing) * (fast / SPEED.mean() / ratio) ** 1.6
    to_air = bodies.still + day.moving * dice.spread(world.breeze) * fast**0.6
    winding, can = (np.take_along_axis(each, motor, 1) for each in (bodies.winding, bodies.can))
    bodies.rest(length, air)
    after = run_on_track(bodies, winding, can, length, air, current, iron, own["ohms"], to_air)
    for all_motors, one in zip((bodies.winding, bodies.can), after, strict=True):
        np.put_along_axis(all_motors, motor, one, 1)
    return can


def _readings(world, dice, bodies, motor, air, gap):
    """The rest after a run with what the thermometer said: delay, reading, second_s, second, and the true finish.
    Who does not write the delay down took about a minute."""
    known, looked = dice.chance(world.delay_known), dice.chance(world.second_reading)
    untold = np.clip(65 + dice.noise(30), 15, 200)
    delay, second = np.where(known, dice.between(*world.delay_s), untold), dice.between(240, 420)
    stops = np.sort(np.hstack([np.full_like(delay, 60.0), delay, second]), axis=1)
    past, cans = np.zeros_like(delay), []
    for stop in np.split(stops, 3, axis=1):
        bodies.rest(stop - past, air)
        cans.append(np.take_along_axis(bodies.can, motor, 1))
        past = stop
    bodies.rest(gap - past, air)

    def can_then(when):
        return np.take_along_axis(np.hstack(cans), np.argmax(stops == when, axis=1)[:, None], 1)

    return (
        np.where(known, np.round(delay / 5) * 5, np.nan),
        can_then(delay) + dice.noise(world.thermometer),
        np.where(looked, np.round(second / 10) * 10, np.nan),
        np.where(looked, can_then(second) + dice.noise(world.thermometer), np.nan),
        can_then(np.full_like(delay, 60.0)),
    )


DAY = World()
YEAR = World(events=8, motors=3)
VARIANTS = {
    "as drawn": {},
    "more airflow": {"moving": 0.15, "ohms": 0.018},
    "poor link to the can": {"link": 0.6},
    "heavy can": {"can": 85.0, "winding": 45.0},
    "light can": {"can": 32.0, "winding": 25.0},
    "iron heavy": {"ohms": 0.008, "iron_w": 16.0},
    "steady driver": {"driver": 0.015, "breeze": 0.018},
    "wild driver": {"driver": 0.0425, "breeze": 0.051},
    "traffic now and then": {"traffic": 0.12},
    "grip comes up": {"grip_gain": 0.012},
    "poor thermometer": {"thermometer": 2.5},
    "any delay, half unknown": {"delay_s": (25.0, 200.0), "delay_known": 0.5},
    "short rests": {"rest_min": (10.0, 18.0)},
    "lengths from 4 to 8 min": {"lengths": (240.0, 300.0, 360.0, 480.0)},
    "fan": {"still": 0.30, "moving": 0.10, "ohms": 0.016},
}


def variant(world: World, name: str) -> World:
    """A kind of day with other physics."""
    return replace(world, **VARIANTS[name])
