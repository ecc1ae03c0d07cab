"""Whether stated chances come true: simulated bench days through the ranking, one row of the table a kind of day.

`python -m tests.benchmarks.calibration --sets 2000` prints the table (about eight minutes on two idle cores); a small
sample of it is a test. Settings were chosen on seeds from 0 on and are reported on seeds from 1,000,000 on.
"""

import argparse
import multiprocessing
import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from pitbench.figures.comparison import Drawn, draw
from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.intervals import points
from pitbench.figures.ranking import Ranking, rank
from tests.benchmarks.bench_days import Day, World, draw_day, tested

REPORTED, CHOSEN = 1_000_000, 0
CLOSE = World(motor_pct=(0.8, 4.0, 1.5), session_pct=(0.2, 1.0, 1.0), noise_pct=(0.15, 0.8, 0.7), tail=5.0, linked=True)
"""Motors alike, a good tester with now and then a reading far off."""
WIDE = World(motor_pct=(2.5, 10.0, 4.0), session_pct=(0.6, 3.0, 3.0), noise_pct=(0.3, 1.5, 1.5))
"""Motors, sessions and readings all further apart than believed."""
STATED = World(noise_pct=(0.2, 1.0, 1.0))
FIVE = {"runs": 5, "sessions": (1, 2, 3)}
ROWS = {
    "stated priors, 2 runs": World(),
    "stated priors, 5 runs": World(**FIVE),
    "stated priors, 2 runs, no R": World(resistance=False),
    "stated priors, 5 runs, no R": World(resistance=False, **FIVE),
    "motors alike, 2 runs": CLOSE,
    "motors alike, 5 runs": replace(CLOSE, **FIVE),
    "motors alike, 2 runs, no R": replace(CLOSE, resistance=False),
    "motors far apart, 2 runs": WIDE,
    "motors far apart, 5 runs": replace(WIDE, **FIVE),
    "tester twice as noisy, 2 runs": replace(STATED, noise_factor=2.0),
    "tester twice as noisy, 5 runs": replace(STATED, noise_factor=2.0, **FIVE),
    "one run 8 sigma off, 3 runs": replace(STATED, outlier=True, runs=3),
    "one run 8 sigma off, 5 runs": replace(STATED, outlier=True, **FIVE),
    "identical pair, 2 runs": World(motors=(2,), identical=True),
    "identical pair, 5 runs": World(motors=(2,), identical=True, **FIVE),
    "identical pair, 2 runs, no R": World(motors=(2,), identical=True, resistance=False),
    "identical pair, 5 runs, no R": World(motors=(2,), identical=True, resistance=False, **FIVE),
    "timing set to even out KV, 5 runs": World(timing_known=1.0, evened=True, **FIVE),
}


@dataclass(frozen=True)
class Outcome:
    """One day: whether intervals held the truth, chances with what came of them, and the verdict.

    followed: whether the verdict was clear after as many more runs as asked for, None where runs were not the answer.
    """

    scores: tuple[bool, ...]
    lead: bool
    figures: tuple[bool, ...]
    chances: tuple[tuple[float, bool], ...]
    clear: bool
    right: bool
    followed: bool | None


def outcome(world: World, seed: int) -> Outcome:
    """One simulated day, ranked, and ranked again after the runs the ranking asked for."""
    day = draw_day(world, seed)
    drawn = draw(day.tested)
    found, truth = rank(drawn), day.true_score()
    assert found.lead is not None
    best = int(np.argmax(truth + day.motors.unseen))
    first, second = (placed.motor for placed in found.motors[:2])
    lead = truth[first] - truth[second]
    return Outcome(
        scores=tuple(placed.score.low90 <= truth[placed.motor] <= placed.score.high90 for placed in found.motors),
        lead=found.lead.low90 <= lead <= found.lead.high90,
        figures=_figures_hold(day, drawn),
        chances=tuple((placed.chance_best, placed.motor == best) for placed in found.motors),
        clear=found.verdict == "clear",
        right=first == best,
        followed=_followed(day, found, seed),
    )


def _figures_hold(day: Day, drawn: Drawn) -> tuple[bool, ...]:
    """Whether KV, current and resistance lie within their intervals, each as a difference from the motors' mean."""
    motors = day.compared()
    truths = {KV: motors.kv, CURRENT: motors.current}
    if day.world.resistance:
        truths[RESISTANCE] = motors.resistance
    held: list[bool] = []
    for name, truth in truths.items():
        value, true = np.log(drawn.values[name]), np.log(truth)
        low, high = points(value - value.mean(axis=1, keepdims=True), (0.05, 0.95))
        held += ((low <= true - true.mean()) & (true - true.mean() <= high)).tolist()
    return tuple(held)


