"""Whether the advice what to test next is worth following, and what it expects comes true, on simulated bench days.

From every day three go on for the same minutes: one does the next test again and again, one runs all motors in turn,
one gives each motor in turn a run and a winding reading with the clips put on anew. Then: how often the leader is truly
the best, and how sure the ranking says it is. Of every single test followed: the highest chance expected against the
highest chance afterwards.

`python -m tests.benchmarks.advice --days 400` prints the tables (about ten minutes on one core); a small sample is a
test. Settings were chosen on seeds from 0 on and are reported on seeds from 1,000,000 on.
"""

import argparse
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from pitbench.figures.comparison import Readings, draw
from pitbench.figures.conditions import RunConditions
from pitbench.figures.criteria import RESISTANCE
from pitbench.figures.next_test import USUAL_MINUTES, NextTest
from pitbench.figures.ranking import Ranking, rank
from tests.benchmarks import hard_days as hard
from tests.benchmarks.bench_days import HOURS_A_RUN, Day, World, draw_day, tested
from tests.benchmarks.scores import Share, share

REPORTED, CHOSEN = 1_000_000, 0
WHAT = ("right", "stated", "of_best")
CLAMPED_SIGMAS, SESSION = 0.7, np.array([0.003, 0.02, 0.02])
"""How far clampings lie apart, in σ, and sessions, in log, of KV, current and resistance."""
CLIPS_PCT = 1.5
"""What clips put on anew add to a winding, an sd in percent."""
CLAMPED = World(
    noise_pct=(0.2, 1.0, 0.5),
    hidden=(partial(hard.clamped, sigmas=CLAMPED_SIGMAS), partial(hard.clips, pct=CLIPS_PCT, noise=0.5)),
)
"""Everything reads off a little with every clamping, the winding by its clips."""
ROWS = {
    "2 runs each, winding with every run": CLAMPED,
    "2 runs each, winding not read": replace(CLAMPED, resistance=False),
    "5 runs each in 1 to 3 sessions": replace(CLAMPED, runs=5, sessions=(1, 2, 3)),
    "motors alike, 2 runs each": replace(CLAMPED, motor_pct=(0.5, 2.5, 1.5)),
    "no clampings in truth, 2 runs each": World(noise_pct=(0.2, 1.0, 1.0)),
}


@dataclass(frozen=True)
class Way:
    """Where a way of testing came out: whether the leader is the best, the chance stated, that given to the best."""

    right: bool
    stated: float
    of_best: float


@dataclass(frozen=True)
class Followed:
    """One day: before any test, after each way, and (expected, afterwards, minutes, kind) of every test followed."""

    before: Way
    advised: Way
    in_turn: Way
    with_winding: Way
    steps: tuple[tuple[float, float, float, str], ...]


def followed(world: World, seed: int) -> Followed:
    """One simulated day, gone on with in three ways for the usual minutes."""
    day = draw_day(world, seed)
    found = rank(draw(day.tested))
    advised, steps = _advised(day, found, np.random.default_rng([seed, 1]))
    return Followed(
        before=_way(day, found),
        advised=_way(day, advised),
        in_turn=_way(day, _in_turn(day, np.random.default_rng([seed, 2]), winding=False)),
        with_winding=_way(day, _in_turn(day, np.random.default_rng([seed, 3]), winding=True)),
        steps=tuple(steps),
    )


def _way(day: Day, found: Ranking) -> Way:
    best = int(np.argmax(day.true_score() + day.motors.unseen))
    chance = {placed.motor: placed.chance_best for placed in found.motors}
    return Way(found.motors[0].motor == best, max(chance.values()), chance[best])


