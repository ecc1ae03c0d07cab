"""Whether intervals and chances hold on real repeated tests: field trials read as if they were bench currents.

`python -m tests.benchmarks.real_trials` prints the table (about a minute). Some sessions of a trial are what was
tested, all repeats loaded as runs of one clamping; the others are the truth. Values are taken in log and scaled so that
repeats within a session scatter by 1 %, as readings of a no-load current do; without repeats, what session and item do
not explain. A higher value is a lower current, so the best item has the lowest.

The truth is itself a mean of sessions with an error. It is accounted for: the difference of two items over m sessions
has the standard error of its m session differences, so the held-out mean is expected at the engine's draws plus that
error times Student's t with m − 1 degrees of freedom. `held` is the share of held-out means in that interval, `bare`
the share in the engine's own, as if they were exact. Chances of being best are scored against the best held-out mean;
`of that` is what they come to when the truth's error is added, the most they can come true. Splits share their data:
standard errors count test sessions, not splits.

Data: tests/reference/real/LICENCES.md.
"""

import argparse
import csv
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from pitbench.figures.comparison import draw
from pitbench.figures.conditions import RunConditions
from pitbench.figures.criteria import CURRENT
from pitbench.figures.intervals import points
from pitbench.figures.load_power import Load
from pitbench.figures.ranking import rank
from pitbench.figures.readings import Comparison, Readings
from tests.benchmarks.scores import Share, share

REAL = Path(__file__).parents[1] / "reference" / "real"
USUAL_A, NOISE_PCT = 4.0, 1.0
ALONE = {"load_power_w": 0.0, CURRENT: 1000.0}
"""Weights: the current alone, so heavy that what the bench cannot see of a motor's power is nothing beside it."""


@dataclass(frozen=True)
class Trial:
    """Readings of every item in every session, in percent of scaled log value: [items][sessions] of repeats."""

    cells: Sequence[Sequence[np.ndarray]]

    def means(self, items: np.ndarray, sessions: np.ndarray) -> np.ndarray:
        """Mean of every cell [items × sessions]."""
        return np.array([[self.cells[i][s].mean() for s in sessions] for i in items])


