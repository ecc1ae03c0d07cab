"""Whether stated chances come true: simulated bench days through the ranking, one row of the table a kind of day.

`python -m tests.benchmarks.calibration --sets 2000` prints the table (about ten minutes on two idle cores); a small
sample of it is a test. Settings were chosen on seeds from 0 on and are reported on seeds from 1,000,000 on. Standard
errors stand behind what they belong to.
"""

import argparse
import multiprocessing
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from pitbench.figures.comparison import Drawn, draw
from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.intervals import points
from pitbench.figures.ranking import Ranking, rank
from tests.benchmarks.bench_days import Day, World, draw_day, tested
from tests.benchmarks.kinds_of_days import ROWS
from tests.benchmarks.scores import Share, calibration_error, crps, log_skill, share

REPORTED, CHOSEN = 1_000_000, 0
POWER, SCORE, LEAD = "power", "score", "lead"
HELD = {KV: "KV", CURRENT: "I0", RESISTANCE: "R", POWER: "power", LEAD: "lead", SCORE: "score"}
"""What has 90 % intervals: differences between any two motors of the figures and the power, the lead, own scores."""


@dataclass(frozen=True)
class Outcome:
    """One day: whether intervals held the truth, chances with what came of them, and the verdict.

    crps: of the difference in power of every two motors, percent. followed: whether the verdict was clear after as many
    more runs as asked for, None where runs were not the answer.
    """

    held: Mapping[str, Sequence[bool]]
    crps: Sequence[float]
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
    worth = truth + day.motors.unseen
    best = int(np.argmax(worth))
    first, second = (placed.motor for placed in found.motors[:2])
    pairs = _differences(day, drawn)
    return Outcome(
        held={
            **{name: _within(*pair) for name, pair in pairs.items()},
            LEAD: [found.lead.low90 <= truth[first] - truth[second] <= found.lead.high90],
            SCORE: [placed.score.low90 <= truth[placed.motor] <= placed.score.high90 for placed in found.motors],
        },
        crps=crps(*pairs[POWER]).tolist(),
        chances=tuple((placed.chance_best, placed.motor == best) for placed in found.motors),
        clear=found.verdict == "clear",
        right=bool(worth[first] >= worth[best]),
        followed=_followed(day, found, seed),
    )


def _differences(day: Day, drawn: Drawn) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Draws [draws × pairs] and truth [pairs] of the difference between any two motors, percent, by figure."""
    motors, one, other = day.compared(), *np.triu_indices(day.motors.kv.size, 1)
    truths = {KV: motors.kv, CURRENT: motors.current}
    if day.world.resistance:
        truths[RESISTANCE] = motors.resistance
    found = {name: (100 * np.log(drawn.values[name]), 100 * np.log(truth)) for name, truth in truths.items()}
    watts = drawn.power.watts
    found[POWER] = (100 * (watts / watts.mean(axis=1, keepdims=True) - 1), day.true_score())
    return {
        name: (draws[:, one] - draws[:, other], truth[one] - truth[other]) for name, (draws, truth) in found.items()
    }


def _within(draws: np.ndarray, truth: np.ndarray) -> list[bool]:
    """Whether the truth of every column lies in the 90 % interval of its draws."""
    low, high = points(draws, (0.05, 0.95))
    return [bool(each) for each in (low <= truth) & (truth <= high)]


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


@dataclass(frozen=True)
class Row:
    """One line of the table, shares from 0 to 1; None where there was nothing to count, as who is best of equals.

    skill: log score of the chances above knowing nothing, nats a day. crps: of differences in power, percent.
    """

    sets: int
    held: Mapping[str, Share | None]
    error: float | None
    clear: Share | None
    wrong: Share | None
    skill: Share | None
    crps: Share | None
    asked: int
    followed: float | None


def summed_up(outcomes: Sequence[Outcome], *, equals: bool = False) -> Row:
    """Shares over all outcomes of one kind of day; equals: no motor is the best."""
    followed = [each.followed for each in outcomes if each.followed is not None]
    unequal = [] if equals else outcomes
    return Row(
        sets=len(outcomes),
        held={name: share(each.held.get(name, ()) for each in outcomes) for name in HELD},
        error=None if equals else calibration_error(chance for each in outcomes for chance in each.chances),
        clear=share([each.clear] for each in outcomes),
        wrong=share([not each.right] for each in unequal if each.clear),
        skill=share([log_skill(each.chances)] for each in unequal),
        crps=share(each.crps for each in outcomes),
        asked=len(followed),
        followed=float(np.mean(followed)) if followed else None,
    )


COLUMNS = (
    *("kind of day", "days", *HELD.values(), "calibration error", "clear", "of them wrong"),
    *("log skill, nats", "CRPS of power, %", "runs asked for", "then clear"),
)
HEAD = f"| {' | '.join(COLUMNS)} |"


def line(name: str, row: Row) -> str:
    """A row of the table as it is printed."""
    held = [_percent(row.held[each]) for each in HELD]
    error = "" if row.error is None else f"{row.error:.3f}"
    scores = (_plain(row.skill), _plain(row.crps))
    followed = "" if row.followed is None else f"{100 * row.followed:.0f} %"
    cells = (name, str(row.sets), *held, error, _percent(row.clear), _percent(row.wrong), *scores, str(row.asked))
    return f"| {' | '.join((*cells, followed))} |"


def _percent(found: Share | None) -> str:
    return "" if found is None else f"{100 * found.value:.1f} ± {100 * found.error:.1f}"


def _plain(found: Share | None) -> str:
    return "" if found is None else f"{found.value:.3f} ± {found.error:.3f}"


def sample(name: str, sets: int, first_seed: int, each: Callable[..., Iterable[Outcome]] = map) -> Row:
    """A row from so many days; `each` maps over the seeds, in one process or several."""
    outcomes = list(each(partial(outcome, ROWS[name]), range(first_seed, first_seed + sets)))
    return summed_up(outcomes, equals=ROWS[name].identical)


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--sets", type=int, default=2000, help="simulated days a row")
    asked.add_argument("--seeds", choices=("reported", "chosen"), default="reported")
    asked.add_argument("--rows", nargs="+", default=[""], help="only rows whose name holds one of these")
    asked.add_argument("--processes", type=int, default=2)
    given = asked.parse_args()
    os.environ["OPENBLAS_NUM_THREADS"] = "1"  # the processes started below share the cores
    first = {"reported": REPORTED, "chosen": CHOSEN}[given.seeds]
    print(HEAD, "|---" * len(COLUMNS) + "|", sep="\n", flush=True)
    with multiprocessing.get_context("spawn").Pool(given.processes) as pool:
        for name in ROWS:
            if any(part in name for part in given.rows):
                print(line(name, sample(name, given.sets, first, partial(pool.imap, chunksize=20))), flush=True)


if __name__ == "__main__":
    main()
