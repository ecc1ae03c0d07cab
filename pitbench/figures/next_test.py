"""What to test next: one planner over all kinds of tests, by what each is expected to tell and the minutes it takes.

A test is one or two motors read so many times. What its readings say of the motors' true figures is one number of every
draw, read with noise: the best linear guess of the lead (of two motors) or of the score (of one) from the figures the
test reads. `foresight` reweights the draws by it. Nothing else words a gain per minute. Source: value of information
per cost, Raiffa & Schlaifer, Applied Statistical Decision Theory, 1961; minutes and bounds: ours.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures import foresight
from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.comparison import TIMING_SEED, Drawn
from pitbench.figures.criteria import KV, MEASURED, RESISTANCE
from pitbench.figures.foresight import Bins
from pitbench.figures.normals import antithetic

COUNTS = (1, 2, 3, 4, 6, 8, 12)
"""Readings of each motor that a test may ask for."""
TIMING = "timing_deg"
"""Among figures that are read: the timing of a motor, whose doubt is carried into KV and current."""


@dataclass(frozen=True)
class Minutes:
    """What the user has, and what one run, one winding reading, clips off and on again, and a swap of a part between
    two motors take."""

    have: float = 30.0
    run: float = 2.0
    winding: float = 2.0
    clips: float = 5.0
    swap: float = 15.0


USUAL_MINUTES = Minutes()


@dataclass(frozen=True)
class NextTest:
    """`count` readings of each of the motors; highest chance of being best now, and expected after.

    test: runs (in the newest session), session (runs in a new one), winding (each with the clips put on anew; one that
    is written down with a run takes its own minutes all the same, and is no part of the run), timing (runs for its
    sake, where runs are usually made without reading it).
    """

    test: str
    motors: tuple[int, ...]
    count: int
    minutes: float
    chance_now: float
    chance_expected: float


@dataclass(frozen=True)
class Scores:
    """Score and chance of being best given the draw [draws × motors]; the two leaders by score; motors whose chances
    count, the likeliest first, two or more.

    counting: figures that count in the score. alone: the motor and figure of which one reading would tell most.
    """

    score: Floats
    best: Floats
    leaders: tuple[int, int]
    likely: Sequence[int]
    counting: Collection[str]
    alone: tuple[int, str] | None = None


@dataclass(frozen=True)
class _Test:
    """What a test reads [draws], and for each count: minutes, and σ of what it reads."""

    test: str
    motors: tuple[int, ...]
    about: Floats
    counts: tuple[int, ...]
    minutes: Floats
    noise: Floats


def next_test(
    drawn: Drawn,
    scores: Scores,
    minutes: Minutes,
    session: int | None = None,
) -> NextTest | None:
    """The test within the user's minutes that gains most a minute; None if none gains `WORTH_A_READING`.

    session: number of the newest, None: the highest. A new session takes another day: it is the answer only where
    nothing that can be done now would tell.
    """
    bench, best = _Bench(drawn, scores, minutes, session), scores.best
    tests = [each for each in bench.tests() if each.counts]
    if not tests:
        return None
    now = float(best.mean(axis=0).max())
    bins = foresight.binned(np.array([each.about for each in tests]), best[:, list(scores.likely)])
    most = [(i, len(test.counts) - 1) for i, test in enumerate(tests)]
    telling = [i for i, chance in enumerate(_expected(tests, bins, most)) if chance - now >= foresight.WORTH_A_READING]
    asked = [(i, nth) for i in telling for nth in range(len(tests[i].counts))]  # fewer readings never tell more
    found = [
        NextTest(tests[i].test, tests[i].motors, tests[i].counts[nth], float(tests[i].minutes[nth]), now, chance)
        for (i, nth), chance in zip(asked, _expected(tests, bins, asked), strict=True)
        if chance - now >= foresight.WORTH_A_READING
    ]
    return max(found, key=_urgency, default=None)


def _expected(tests: Sequence[_Test], bins: Bins, asked: Sequence[tuple[int, int]]) -> list[float]:
    """Highest chance expected after each of some tests with the nth of its counts."""
    if not asked:
        return []
    noise = np.array([tests[i].noise[nth] for i, nth in asked])
    of = [i for i, _ in asked]
    chance, probability = foresight.futures(Bins(bins.centre[of], bins.mean[of]), noise)
    expected: list[float] = (chance.max(axis=2) @ probability).tolist()
    return expected


def _urgency(test: NextTest) -> tuple[bool, float]:
    """What can be done now before what takes another day; then gain a minute."""
    return test.test != "session", (test.chance_expected - test.chance_now) / test.minutes


def come_with_a_run(drawn: Drawn) -> list[str]:
    """Figures that a bench run here usually measures: at least half as often as the one measured most.

    A run that holds the winding alone is no bench run in this sense.
    """
    with_run = {name: int((drawn.asked.of(name).run >= 0).sum()) for name in MEASURED}
    most = max(with_run[name] for name in MEASURED if name != RESISTANCE)
    return [name for name, count in with_run.items() if count > 0 and 2 * count >= most]


def highest_session(drawn: Drawn) -> int:
    """The highest session anything was read in, −1 without any."""
    sessions = [drawn.asked.of(name).session for name in MEASURED]
    return max((int(each.max()) for each in sessions if each.size), default=-1)


def readings_in(drawn: Drawn, name: str, session: int) -> Ints:
    """Readings of a figure of every motor in a session [motors]."""
    found = drawn.asked.of(name)
    return np.bincount(found.motor[found.session == session], minlength=drawn.asked.n_motors)


class _Bench:
    """The bench as the newest session left it: what a further reading would say."""

    def __init__(self, drawn: Drawn, scores: Scores, minutes: Minutes, session: int | None) -> None:
        self.drawn, self.scores, self.minutes = drawn, scores, minutes
        self.session = highest_session(drawn) if session is None else session
        self.with_a_run = [name for name in come_with_a_run(drawn) if name in scores.counting and name != RESISTANCE]
        names, asked = {*self.with_a_run, RESISTANCE}, {*scores.leaders, *scores.likely}
        self.present = {name: readings_in(drawn, name, self.session) for name in names}
        self.clamped = np.max([self.present[name] for name in self.with_a_run], axis=0, initial=0)
        further = {name: drawn.estimates[name].further_reading for name in names}
        self.reading = {(name, motor): further[name](motor) for name in names for motor in asked}
        self.timed = self._timed(asked)

    def _timed(self, asked: Collection[int]) -> Ints | None:
        """Runs that read the timing of every motor [motors], and draws of it; None where timing is not equalised."""
        runs, timing, n_motors = self.drawn.asked.runs, self.drawn.timing, self.drawn.asked.n_motors
        if timing.timing_deg is None:
            return None
        off = timing.doubt_deg * antithetic(self.scores.score.shape[0], n_motors, TIMING_SEED)
        self.reading |= {(TIMING, motor): off[:, motor] for motor in asked}
        read = [motor for motor, degrees in zip(runs.motor, runs.timing, strict=True) if degrees is not None]
        return np.bincount(read, minlength=n_motors)

    def tests(self) -> Iterator[_Test]:
        """Every kind of test of the leaders and of the likeliest two, with the counts that fit into the minutes.

        One motor alone is read only where others were: else there is nothing to hold the reading against.
        """
        leaders, likeliest = self.scores.leaders, (self.scores.likely[0], self.scores.likely[1])
        usual = self.timed is not None and bool(2 * self.timed.sum() >= self.drawn.asked.of(KV).run.size)
        of_a_run = [*self.with_a_run, *([TIMING] if usual else [])]
        for pair in (leaders, likeliest)[: 1 if set(leaders) == set(likeliest) else 2]:
            if self.with_a_run:
                yield self._test("runs", pair, of_a_run)
                yield self._test("session", pair, of_a_run)
            yield self._test("winding", pair, [RESISTANCE])
            if self.timed is not None and not usual:
                yield self._test("timing", pair, [TIMING])
        motor, figure = self.scores.alone or (-1, "")
        if figure in self.with_a_run:
            yield self._test("runs", (motor,), of_a_run)
        elif figure == RESISTANCE and (self.drawn.asked.of(RESISTANCE).motor != motor).any():
            yield self._test("winding", (motor,), [RESISTANCE])

    def _test(self, test: str, motors: tuple[int, ...], names: Sequence[str]) -> _Test:
        took = {count: self._took(test, motors, count) for count in COUNTS}
        counts = tuple(count for count in COUNTS if took[count] <= self.minutes.have)
        variance = np.array([self._variance(test, name, motors, np.array(counts)) for name in names])
        lead = _apart([self.scores.score[:, motor] for motor in motors])
        read = [_apart([self.reading[name, motor] for motor in motors]) for name in names]
        about, slopes = best_guess(lead, np.array(read), variance)
        noise = np.sqrt(np.maximum(slopes**2 @ variance, 1e-18))
        return _Test(test, motors, about, counts, np.array([took[count] for count in counts]), noise)

    def _took(self, test: str, motors: tuple[int, ...], count: int) -> float:
        minutes = self.minutes
        if test == "winding":
            return len(motors) * count * (minutes.clips + minutes.winding)
        unclamped = len(motors) if test == "session" else sum(not self.clamped[motor] for motor in motors)
        return len(motors) * count * minutes.run + unclamped * minutes.clips

    def _variance(self, test: str, name: str, motors: tuple[int, ...], counts: Ints) -> Floats:
        """Noise variance [counts] of an independent reading that says as much as this test."""
        if name == TIMING and self.timed is not None:
            pair = list(motors)
            return np.asarray((self.drawn.timing.doubt_deg[pair] ** 2 * self.timed[pair]).sum() / counts)
        found, present = self.drawn.estimates[name], self.present[name]
        within, between = found.noise**2, found.spreads[-1] ** 2
        alone = len(motors) == 1 and not np.delete(present, motors[0]).any()
        of_session = found.spreads[1] ** 2 if alone and test != "session" else 0.0
        if test == "winding":
            return len(motors) * (between + within) / counts + of_session
        before = present[list(motors)] if test == "runs" else np.zeros(len(motors), dtype=np.int64)
        return foresight.further_runs(within, between, before, counts, of_session)


def _apart(of: Sequence[Floats]) -> Floats:
    """Of one motor as it is, of two how far the first is from the second [draws]."""
    return of[0] if len(of) == 1 else of[0] - of[1]


def best_guess(lead: Floats, figures: Floats, variance: Floats) -> tuple[Floats, Floats]:
    """Best linear guess of the lead [draws] from readings of figures [f × draws], and its slopes [f].

    variance [f × counts]: the middle one weighs figures against one another.
    """
    apart = figures - figures.mean(axis=1, keepdims=True)
    inner = apart @ apart.T / lead.size
    noise = variance[:, variance.shape[1] // 2] if variance.shape[1] else np.ones(len(figures))
    slopes = np.linalg.lstsq(inner + np.diag(noise), apart @ (lead - lead.mean()) / lead.size, rcond=None)[0]
    return slopes @ apart, slopes