@cache
def trial(name: str) -> Trial:
    """A trial of tests/reference/real, with the sessions that have every item."""
    found: dict[tuple[str, str], list[float]] = defaultdict(list)
    with (REAL / f"{name}.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            found[row["item"], row["session"]].append(float(np.log(float(row["value"]))))
    items, sessions = (sorted({key[i] for key in found}) for i in (0, 1))
    sessions = [session for session in sessions if all((item, session) in found for item in items)]
    cells = [[np.array(found[item, session]) for session in sessions] for item in items]
    freedom = sum(cell.size - 1 for row in cells for cell in row)
    left = sum(((cell - cell.mean()) ** 2).sum() for row in cells for cell in row)
    if not freedom:
        means = np.array([[cell.mean() for cell in row] for row in cells])
        apart = means - means.mean(axis=0) - means.mean(axis=1, keepdims=True) + means.mean()
        left, freedom = float((apart**2).sum()), (len(items) - 1) * (len(sessions) - 1)
    scale = NOISE_PCT / np.sqrt(left / freedom)
    return Trial([[scale * cell for cell in row] for row in cells])


def as_bench(given: Trial, items: np.ndarray, sessions: np.ndarray) -> Comparison:
    """Items as motors, sessions as evenings, every repeat a run of one clamping that read only the current."""
    rows, number = [], []
    for motor, item in enumerate(items):
        for session, which in enumerate(sessions):
            for repeat, value in enumerate(given.cells[item][which]):
                rows.append((motor, session, USUAL_A * float(np.exp(-value / 100)), 1.0, len(rows)))
                number.append(repeat)
    none = [None] * len(rows)
    runs = RunConditions(
        motor=[row[0] for row in rows],
        session=[row[1] for row in rows],
        run_number=number,
        motor_temp=none,
        ambient=none,
        timing=none,
        timing_mark=none,
    )
    return Comparison(items.size, runs, {CURRENT: Readings.of(rows)}, Load("unknown", 7.6, 0.020, 3.7))


@dataclass(frozen=True)
class Split:
    """One split: which session was tested first; whether differences held, with and without the truth's error; chances
    of being best, whether each came true, and the same chances of the best of the held-out means."""

    first: int
    held: Sequence[bool]
    bare: Sequence[bool]
    chances: Sequence[float]
    came: Sequence[bool]
    of_that: Sequence[float]


def split(given: Trial, n_items: int, n_tested: int, seed: int) -> Split:
    """So many items, tested in so many sessions, against all other sessions."""
    rng = np.random.default_rng(seed)
    items = np.sort(rng.permutation(len(given.cells))[:n_items])
    sessions = rng.permutation(len(given.cells[0]))
    kept = given.means(items, sessions[n_tested:])
    truth, left_out = kept.mean(axis=1), kept.shape[1]
    drawn = draw(as_bench(given, items, sessions[:n_tested]))
    better = -100 * np.log(drawn.values[CURRENT] / USUAL_A)
    one, other = np.triu_indices(n_items, 1)
    differences, true = better[:, one] - better[:, other], truth[one] - truth[other]
    apart = kept[one] - kept[other]
    student = rng.standard_t(left_out - 1, differences.shape)
    expected = differences + apart.std(axis=1, ddof=1) / np.sqrt(left_out) * student
    found = sorted(rank(drawn, ALONE).motors, key=lambda placed: placed.motor)
    # An error of the held-out means, item by item: what session and item do not explain there.
    residual = kept - kept.mean(axis=0) - truth[:, None] + truth.mean()
    freedom = (n_items - 1) * (left_out - 1)
    error = np.sqrt((residual**2).sum() / freedom / left_out)
    observed = better + error * rng.standard_t(freedom, better.shape)
    return Split(
        first=int(sessions[0]),
        held=_within(expected, true),
        bare=_within(differences, true),
        chances=[placed.chance_best for placed in found],
        came=[item == int(truth.argmax()) for item in range(n_items)],
        of_that=(np.bincount(observed.argmax(axis=1), minlength=n_items) / observed.shape[0]).tolist(),
    )


def _within(draws: np.ndarray, truth: np.ndarray) -> list[bool]:
    low, high = points(draws, (0.05, 0.95))
    return [bool(each) for each in (low <= truth) & (truth <= high)]


@dataclass(frozen=True)
class Row:
    """A line of the table: shares from 0 to 1. leader: what was stated of whoever led, and how often it was the best;
    sure: the same of all chances from 0.9 on, None where there is none."""

    splits: int
    held: Share | None
    bare: Share | None
    leader: tuple[Share | None, Share | None, Share | None]
    sure: tuple[Share | None, Share | None, Share | None]


def summed_up(found: Sequence[Split]) -> Row:
    """Shares over splits, their standard errors by the session tested first."""
    by_first: dict[int, list[Split]] = defaultdict(list)
    for each in found:
        by_first[each.first].append(each)
    groups = list(by_first.values())
    return Row(
        splits=len(found),
        held=share([held for each in group for held in each.held] for group in groups),
        bare=share([held for each in group for held in each.bare] for group in groups),
        leader=_chances(groups, lambda each: [int(np.argmax(each.chances))]),
        sure=_chances(groups, lambda each: np.flatnonzero(np.array(each.chances) >= 0.9).tolist()),
    )


def _chances(groups, which) -> tuple[Share | None, Share | None, Share | None]:
    """What was stated, what came true, and what could have, of the items that `which` picks from a split."""
    stated, came, of_that = (
        share([getattr(each, name)[item] for each in group for item in which(each)] for group in groups)
        for name in ("chances", "came", "of_that")
    )
    return stated, came, of_that


CASES = {
    "peanut, 6 items, 1 session": ("kang_peanut", 6, 1),
    "peanut, 6 items, 2 sessions": ("kang_peanut", 6, 2),
    "peanut, 6 items, 4 sessions": ("kang_peanut", 6, 4),
    "peanut, 2 items, 2 sessions": ("kang_peanut", 2, 2),
    "wheat, 6 items, 1 session": ("yan_winterwheat", 6, 1),
    "wheat, 6 items, 2 sessions": ("yan_winterwheat", 6, 2),
    "wheat, 2 items, 2 sessions": ("yan_winterwheat", 2, 2),
    "wheat, 18 items, 3 sessions": ("yan_winterwheat", 18, 3),
}
COLUMNS = (
    *("trial", "splits", "held", "bare", "leader stated", "came true", "of that"),
    *("sure: 0.9 on", "sure, stated", "sure, came true", "sure, of that"),
)


def sample(name: str, splits: int, first_seed: int = 0) -> Row:
    """A row from so many splits."""
    of, items, sessions = CASES[name]
    return summed_up([split(trial(of), items, sessions, first_seed + each) for each in range(splits)])


def line(name: str, row: Row) -> str:
    """A row of the table as it is printed."""
    number = str(row.sure[0].cases) if row.sure[0] else "0"
    cells = (name, str(row.splits), *map(_percent, (row.held, row.bare, *row.leader)), number, *map(_percent, row.sure))
    return f"| {' | '.join(cells)} |"


def _percent(found: Share | None) -> str:
    return "" if found is None else f"{100 * found.value:.1f} ± {100 * found.error:.1f}"


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--splits", type=int, default=400, help="random splits a row")
    given = asked.parse_args()
    print(f"| {' | '.join(COLUMNS)} |", "|---" * len(COLUMNS) + "|", sep="\n", flush=True)
    for name in CASES:
        print(line(name, sample(name, given.splits)), flush=True)


if __name__ == "__main__":
    main()
