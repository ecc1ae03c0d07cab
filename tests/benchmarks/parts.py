"""Whether following the advice which parts to swap leads to a faster motor, and what is said of untested builds holds.

Pools of parts are simulated (`part_pools`): a racer has three or four motors and runs each. From there two go on for
four tests, each on an evening of its own: one builds and runs what is advised, one swaps two parts of a kind between
two motors at random and runs what comes of it, beside the best motor known, as often. Both then build what the same
engine finds best. A third never tests: rotor with the least imbalance, end bell with the least sensor spread. Gains are
of true power at load over the motor the ranking put first at the start.

`python -m tests.benchmarks.parts --pools 200` prints the table; a small sample is a test. Settings were chosen on seeds
from 0 on and are reported on seeds from 1,000,000 on.
"""

import argparse
import multiprocessing
import os
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from pitbench.figures.comparison import draw
from pitbench.figures.next_swap import Standing, next_swap
from pitbench.figures.next_test import USUAL_MINUTES
from pitbench.figures.ranking import rank
from pitbench.figures.readings import Comparison, Parts, Readings
from pitbench.figures.swaps import swaps
from tests.benchmarks.part_pools import IMBALANCE, RUNS, SPREAD, Kind, Pool, draw_pool, evening
from tests.benchmarks.scores import Share, calibration_error, share

REPORTED, CHOSEN = 1_000_000, 0
TESTS = 4
ROWS = {
    f"{size}×{size}×{size}, {name}": replace(kind, sizes=(size, size, size))
    for name, kind in {
        "shares as believed": Kind(),
        "in truth all shares equal": Kind(shares="equal"),
        "in truth all in the rest": Kind(shares="rest"),
        "a tester twice as noisy": Kind(noise=(0.4, 2.0, 1.4)),
        "clampings 2 sigma apart": Kind(clamped=2.0),
        "winding not read": Kind(resistance=False),
    }.items()
    for size in (3, 4)
}


@dataclass(frozen=True)
class Advice:
    """A build to test, in which motor, beside which build (None: alone), so many runs of each, in so many minutes."""

    build: int
    motor: int
    beside: int | None
    runs: int
    minutes: float


@dataclass(frozen=True)
class Said:
    """Of every legal build, by its number in the pool [builds]: score with its 90 % interval, chance of being best."""

    score: np.ndarray
    low90: np.ndarray
    high90: np.ndarray
    chance: np.ndarray

    @property
    def best(self) -> int:
        """The build with the highest score."""
        return int(np.argmax(self.score))


def as_motors(pool: Pool) -> tuple[Comparison, list[int]]:
    """The runs as of so many motors as there are builds tested, and which build each is."""
    builds, asked = pool.tested, pool.day.tested
    place = {build: motor for motor, build in enumerate(builds)}

    def moved(found: Readings) -> Readings:
        return replace(found, motor=np.array([place[build] for build in found.motor], dtype=np.int64))

    return replace(
        asked,
        n_motors=len(builds),
        runs=replace(asked.runs, motor=[place[build] for build in asked.runs.motor]),
        readings={name: moved(found) for name, found in asked.readings.items()},
    ), builds


def answered(pool: Pool, motors: Sequence[int], *, advice: bool = True) -> tuple[Said, Advice | None]:
    """What the engine says of the builds of a pool, and what to test next if asked for; motors: what each is now.

    The only place that touches the engine of parts. It wants the tested builds first.
    """
    asked, tested = as_motors(pool)
    order = np.array([*tested, *sorted(set(range(len(pool.kind.of))) - set(tested))])
    found = swaps(draw(replace(asked, parts=Parts(pool.kind.of[order], pool.kind.sizes))))
    back = np.argsort(order)
    columns = np.array([(b.score.mean, b.score.low90, b.score.high90, b.chance_best) for b in found.builds])
    said = Said(*columns[back].T)
    if not advice:
        return said, None
    test = next_swap(found, Standing(pool.kind.of[np.array(motors)]), USUAL_MINUTES)
    if test is None:
        return said, None
    beside = None if test.beside is None else int(order[test.beside])
    return said, Advice(int(order[test.build]), test.motor, beside, test.runs, test.minutes)


def rebuilt(kind: Kind, motors: Sequence[int], motor: int, build: int) -> list[int]:
    """Builds of the motors once one is built anew; what comes out of it takes the place of what went in."""
    parts = kind.of[np.array(motors)]
    for at, part in enumerate(kind.of[build]):
        (other,) = np.flatnonzero(parts[:, at] == part)
        parts[[motor, other], at] = parts[[other, motor], at]
    return [int(each) for each in np.ravel_multi_index(tuple(parts.T), kind.sizes)]


