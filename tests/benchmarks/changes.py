"""Whether what is said of a change comes true: simulated work on a motor, and changes of a car, of known size.

Bench: motors and testers of `bench_days`; one motor becomes another one in place, as if worked on, between its runs.
Track: race days of `track_days`; from some run on the laps of a day, or of one motor, are longer or shorter by a step.
`python -m tests.benchmarks.changes` prints one row a kind: how often 90 % intervals held the truth, how far the stated
chances that it helped lie from what came true, and what was said for sure (about 4 minutes of one core).
"""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from pitbench.figures.brought import brought
from pitbench.figures.comparison import draw
from pitbench.figures.criteria import CURRENT, KV
from pitbench.figures.track_steps import Step, pace_steps
from tests.benchmarks import track_days
from tests.benchmarks.bench_days import Bench, Day, Motors, World, _power, draw_day, tested
from tests.benchmarks.scores import calibration_error, share

REPORTED, CHOSEN = 3_000_000, 0
SURE = 0.9
"""Chance from which a change is said to have helped, or to have made it worse."""
CLAMPED = (0.25, 1.25, 1.75)
"""Percent by which clampings lie apart, of KV, current and resistance."""


@dataclass(frozen=True)
class Work:
    """Work on one of `motors` motors after `runs` runs of each, then as many runs again. kv, current, winding: sd of
    what it does, percent; current_by: on top of it. evening: the same for all, the next for all, or the next for that
    motor alone. touched: whether the winding may be another one."""

    motors: int = 4
    runs: int = 3
    kv: float = 0.3
    current: float = 5.0
    winding: float = 0.5
    current_by: float = 0.0
    evening: Literal["same", "next"] = "same"
    noise_factor: float = 1.0
    touched: bool = True


@dataclass(frozen=True)
class Driven:
    """A change of a car, or of a motor, on race days: sd of the step, percent of a lap."""

    of: Literal["car", "motor"] = "car"
    step: float = 0.5
    days: tuple[int, ...] = (2,)


@dataclass(frozen=True)
class Told:
    """One change: whether its intervals held, the stated chance that it helped, and whether it did."""

    held: Sequence[bool]
    chance: float
    helped: bool


@dataclass(frozen=True)
class Row:
    """Shares and errors over many changes; sure: how often something was said for sure, and how often that was so."""

    held: float
    held_error: float
    calibration: float
    sure: float
    right: float
    count: int


def worked_on(kind: Work, seed: int) -> Told:
    """One motor before and after work, on a simulated bench."""

    def after_work(motors: Motors, bench: Bench, rng: np.random.Generator) -> tuple[Motors, Bench]:
        moved = 0.01 * np.array([kind.kv, kind.current, kind.winding]) * rng.standard_normal(3)
        moved[1] += 0.01 * kind.current_by
        fields = {}
        for at, name in enumerate(("kv", "current", "resistance")):
            values = getattr(motors, name).copy()
            values[-1] = values[0] * np.exp(moved[at])
            fields[name] = values
        timing = motors.timing.copy()
        timing[-1] = timing[0]
        off = 0.01 * np.array(CLAMPED) * rng.standard_normal(bench.clamping.shape)
        return replace(motors, timing=timing, **fields), replace(bench, clamping=off)

    sessions = 1 if kind.evening == "same" else 2
    world = World((kind.motors + 1,), 0, (sessions,), noise_factor=kind.noise_factor, hidden=(after_work,))
    day, rng = draw_day(world, seed), np.random.default_rng([seed, 1])
    first, number = np.arange(kind.motors), np.repeat(np.arange(kind.runs), kind.motors)
    day = tested(day, np.tile(first, kind.runs), np.zeros_like(number), number, rng)
    again = np.where(first == 0, kind.motors, first)
    later = number + np.where(np.tile(first, kind.runs) == 0, 0, kind.runs) if sessions == 1 else number
    day = tested(day, np.tile(again, kind.runs), np.full_like(number, sessions - 1), later, rng)
    return _judged(day, kind.motors, same_winding=not kind.touched)


def _judged(day: Day, last: int, same_winding: bool) -> Told:
    """The last motor of the simulation is the first one after the work."""
    asked = day.tested
    motor = np.array(asked.runs.motor)
    readings = {}
    for name, found in asked.readings.items():
        own, session, run = (each.astype(np.int64) for each in (found.motor, found.session, found.run))
        state = (own == last).astype(np.int64)
        readings[name] = replace(found, motor=np.where(state, 0, own), session=session, run=run, state=state)
    runs = replace(asked.runs, motor=np.where(motor == last, 0, motor).tolist())
    states = [1, *[0] * (last - 1)]
    asked = replace(asked, n_motors=last, runs=runs, readings=readings, states=states, every_state=True)
    found, true, watts = (
        brought(draw(asked), 0, 1, same_winding=same_winding),
        day.compared(),
        _power(day.compared(), day),
    )
    power = 100 * float(np.log(watts[last] / watts[0]))
    assert found.power_pct is not None and found.chance_helped is not None
    pairs = [
        (found.power_pct, power),
        (found.figures[CURRENT], true.current[last] - true.current[0]),
        (found.figures[KV], true.kv[last] - true.kv[0]),
    ]
    held = [bool(told is not None and told.low90 <= truth <= told.high90) for told, truth in pairs]
    return Told(held, found.chance_helped, power > 0)