def _advised(
    day: Day, found: Ranking, rng: np.random.Generator
) -> tuple[Ranking, list[tuple[float, float, float, str]]]:
    """The next test again and again, while minutes last. Another day is looked at, but is no part of these minutes."""
    left, steps = USUAL_MINUTES.have, []
    now = _newest(day)
    while (test := found.next_test) is not None and test.test != "session":
        day = performed(day, test, now, rng)
        left -= test.minutes
        found = rank(draw(day.tested), minutes=replace(USUAL_MINUTES, have=left), session=now)
        after = max(placed.chance_best for placed in found.motors)
        steps.append((test.chance_expected, after, test.minutes, test.test))
    if test is not None:
        later = rank(draw(performed(_another_day(day, rng), test, now + 1, rng).tested))
        steps.append((test.chance_expected, max(placed.chance_best for placed in later.motors), 0.0, test.test))
    return found, steps


def _another_day(day: Day, rng: np.random.Generator) -> Day:
    """A session more on the bench: it reads off in its own way, and every motor is clamped anew."""
    bench, motors = day.bench, day.tested.n_motors
    seat = CLAMPED_SIGMAS * hard.SIGMA if day.world.hidden else np.zeros(3)
    clamping = seat * rng.standard_normal((motors, 1, 3))
    return replace(
        day,
        bench=replace(
            bench,
            bias=np.vstack([bench.bias, SESSION * rng.standard_normal(3)]),
            clamping=np.concatenate([bench.clamping, clamping], axis=1),
            ambient=np.append(bench.ambient, rng.normal(22, 4)),
        ),
    )


def _newest(day: Day) -> int:
    return max(day.tested.runs.session)


def _in_turn(day: Day, rng: np.random.Generator, *, winding: bool) -> Ranking:
    """All motors in turn in the newest session for the usual minutes."""
    now, left, motors = _newest(day), USUAL_MINUTES.have, day.tested.n_motors
    took = USUAL_MINUTES.run + (USUAL_MINUTES.winding + USUAL_MINUTES.clips if winding else 0.0)
    for turn in range(int(left / took)):
        test = partial(NextTest, motors=(turn % motors,), count=1, minutes=0.0, chance_now=0.0, chance_expected=0.0)
        day = performed(day, test("runs"), now, rng)
        if winding:
            day = performed(day, test("winding"), now, rng)
    return rank(draw(day.tested))


def performed(day: Day, test: NextTest, session: int, rng: np.random.Generator) -> Day:
    """The day with the readings of a test in its newest session."""
    if test.test == "winding":
        for _ in range(test.count):
            day = _contact(day, np.array(test.motors), session, rng)
        return day
    runs = day.tested.runs
    before = [
        sum(m == motor and s == session for m, s in zip(runs.motor, runs.session, strict=True)) for motor in test.motors
    ]
    number = (np.array(before) + np.arange(test.count)[:, None]).ravel()
    motor = np.tile(test.motors, test.count)
    bare = replace(day, world=replace(day.world, resistance=False))  # a run alone takes no winding reading
    after = tested(bare, motor, np.full(motor.size, session), number, rng)
    readings = {**day.tested.readings, **after.tested.readings}
    return replace(after, world=day.world, tested=replace(after.tested, readings=readings))


def _contact(day: Day, motors: np.ndarray, session: int, rng: np.random.Generator) -> Day:
    """Windings read once with the clips put on anew: written down as runs with the winding alone."""
    bench, before, runs = day.bench, day.tested.of(RESISTANCE), day.tested.runs
    off = 0.01 * CLIPS_PCT * rng.standard_normal(motors.size) + bench.noise[2] * rng.standard_normal(motors.size)
    ohms = 1000 * day.motors.resistance[motors] * np.exp(bench.bias[session, 2] + off)
    same, none = np.full(motors.size, session), [None] * motors.size
    session_runs = sum(of == session for of in runs.session)
    run = len(runs.motor) + np.arange(motors.size)
    more = Readings(motors, same, ohms, np.ones(motors.size), run)
    joined = Readings(*(np.concatenate(both) for both in zip(vars(before).values(), vars(more).values(), strict=True)))
    after = RunConditions(
        motor=[*runs.motor, *motors.tolist()],
        session=[*runs.session, *same.tolist()],
        run_number=[*runs.run_number, *(sum(of == motor for of in runs.motor) for motor in motors)],
        motor_temp=[*runs.motor_temp, *none],
        ambient=[*runs.ambient, *(bench.ambient[same]).tolist()],
        timing=[*runs.timing, *none],
        timing_mark=[*runs.timing_mark, *none],
        hours=[*runs.hours, *(HOURS_A_RUN * (session_runs + np.arange(motors.size))).tolist()],
    )
    now = replace(day.tested, runs=after, readings={**day.tested.readings, RESISTANCE: joined})
    return replace(day, tested=now)