@dataclass(frozen=True)
class Stated:
    """What was said of one pool at one time: whether the intervals of untested builds held, chances with what came."""

    untested: tuple[bool, ...]
    chances: tuple[tuple[float, bool], ...]

    @classmethod
    def of(cls, pool: Pool, found: Said) -> "Stated":
        truth, tested = pool.truth(), set(pool.tested)
        first = int(np.argmax(truth + pool.day.motors.unseen))
        held = (found.low90 <= truth) & (truth <= found.high90)
        return cls(
            tuple(bool(each) for build, each in enumerate(held) if build not in tested),
            tuple((float(chance), build == first) for build, chance in enumerate(found.chance)),
        )


@dataclass(frozen=True)
class Followed:
    """One pool. Power at load in percent over the ranking's first at the start: what each way ended with.

    best_owned: truly, of the motors at the start; best_of_all: of all builds. minutes, tests: of what was advised;
    stayed: whether the build found best in the end was tested.
    """

    gains: dict[str, float]
    best_owned: float
    best_of_all: float
    start: Stated
    advised: Stated
    at_random: Stated
    minutes: float
    tests: int
    stayed: bool


def followed(kind: Kind, seed: int) -> Followed:
    """One simulated pool, gone on with in each way."""
    pool = draw_pool(kind, seed)
    truth, (asked, builds) = pool.truth(), as_motors(pool)
    first = builds[rank(draw(asked)).motors[0].motor]
    start, advice = answered(pool, kind.own)
    after, advised, made = _advised(pool, advice, start, np.random.default_rng([seed, 1]))
    other, at_random = _at_random(pool, start, [step.runs for step in made], np.random.default_rng([seed, 2]))
    ends = {"advised": advised.best, "at random": at_random.best, "evenest": _evenest(pool, first)}
    return Followed(
        gains={way: float(truth[build] - truth[first]) for way, build in ends.items()},
        best_owned=float(truth[kind.own].max() - truth[first]),
        best_of_all=float(truth.max() - truth[first]),
        start=Stated.of(pool, start),
        advised=Stated.of(after, advised),
        at_random=Stated.of(other, at_random),
        minutes=sum(step.minutes for step in made),
        tests=len(made),
        stayed=ends["advised"] in after.tested,
    )


def _advised(
    pool: Pool, advice: Advice | None, said: Said, rng: np.random.Generator
) -> tuple[Pool, Said, list[Advice]]:
    """What is advised built and run beside what it names, one evening a test."""
    motors, made = list(pool.kind.own), []
    while advice is not None and len(made) < TESTS:
        made.append(advice)
        pool = evening(pool, _runs(advice.build, advice.beside, advice.runs), rng)
        motors = rebuilt(pool.kind, motors, advice.motor, advice.build)
        said, advice = answered(pool, motors, advice=len(made) < TESTS)
    return pool, said, made


def _runs(build: int, beside: int | None, runs: int) -> list[tuple[int, int]]:
    return [(build, runs), *([] if beside is None else [(beside, runs)])]


def _at_random(pool: Pool, said: Said, runs: Sequence[int], rng: np.random.Generator) -> tuple[Pool, Said]:
    """Two parts of a kind change motors; one of the new builds runs beside the best motor there was before."""
    motors = list(pool.kind.own)
    for test in range(TESTS):
        beside = max((build for build in motors if build in pool.tested), key=lambda build: said.score[build])
        motors, build = _swapped(pool, motors, rng)
        pool = evening(pool, _runs(build, beside, runs[test] if test < len(runs) else RUNS), rng)
        said, _ = answered(pool, motors, advice=False)
    return pool, said


def _swapped(pool: Pool, motors: Sequence[int], rng: np.random.Generator) -> tuple[list[int], int]:
    """The motors after a swap at random, of which a build comes that was not run yet, and that build."""
    while True:
        one, other = rng.permutation(len(motors))[:2]
        at, parts = int(rng.integers(3)), pool.kind.of[motors[one]].copy()
        parts[at] = pool.kind.of[motors[other]][at]
        build = int(np.ravel_multi_index(tuple(parts), pool.kind.sizes))
        if build not in pool.tested:
            return rebuilt(pool.kind, motors, int(one), build), build


def _evenest(pool: Pool, first: int) -> int:
    """The rotor of the motor with the least imbalance and the end bell of that with the least sensor spread.

    They go round the stator of the first in the ranking.
    """

    def least(name: str) -> int:
        found = pool.day.tested.of(name)
        return min(pool.tested, key=lambda build: float(found.value[found.motor == build].mean()))

    of = pool.kind.of
    parts = of[first][0], of[least(IMBALANCE)][1], of[least(SPREAD)][2]
    return int(np.ravel_multi_index(parts, pool.kind.sizes))


