"""Whether drift flags and what is said of wear come true: simulated seasons, one row of the table a kind of season.

`python -m tests.benchmarks.wear --seasons 400` prints the table (about 25 minutes of one core); a small sample of it is
a test. Settings were chosen on seeds from 0 on and are reported on seeds from 1,000,000 on. A motor-season counts
once its newest state has four bench sessions with track minutes between them. Flags are looked at after every evening:
a steady motor counts that carried one on any evening of its season, and a changed one is found if it was flagged on an
evening since it changed. A change is three times the standard deviation of a session mean of the motor, the mood of the
evening taken out by the others.
"""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

from pitbench.figures.comparison import draw
from pitbench.figures.criteria import CURRENT, KV
from pitbench.figures.wear import Wear, wear
from tests.benchmarks.motor_seasons import Season, World, draw_season, up_to
from tests.benchmarks.scores import Share, share

REPORTED, CHOSEN = 1_000_000, 0
MARGIN = 0.5
FIRST_LOOK = 3
"""The evening after which a motor can have sessions enough."""
STEADY, STEP, WORN = World(), World(changed=1), World(changed=1, kind="wear")
ROWS = {
    "steady": STEADY,
    "steady, tester twice as noisy": replace(STEADY, noise=2.0),
    "steady, moods twice as wide": replace(STEADY, mood=2.0),
    "steady, clampings 1.2 sigma": replace(STEADY, clamping=1.2),
    "steady, noise with heavy tails": replace(STEADY, tail=4.0),
    "steady, on the bench every other evening": replace(STEADY, there=0.5),
    "steady, two motors": replace(STEADY, motors=(2,)),
    "steady, worked on": replace(STEADY, worked=0.5),
    "steady, twenty evenings or more": replace(STEADY, evenings=(20, 26)),
    "one steps": STEP,
    "one steps, tester twice as noisy": replace(STEP, noise=2.0),
    "one steps, moods twice as wide": replace(STEP, mood=2.0),
    "one steps, clampings 1.2 sigma": replace(STEP, clamping=1.2),
    "one steps, three motors": replace(STEP, motors=(3,)),
    "one steps, ten evenings or more": replace(STEP, evenings=(10, 14)),
    "one steps, worked on": replace(STEP, worked=0.5),
    "one steps, raced or not": replace(STEP, idle=True),
    "one wears": WORN,
    "one wears, ten evenings or more": replace(WORN, evenings=(10, 14)),
    "half of them wear": replace(WORN, changed=3, motors=(6,)),
}


@dataclass(frozen=True)
class Outcome:
    """One season, by motor: of steady ones whether one was flagged after any evening, and at the end; of changed ones
    whether one was flagged on an evening since, and at the end; whether the 90 % interval of the change of KV and
    current held the truth."""

    ever: Sequence[bool]
    steady: Sequence[bool]
    found: Sequence[bool]
    changed: Sequence[bool]
    held: Sequence[bool]


def flagged(found: Wear) -> bool:
    """Whether a motor carries a flag."""
    return any(moved.drift for moved in found.figures.values())


def found_in(season: Season) -> dict[int, Wear]:
    """What is said at the end of a season."""
    return wear(draw(season.tested, n_draws=40), season.minutes / 60, MARGIN)


def outcome(world: World, seed: int) -> Outcome:
    """One simulated season, looked at after each of its evenings."""
    season = draw_season(world, seed)
    at_end, changed, last = found_in(season), season.changed, max(season.tested.runs.session)
    flags = [(last, motor) for motor, each in at_end.items() if flagged(each)]
    for evening in range(FIRST_LOOK, last):
        said = found_in(up_to(season, evening))
        flags += [(evening, motor) for motor, each in said.items() if flagged(each)]
    steady = [motor for motor in at_end if motor not in changed]
    return Outcome(
        ever=[any(motor == each for _, each in flags) for motor in steady],
        steady=[flagged(at_end[motor]) for motor in steady],
        found=[
            any(motor == each and evening >= season.since[motor] for evening, each in flags)
            for motor in changed
            if motor in at_end
        ],
        changed=[flagged(at_end[motor]) for motor in changed if motor in at_end],
        held=[
            moved.change.low90 <= changed.get(motor, {}).get(name, 0.0) <= moved.change.high90
            for motor, each in at_end.items()
            for name, moved in each.figures.items()
            if name in (KV, CURRENT)
        ],
    )


@dataclass(frozen=True)
class Row:
    """One line of the table; None where there was nothing to count."""

    seasons: int
    ever: Share | None
    steady: Share | None
    found: Share | None
    changed: Share | None
    held: Share | None


def sample(world: World, seasons: int, first: int) -> Row:
    """A row from so many seasons."""
    outcomes = [outcome(world, seed) for seed in range(first, first + seasons)]
    return Row(seasons, *(share([getattr(each, part.name) for each in outcomes]) for part in fields(Outcome)))


HEAD = (
    *("kind of season", "seasons", "steady motors flagged on any evening", "at its end"),
    *("changed motors found", "still flagged at its end", "90 % intervals of the change that hold it"),
)


def line(name: str, row: Row) -> str:
    """A row of the table as it is printed, in percent with standard errors."""
    cells = (_percent(each) for each in (row.ever, row.steady, row.found, row.changed, row.held))
    return f"| {' | '.join((name, str(row.seasons), *cells))} |"


def _percent(found: Share | None) -> str:
    return "" if found is None else f"{100 * found.value:.1f} ± {100 * found.error:.1f}"


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seasons", type=int, default=400, help="simulated seasons a row")
    asked.add_argument("--seeds", choices=("reported", "chosen"), default="reported")
    asked.add_argument("--rows", nargs="+", default=[""], help="only rows whose name holds one of these")
    given = asked.parse_args()
    first = {"reported": REPORTED, "chosen": CHOSEN}[given.seeds]
    print(f"| {' | '.join(HEAD)} |", "|---" * len(HEAD) + "|", sep="\n", flush=True)
    for name, world in ROWS.items():
        if any(part in name for part in given.rows):
            print(line(name, sample(world, given.seasons, first)), flush=True)


if __name__ == "__main__":
    main()