def _followed(day: Day, found: Ranking, seed: int) -> bool | None:
    """More runs of the two leaders in the last session, as many as asked for."""
    if found.settle is None or found.settle.runs is None:
        return None
    leaders, more = [placed.motor for placed in found.motors[:2]], found.settle.runs
    runs = day.tested.runs
    last = max(runs.session)
    before = [sum(m == motor and s == last for m, s in zip(runs.motor, runs.session, strict=True)) for motor in leaders]
    number = (np.array(before) + np.arange(more)[:, None]).ravel()
    rng = np.random.default_rng([seed, 1])
    after = tested(day, np.tile(leaders, more), np.full(2 * more, last), number, rng)
    return rank(draw(after.tested)).verdict == "clear"


def calibration_error(chances: Iterable[tuple[float, bool]]) -> float:
    """Expected calibration error over ten bins of equal width: mean distance of what was stated from what came true."""
    stated, came = np.array(list(chances), dtype=float).T
    which = np.minimum((10 * stated).astype(int), 9)
    apart = np.abs(np.bincount(which, stated, 10) - np.bincount(which, came, 10))
    return float(apart.sum() / stated.size)


@dataclass(frozen=True)
class Row:
    """One line of the table, shares from 0 to 1; None where there was nothing to count, as who is best of equals."""

    sets: int
    score: float
    lead: float
    figures: float
    error: float | None
    clear: float
    right: float | None
    asked: int
    followed: float | None


def summed_up(outcomes: Sequence[Outcome], *, equals: bool = False) -> Row:
    """Shares over all outcomes of one kind of day; equals: no motor is the best."""
    followed = [each.followed for each in outcomes if each.followed is not None]
    right = [each.right for each in outcomes if each.clear and not equals]
    return Row(
        sets=len(outcomes),
        score=float(np.mean([held for each in outcomes for held in each.scores])),
        lead=float(np.mean([each.lead for each in outcomes])),
        figures=float(np.mean([held for each in outcomes for held in each.figures])),
        error=None if equals else calibration_error(chance for each in outcomes for chance in each.chances),
        clear=float(np.mean([each.clear for each in outcomes])),
        right=float(np.mean(right)) if right else None,
        asked=len(followed),
        followed=float(np.mean(followed)) if followed else None,
    )


HEAD = (
    "| kind of day | days | score in its 90 % | lead in its 90 % | KV, I0, R in their 90 % | calibration error |"
    " clear | of them right | runs asked for | then clear |"
)


def line(name: str, row: Row) -> str:
    """A row of the table as it is printed."""
    shares = [_percent(share) for share in (row.score, row.lead, row.figures)]
    error = "" if row.error is None else f"{row.error:.3f}"
    cells = (name, str(row.sets), *shares, error, _percent(row.clear), _percent(row.right), str(row.asked))
    return f"| {' | '.join((*cells, _percent(row.followed)))} |"


def _percent(share: float | None) -> str:
    return "" if share is None else f"{100 * share:.1f} %"


def sample(name: str, sets: int, first_seed: int, each: Callable[..., Iterable[Outcome]] = map) -> Row:
    """A row from so many days; `each` maps over the seeds, in one process or several."""
    outcomes = list(each(partial(outcome, ROWS[name]), range(first_seed, first_seed + sets)))
    return summed_up(outcomes, equals=ROWS[name].identical)


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--sets", type=int, default=2000, help="simulated days a row")
    asked.add_argument("--seeds", choices=("reported", "chosen"), default="reported")
    asked.add_argument("--rows", default="", help="only rows whose name holds this")
    asked.add_argument("--processes", type=int, default=2)
    given = asked.parse_args()
    os.environ["OPENBLAS_NUM_THREADS"] = "1"  # the processes started below share the cores
    first = {"reported": REPORTED, "chosen": CHOSEN}[given.seeds]
    print(HEAD, "|---" * HEAD.count(" | ") + "|---|", sep="\n", flush=True)
    with multiprocessing.get_context("spawn").Pool(given.processes) as pool:
        for name in ROWS:
            if given.rows in name:
                print(line(name, sample(name, given.sets, first, partial(pool.imap, chunksize=20))), flush=True)


if __name__ == "__main__":
    main()