def took(kind: Kind, seed: int, rounds: int = 10) -> float:
    """Processor time of the whole answer in times of the ranking of the same runs: the least of some rounds each."""
    pool = draw_pool(kind, seed)
    asked, _ = as_motors(pool)
    works: tuple[Callable[[], object], ...] = (lambda: answered(pool, kind.own), lambda: rank(draw(asked)))
    least = [float("inf")] * 2
    for _ in range(rounds):
        for at, work in enumerate(works):
            began = time.process_time()
            work()
            least[at] = min(least[at], time.process_time() - began)
    return least[0] / least[1]


@dataclass(frozen=True)
class Row:
    """One kind of pool: gains over the first at the start and over rivals, percent of power, each a mean.

    coverage: of 90 % intervals of untested builds at the start, after the advised tests, after those at random; error:
    calibration error of chance_best at these times; leader: highest chance stated and how often it was the best, after
    the advised tests.
    """

    gains: dict[str, Share]
    beyond: dict[str, Share]
    coverage: dict[str, Share | None]
    error: dict[str, float]
    leader: tuple[float, Share]
    minutes: float
    stayed: Share
    pools: int


TIMES = ("start", "advised", "at_random")


def summed_up(pools: Sequence[Followed]) -> Row:
    """All pools of one kind."""
    gains = {way: [pool.gains[way] for pool in pools] for way in pools[0].gains}
    gains |= {"best owned": [pool.best_owned for pool in pools], "best of all": [pool.best_of_all for pool in pools]}
    apart = {way: [pool.gains["advised"] - each for pool, each in zip(pools, gains[way], strict=True)] for way in gains}
    said = {at: [getattr(pool, at) for pool in pools] for at in TIMES}
    leaders = [max(each.chances) for each in said["advised"]]
    return Row(
        gains={way: _mean(each) for way, each in gains.items()},
        beyond={way: _mean(each) for way, each in apart.items()},
        coverage={at: share(each.untested for each in said[at]) for at in TIMES},
        error={at: calibration_error(chance for each in said[at] for chance in each.chances) for at in TIMES},
        leader=(float(np.mean([stated for stated, _ in leaders])), _mean([float(came) for _, came in leaders])),
        minutes=float(np.mean([pool.minutes for pool in pools])),
        stayed=_mean([float(pool.stayed) for pool in pools]),
        pools=len(pools),
    )


def _mean(values: Iterable[float]) -> Share:
    found = share([each] for each in values)
    assert found is not None
    return found


COLUMNS = (
    *("kind of pool", "pools", "gain when advised, %", "at random", "evenest parts", "best owned", "best of all"),
    *("advised over random", "over evenest", "over best owned", "minutes"),
    *("untested held at start, %", "after advised", "after random", "error of chances at start", "after advised"),
    *("leader stated, then best, %", "ends at a tested build, %", "time of rankings"),
)


def line(name: str, row: Row, times: float) -> str:
    """A row of the table as it is printed."""
    ways = ("advised", "at random", "evenest", "best owned", "best of all")
    beyond = ("at random", "evenest", "best owned")
    stated, came = row.leader
    cells = (
        *(name, str(row.pools)),
        *(_plain(row.gains[way]) for way in ways),
        *(_plain(row.beyond[way]) for way in beyond),
        f"{row.minutes:.0f}",
        *(_percent(row.coverage[at]) for at in TIMES),
        *(f"{row.error[at]:.3f}" for at in TIMES[:2]),
        *(f"{100 * stated:.0f}, {_percent(came)}", _percent(row.stayed), f"{times:.1f}"),
    )
    return f"| {' | '.join(cells)} |"


def _percent(found: Share | None) -> str:
    return "" if found is None else f"{100 * found.value:.1f} ± {100 * found.error:.1f}"


def _plain(found: Share) -> str:
    return f"{found.value:.2f} ± {found.error:.2f}"


def sample(kind: Kind, pools: int, first_seed: int, each: Callable[..., Iterable[Followed]] = map) -> Row:
    """A row from so many pools; `each` maps over the seeds, in one process or several."""
    return summed_up(list(each(partial(followed, kind), range(first_seed, first_seed + pools))))


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--pools", type=int, default=200, help="simulated pools a row")
    asked.add_argument("--seeds", choices=("reported", "chosen"), default="reported")
    asked.add_argument("--worlds", nargs="+", default=[""], help="only rows whose name holds one of these")
    asked.add_argument("--processes", type=int, default=2)
    given = asked.parse_args()
    os.environ["OPENBLAS_NUM_THREADS"] = "1"  # the processes started below share the cores
    first = {"reported": REPORTED, "chosen": CHOSEN}[given.seeds]
    print(f"| {' | '.join(COLUMNS)} |", "|---" * len(COLUMNS) + "|", sep="\n", flush=True)
    with multiprocessing.get_context("spawn").Pool(given.processes) as processes:
        for name, kind in ROWS.items():
            if any(part in name for part in given.worlds):
                row = sample(kind, given.pools, first, partial(processes.imap, chunksize=5))
                print(line(name, row, processes.apply(took, (kind, first))), flush=True)


if __name__ == "__main__":
    main()