@dataclass(frozen=True)
class Row:
    """One kind of day: shares by way, (right, stated, chance given to the best) each; gain of following over in turn,
    of each of these; minutes the advice took.

    off: highest chance afterwards less expected, of single tests.
    """

    ways: dict[str, tuple[Share, ...]]
    gain: tuple[Share, ...]
    minutes: float
    expected: Share
    came: Share
    off: Share
    kinds: dict[str, int]


def summed_up(days: Sequence[Followed]) -> Row:
    """All days of one kind."""
    ways = {
        name: tuple(_mean([_of(getattr(day, name), what) for day in days]) for what in WHAT)
        for name in ("before", "advised", "in_turn", "with_winding")
    }
    kinds = [kind for day in days for *_, kind in day.steps]
    return Row(
        ways=ways,
        gain=tuple(_mean([_of(day.advised, what) - _of(day.in_turn, what) for day in days]) for what in WHAT),
        minutes=float(np.mean([sum(step[2] for step in day.steps) for day in days])),
        expected=_shared([[step[0] for step in day.steps] for day in days]),
        came=_shared([[step[1] for step in day.steps] for day in days]),
        off=_shared([[step[1] - step[0] for step in day.steps] for day in days]),
        kinds={kind: kinds.count(kind) for kind in sorted(set(kinds))},
    )


def _of(way: Way, what: str) -> float:
    return float(getattr(way, what))


def _mean(values: Iterable[float]) -> Share:
    return _shared([[float(value)] for value in values])


def _shared(days: Sequence[Sequence[float]]) -> Share:
    return share(days) or Share(float("nan"), float("nan"), 0)


def sample(name: str, days: int, first_seed: int) -> list[Followed]:
    """So many days of one kind."""
    return [followed(ROWS[name], seed) for seed in range(first_seed, first_seed + days)]


def main() -> None:
    """Print both tables."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--days", type=int, default=400)
    asked.add_argument("--seeds", choices=("reported", "chosen"), default="reported")
    asked.add_argument("--rows", default="", help="only rows whose name holds this")
    given = asked.parse_args()
    first = {"reported": REPORTED, "chosen": CHOSEN}[given.seeds]
    days = {name: sample(name, given.days, first) for name in ROWS if given.rows in name}
    rows = {name: summed_up(found) for name, found in days.items()}
    rows["all of them"] = summed_up([day for found in days.values() for day in found])
    print(f"{given.days} days a row; leader is the best, in 100 (stated chance; chance given to the true best)")
    print("| kind of day | min used | before | advised | in turn | in turn, with winding | advised less in turn |")
    print("|---|---|---|---|---|---|---|")
    for name, row in rows.items():
        ways = [_cell(row.ways[way]) for way in ("before", "advised", "in_turn", "with_winding")]
        right, stated, of_best = map(_hundred, row.gain)
        print(f"| {name} | {row.minutes:.0f} | {' | '.join(ways)} | {right} ({stated}; {of_best}) |")
    print("\n| kind of day | single tests | expected | came | came less expected |", "|---|---|---|---|---|", sep="\n")
    for name, row in rows.items():
        kinds = ", ".join(f"{count} {kind}" for kind, count in row.kinds.items())
        print(f"| {name} | {kinds} | {_hundred(row.expected)} | {_hundred(row.came)} | {_hundred(row.off)} |")


def _cell(of: tuple[Share, ...]) -> str:
    right, stated, of_best = of
    return f"{_hundred(right)} ({100 * stated.value:.1f}; {100 * of_best.value:.1f})"


def _hundred(found: Share) -> str:
    return f"{100 * found.value:.1f} ± {100 * found.error:.1f}"


if __name__ == "__main__":
    main()