def driven(kind: Driven, seed: int) -> Told | None:
    """One change on race days; None where its runs do not tell it."""
    rng = np.random.default_rng([seed, 2])
    season = track_days.draw_days(track_days.World(days=kind.days), seed)
    runs, day, motor = season.runs, np.array(season.runs.day), np.array(season.runs.motor)
    last = day == day.max()
    hours = np.array(runs.hour)
    at = float(rng.choice(hours[last][1:-1])) if last.sum() > 3 else float(hours[last].mean())
    since = last & (hours >= at)
    if kind.of == "motor":
        whose = int(motor[last][-1])
        since, before = since & (motor == whose), (motor == whose) & ~(since & (motor == whose))
    else:
        before = last & ~since
    step = float(rng.normal(0, kind.step))
    slower = np.exp(0.01 * step * since)
    reading = [replace(each, lap_s=each.lap_s * by) for each, by in zip(runs.reading, slower.tolist(), strict=True)]
    [found] = pace_steps(replace(runs, reading=reading), since[:, None], [Step(of=[0], before=before, after=since)])
    if found is None:
        return None
    lap = np.exp(np.mean([np.log(each.lap_s) for each, late in zip(reading, since, strict=True) if late]))
    truth = -lap * np.expm1(-0.01 * step)
    held = found.difference.low90 <= truth <= found.difference.high90
    return Told([bool(held)], found.chance_less, step < 0)


ROWS: dict[str, Work | Driven] = {
    "rebuilt, as much as believed, same evening": Work(),
    "rebuilt, next evening": Work(evening="next"),
    "rebuilt, next evening, no other motor": Work(motors=1, evening="next"),
    "rebuilt, one run on each side": Work(runs=1),
    "bearings, same evening": Work(winding=0.0, touched=False),
    "bearings, next evening": Work(winding=0.0, touched=False, evening="next"),
    "bearings, 8 % less current": Work(kv=0.05, current=1.0, winding=0.0, current_by=-8.0, touched=False),
    "bearings, next to nothing": Work(kv=0.02, current=0.2, winding=0.0, touched=False),
    "rebuilt, a tester twice as noisy": Work(noise_factor=2.0),
    "a car, step of 0.5 % of a lap": Driven(),
    "a car, step of 1 %": Driven(step=1.0),
    "a car, hardly a step": Driven(step=0.1),
    "a motor, step of 0.5 %, four days": Driven("motor", days=(4,)),
}


def sample(kind: Work | Driven, changes: int, first_seed: int) -> Row:
    """What became of many changes of one kind."""
    seeds = range(first_seed, first_seed + changes)
    every = [worked_on(kind, seed) if isinstance(kind, Work) else driven(kind, seed) for seed in seeds]
    told = [each for each in every if each is not None]
    held = share([[float(ok) for ok in each.held] for each in told])
    assert held is not None
    chances = [(each.chance, each.helped) for each in told]
    sure = [max(chance, 1 - chance) >= SURE for chance, _ in chances]
    right = [(chance > 0.5) == helped for (chance, helped), said in zip(chances, sure, strict=True) if said]
    return Row(
        held=held.value,
        held_error=held.error,
        calibration=calibration_error(chances),
        sure=float(np.mean(sure)),
        right=float(np.mean(right)) if right else float("nan"),
        count=len(told),
    )


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--changes", type=int, default=300)
    asked.add_argument("--seeds", choices=("reported", "chosen"), default="reported")
    given = asked.parse_args()
    first = {"reported": REPORTED, "chosen": CHOSEN}[given.seeds]
    heads = (
        "kind of change",
        "changes told",
        "intervals held, %",
        "error of chances",
        "said for sure, %",
        "so it was, %",
    )
    print(f"| {' | '.join(heads)} |", f"|{'---|' * len(heads)}", sep="\n")
    for name, kind in ROWS.items():
        row = sample(kind, given.changes, first)
        held = f"{100 * row.held:.1f} ± {100 * row.held_error:.1f}"
        right = "·" if np.isnan(row.right) else f"{100 * row.right:.0f}"
        print(f"| {name} | {row.count} | {held} | {row.calibration:.3f} | {100 * row.sure:.0f} | {right} |", flush=True)


if __name__ == "__main__":
    main()
