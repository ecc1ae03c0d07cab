"""Which build to test next: by what it is expected to bring to the best build known, for the minutes it takes.

A test runs one build beside the best one that stands together, in one session, since the mood of the tester is as large
as what parts differ by. Source: knowledge gradient for correlated normal beliefs, Frazier, Powell & Dayanik (2009),
INFORMS J. Computing 21(4); per minute, and by reweighting draws in place of the closed form: ours.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pitbench.figures import chances, foresight
from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.foresight import Bins
from pitbench.figures.next_test import Minutes, best_guess, come_with_a_run
from pitbench.figures.swaps import Swaps

RUNS = (1, 2, 3, 4)
"""Runs of each of the two builds that a test may ask for."""
ASKED, OPTIMISM = 16, 1.5
"""How many builds are looked at as tests and as winners: those with the highest score at so many sd above its mean."""
WORTH_PCT = 0.01
"""Gain in percent of power below which no test is worth the evening. Ours."""


@dataclass(frozen=True)
class Standing:
    """motors [m × 3]: stator, rotor and end bell that every motor has now, −1 for a gap. closed: motors that are not to
    be opened, such as the check motor."""

    motors: Ints
    closed: Collection[int] = ()


@dataclass(frozen=True)
class NextSwap:
    """Build `build` in `motor`, kinds of part that are moved into it, opened: the motors that are taken apart.

    beside: the build to run it against; rival: the best build that was tested. runs of each; winding: whether the
    windings are read once besides, where runs are usually made without. gain_pct: expected rise of the best score, from
    knowing; chance_now, chance_expected: highest chance of being the best of this build and those that stand now.
    chance_better, by_pct:
    that the build beats the rival, and by how much if so.
    """

    build: int
    motor: int
    moved: tuple[int, ...]
    opened: tuple[int, ...]
    beside: int | None
    rival: int | None
    runs: int
    winding: bool
    minutes: float
    gain_pct: float
    chance_now: float
    chance_expected: float
    chance_better: float
    by_pct: float


@dataclass(frozen=True)
class _Way:
    """How a build comes about: in which motor, which kinds of part are moved into it, which motors are opened."""

    motor: int
    moved: tuple[int, ...]
    opened: tuple[int, ...]


def next_swap(found: Swaps, standing: Standing, minutes: Minutes, *, within: float = np.inf) -> NextSwap | None:
    """The test of one build that gains most a minute; None if none is worth it, or none takes at most `within`."""
    bench = _Bench(found, standing, minutes)
    tests = [(build, way) for build in bench.asked if (way := bench.way(build)) is not None]
    options = [(build, way, runs, bench.minutes_of(way, runs)) for build, way in tests for runs in RUNS]
    options = [each for each in options if each[3] <= within]
    if not options or not bench.names:  # runs here usually read nothing that counts at load
        return None
    gains = bench.gains([(build, runs) for build, _, runs, _ in options])
    best = int(np.argmax(gains / [each[3] for each in options]))
    if gains[best] < WORTH_PCT:
        return None
    build, way, runs, took = options[best]
    beside, rival = bench.beside(build), bench.rival(build)
    better, by = _ahead(found, build, rival)
    now, expected = bench.in_the_race(build, runs)
    return NextSwap(
        build=build,
        motor=way.motor,
        moved=way.moved,
        opened=way.opened,
        beside=beside,
        rival=rival,
        runs=runs,
        winding=bench.winding,
        minutes=took,
        gain_pct=float(gains[best]),
        chance_now=now,
        chance_expected=expected,
        chance_better=better,
        by_pct=by,
    )


def _ahead(found: Swaps, build: int, rival: int | None) -> tuple[float, float]:
    """Chance that a build is truly better than another, and by how much in percent if so; 0 without another."""
    if rival is None:
        return 0.0, 0.0
    lead = found.score[:, build] - found.score[:, rival]
    total = lead + found.unseen[:, build] - found.unseen[:, rival]
    better = total > 0
    return float(better.mean()), float(lead[better].mean()) if better.any() else 0.0


def rise_of_best(about: Floats, of: Ints, noise: Floats, score: Floats) -> Floats:
    """How far readings are expected to raise the highest mean score [r].

    about [a × draws]: what may be read; of [r]: which of them each reading is of, noise [r] its σ; score [draws × b].
    """
    bins = foresight.binned(about, score)
    means, probability = foresight.futures(Bins(bins.centre[of], bins.mean[of]), noise)
    return np.asarray(means.max(axis=2) @ probability - score.mean(axis=0).max())


class _Bench:
    """The builds that stand together, and what a test of another beside them would say."""

    def __init__(self, found: Swaps, standing: Standing, minutes: Minutes) -> None:
        self.found, self.standing, self.minutes, drawn = found, standing, minutes, found.drawn
        self.of, self.tested = found.of, found.at < drawn.asked.n_motors
        self.mean = found.score.mean(axis=0)
        hopeful = self.mean + OPTIMISM * found.score.std(axis=0)
        self.asked: list[int] = np.argsort(-hopeful, kind="stable")[:ASKED].tolist()
        together = {tuple(parts): build for build, parts in enumerate(self.of.tolist())}
        self.built = [together.get(tuple(parts), -1) for parts in standing.motors.tolist()]
        usual = come_with_a_run(drawn)
        self.winding = RESISTANCE not in usual and bool(drawn.counts[RESISTANCE].any())
        self.names = [
            name for name in (KV, CURRENT, RESISTANCE) if name in usual or (name == RESISTANCE and self.winding)
        ]

    def rival(self, build: int) -> int | None:
        """The best build that was tested, another one than this."""
        tested = (int(b) for b in np.flatnonzero(self.tested) if b != build)
        return max(tested, key=lambda b: self.mean[b], default=None)

    def beside(self, build: int) -> int | None:
        """The best tested build that stands together now, another one than this; else the best of any that do."""
        there = [b for b in self.built if b not in (-1, build)]
        return max(there, key=lambda b: (self.tested[b], self.mean[b]), default=None)

    def way(self, build: int) -> _Way | None:
        """The way that opens fewest motors; None where a motor would be opened that is not to be."""
        if build in self.built:
            return _Way(self.built.index(build), (), ())
        ways = [self._into(motor, self.of[build].tolist()) for motor in range(len(self.built))]
        able = [way for way in ways if way is not None and not set(way.opened) & set(self.standing.closed)]
        return min(able, key=lambda way: (len(way.opened), len(way.moved), way.motor), default=None)

    def _into(self, motor: int, wanted: Sequence[int]) -> _Way | None:
        has = self.standing.motors
        moved = tuple(kind for kind in range(3) if has[motor, kind] != wanted[kind])
        if len(moved) == 3:
            return None
        givers = [int(m) for kind in moved for m in np.flatnonzero(has[:, kind] == wanted[kind])]
        return _Way(motor, moved, tuple(sorted({motor, *givers})))

    def minutes_of(self, way: _Way, runs: int) -> float:
        """A swap between two motors opens both; then both builds of the test are clamped and run."""
        minutes = self.minutes
        reading = minutes.winding if self.winding else 0.0
        return minutes.swap * len(way.opened) / 2 + 2 * (minutes.clips + runs * minutes.run + reading)

    def gains(self, options: Sequence[tuple[int, int]]) -> Floats:
        """Expected rise of the best mean score by each test: a build and how many runs [options]."""
        read = {build: self._read(build) for build in dict.fromkeys(build for build, _ in options)}
        order = list(read)
        noise = np.array([read[build][1][runs - 1] for build, runs in options])
        about = np.array([each for each, _ in read.values()])
        of = np.array([order.index(build) for build, _ in options])
        return rise_of_best(about, of, noise, self.found.score[:, self.asked])

    def in_the_race(self, build: int, runs: int) -> tuple[float, float]:
        """Highest chance of being the best of a build and those that stand now, and the one expected after its test."""
        racing = [*dict.fromkeys([*(b for b in self.built if b >= 0), build])]
        best = chances.best_of(self.found.score[:, racing], self.found.unseen[:, racing])
        about, noise = self._read(build)
        after = foresight.chances_after(about[None, :], noise[[runs - 1]], best)
        return float(best.mean(axis=0).max()), float(after[0])

    def _read(self, build: int) -> tuple[Floats, Floats]:
        """What a test of a build says of its score [draws], and σ of that after each number of runs [RUNS]."""
        beside, score = self.beside(build), self.found.score
        figures, lead = self._figures(build), score[:, build]
        if beside is not None:
            figures, lead = figures - self._figures(beside), lead - score[:, beside]
        variance = self._variance[beside is not None]
        about, slopes = best_guess(lead, figures, variance)
        return about, np.sqrt(np.maximum(slopes**2 @ variance, 1e-18))

    def _figures(self, build: int) -> Floats:
        """Where a further run of a build would lie, by figure [figures × draws]."""
        at, estimates = int(self.found.at[build]), self.found.drawn.estimates
        return np.array([estimates[name].further_reading(at) for name in self.names])

    @cached_property
    def _variance(self) -> tuple[Floats, Floats]:
        """Noise variance of reading a build alone, and beside another one, clamped anew, by figure [figures × RUNS]."""
        runs, found = np.array(RUNS), self.found.drawn.estimates
        rows: tuple[list[Floats], list[Floats]] = ([], [])
        for name in self.names:
            within, session, clamping = (
                found[name].noise ** 2,
                found[name].spreads[1] ** 2,
                found[name].spreads[-1] ** 2,
            )
            counts = np.ones_like(runs) if name == RESISTANCE and self.winding else runs
            for motors, shared in ((1, session), (2, 0.0)):
                new = np.zeros(motors, dtype=np.int64)
                rows[motors - 1].append(foresight.further_runs(within, clamping, new, counts, shared))
        return np.array(rows[0]), np.array(rows[1])
