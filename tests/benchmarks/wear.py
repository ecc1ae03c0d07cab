"""Whether drift flags and what is said of wear come true: simulated seasons, one row of the table a kind of season.

`python -m tests.benchmarks.wear --seasons 1000` prints the table (about ten minutes of one core); a small sample of it
is a test. Settings were chosen on seeds from 0 on and are reported on seeds from 1,000,000 on. A motor-season counts
once its newest state has four bench sessions with track minutes between them. A change is three times the standard
deviation of a session mean of the motor, the mood of the evening taken out by the others.
"""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pitbench.figures.comparison import draw
from pitbench.figures.criteria import CURRENT, KV
from pitbench.figures.wear import Wear, wear
from tests.benchmarks.motor_seasons import Season, World, draw_season, up_to
from tests.benchmarks.scores import Share, share

REPORTED, CHOSEN = 1_000_000, 0
MARGIN = 0.5
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
    "one steps": STEP,
    "one steps, tester twice as noisy": replace(STEP, noise=2.0),
    "one steps, moods twice as wide": replace(STEP, mood=2.0),
    "one steps, clampings 1.2 sigma": replace(STEP, clamping=1.2),
    "one steps, three motors": replace(STEP, motors=(3,)),
    "one steps, ten evenings or more": replace(STEP, evenings=(10, 14)),
    "one steps, worked on": replace(STEP, worked=0.5),
    "one wears": WORN,
    "one wears, ten evenings or more": replace(WORN, evenings=(10, 14)),
    "half of them wear": replace(WORN, changed=3, motors=(6,)),
}


@dataclass(frozen=True)
class Outcome:
    """One season, by motor: whether it was flagged at the end, of steady motors and of changed ones; whether a steady
    one was flagged after any evening; whether the 90 % interval of the change of KV and current held the truth."""

    steady: Sequence[bool]
    changed: Sequence[bool]
    ever: Sequence[bool]
    held: Sequence[bool]


def flagged(found: Wear) -> bool:
    """Whether a motor carries a flag."""
    return any(moved.drift for moved in found.figures.values())


def found_in(season: Season) -> dict[int, Wear]:
    """What is said at the end of a season."""
    return wear(draw(season.tested, n_draws=200), season.minutes / 60, MARGIN)


def outcome(world: World, seed: int, every_evening: bool = False) -> Outcome:
    """One simulated season; every_evening: also what was said after each of its evenings."""
    season = draw_season(world, seed)
    found, changed = found_in(season), season.changed
    ever = {motor for motor, each in found.items() if flagged(each)}
    for evening in range(3, max(season.tested.runs.session)) if every_evening else ():
        ever |= {motor for motor, each in found_in(up_to(season, evening)).items() if flagged(each)}
    return Outcome(
        steady=[flagged(each) for motor, each in found.items() if motor not in changed],
        changed=[flagged(each) for motor, each in found.items() if motor in changed],
        ever=[motor in ever for motor in found if motor not in changed] if every_evening else [],
        held=[
            moved.change.low90 <= changed.get(motor, {}).get(name, 0.0) <= moved.change.high90
            for motor, each in found.items()
            for name, moved in each.figures.items()
            if name in (KV, CURRENT)
        ],
    )


@dataclass(frozen=True)
class Row:
    """One line of the table; None where there was nothing to count."""

    seasons: int
    steady: Share | None
    changed: Share | None
    ever: Share | None
    held: Share | None


def sample(world: World, seasons: int, first: int, every_evening: bool = False) -> Row:
    """A row from so many seasons; every_evening: of a quarter of them, for it takes long."""
    ends = first + seasons // 4 if every_evening else first
    found = [outcome(world, seed, seed < ends) for seed in range(first, first + seasons)]
    shares = (share([getattr(each, name) for each in found]) for name in ("steady", "changed", "ever", "held"))
    return Row(seasons, *shares)


HEAD = (
    *("kind of season", "seasons", "steady motors flagged at its end", "changed motors flagged at its end"),
    *("steady motors flagged after any evening", "90 % intervals of the change that hold it"),
)


def line(name: str, row: Row) -> str:
    """A row of the table as it is printed, in percent with standard errors."""
    cells = (_percent(each) for each in (row.steady, row.changed, row.ever, row.held))
    return f"| {' | '.join((name, str(row.seasons), *cells))} |"


def _percent(found: Share | None) -> str:
    return "" if found is None else f"{100 * found.value:.1f} ± {100 * found.error:.1f}"


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seasons", type=int, default=1000, help="simulated seasons a row")
    asked.add_argument("--seeds", choices=("reported", "chosen"), default="reported")
    asked.add_argument("--rows", nargs="+", default=[""], help="only rows whose name holds one of these")
    given = asked.parse_args()
    first = {"reported": REPORTED, "chosen": CHOSEN}[given.seeds]
    print(f"| {' | '.join(HEAD)} |", "|---" * len(HEAD) + "|", sep="\n", flush=True)
    for name, world in ROWS.items():
        if any(part in name for part in given.rows):
            print(line(name, sample(world, given.seasons, first, name == "steady")), flush=True)


if __name__ == "__main__":
    main()
