"""How the heat forecast holds on race days by a physics it was not made for, and where something is not as written.

`python -m tests.benchmarks.unseen_heat` prints the tables (about ten minutes on one core). Settings are chosen on the
worlds and seeds of `--half chosen`, and reported on the others. What comes is a reading in air about 1 K off the plan.
"""

import argparse
import os
from collections.abc import Sequence

import numpy as np

from pitbench.figures.forecast import CEILING_C
from tests.benchmarks.temperature import CHOSEN, REPORTED, Outcome, error, outcomes, reliability
from tests.benchmarks.unseen_heat_days import BANK, ROWS, WORLDS, Unseen, draw

FIRST = 3
"""The first run that is forecast: before it nothing was learned that a world could show."""


def forecasts_of(world: Unseen, worlds: int, seed: int, first: int = FIRST) -> tuple[list[list[Outcome]], np.ndarray]:
    """Forecasts of every world, and whether the reading at its longest rollout was over the limit; NaN: beyond BANK."""
    season, read, usual = draw(world, worlds, seed)
    found = [outcomes(season, first, at, longest=True) for at in range(worlds)]
    over = []
    for at, each in enumerate(found):
        share = (each[-1].longest_mm or np.nan) / usual[at, 0]
        inside = BANK[0] < share < BANK[-1]
        over.append(float(np.interp(share, BANK, read[at]) > CEILING_C) if inside else np.nan)
    return found, np.array(over)


def _share(of: Sequence[float] | np.ndarray) -> str:
    """A share in percent with its standard error."""
    values = np.asarray(of, dtype=float)
    values = values[~np.isnan(values)]
    if not values.size:
        return "–"
    return f"{100 * values.mean():.1f} ± {100 * np.sqrt(values.mean() * (1 - values.mean()) / values.size):.1f}"


def _by_world(found: Sequence[Sequence[Outcome]], what: str) -> str:
    """A share of forecasts in percent; its standard error from worlds, whose forecasts belong together."""
    each = np.array([np.mean([getattr(one, what) for one in world]) for world in found])
    return f"{100 * each.mean():.1f} ± {100 * each.std(ddof=1) / np.sqrt(each.size):.1f}"


def print_worlds(half: str, worlds: int, seed: int) -> None:
    """Coverage, score, error and longest rollout in every kind of world of one half."""
    print("| world | forecasts | 90 % band | 50 % band | skill (CRPS) | error, K | ÷ last run | longest is over, % |")
    print("|---" * 8 + "|")
    pooled: list[list[Outcome]] = []
    overs = []
    for i, (name, world) in enumerate(WORLDS[half].items()):
        found, over = forecasts_of(world, worlds, seed + i)
        _print_world(name, found, over)
        pooled, overs = pooled + found, [*overs, over]
    _print_world("all", pooled, np.concatenate(overs))
    print("\n| chance over the limit | how many | stated | came true |", "|---|---|---|---|", sep="\n")
    for i, each in enumerate(reliability([one for world in pooled for one in world])):
        print(f"| bin {i + 1} | {each.count} | {100 * each.stated:.1f} % | {100 * each.came:.1f} % |")


def _print_world(name: str, found: list[list[Outcome]], over: np.ndarray) -> None:
    every = [one for world in found for one in world]
    kept, ratio = int((~np.isnan(over)).sum()), error(every) / error(every, "last run")
    skill = 1 - np.mean([one.crps for one in every]) / np.mean([one.crps_mean_rise for one in every])
    print(
        f"| {name} | {len(every)} | {_by_world(found, 'held')} | {_by_world(found, 'held_half')} | {skill:.3f} "
        f"| {error(every):.2f} | {ratio:.3f} | {_share(over)} of {kept} |",
        flush=True,
    )


def print_rows(worlds: int, seed: int) -> None:
    """Coverage of the last forecast of a day on which something is not as written; of a change also the first two."""
    asked = ("something_changed", "delay_unknown", "start_outside")
    print(f"\n| day | forecast | 90 % band | 50 % band | bias, K | half width, K | {' | '.join(asked)} |")
    print("|---" * 9 + "|")
    for name, world in ROWS.items():
        found, _ = forecasts_of(world, worlds, seed + 300, 9)
        which = {"10th run": 0, "11th run": 1, "12th run": 2} if world.changes_at else {"12th run": 2}
        for said, at in which.items():
            ones = [each[at] for each in found]
            bias = np.mean([one.median - one.true for one in ones])
            flagged = [_share([flag in one.flags for one in ones]) for flag in asked]
            print(
                f"| {name} | {said} | {_share([one.held for one in ones])} | {_share([one.held_half for one in ones])} "
                f"| {bias:+.1f} | {np.mean([one.half_width for one in ones]):.1f} | {' | '.join(flagged)} |",
                flush=True,
            )


def main() -> None:
    """Print the tables."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--half", choices=tuple(WORLDS), default="reported")
    asked.add_argument("--worlds", type=int, default=150, help="worlds of a kind")
    asked.add_argument("--days", type=int, default=300, help="days of a row")
    given = asked.parse_args()
    seed = {"reported": REPORTED, "chosen": CHOSEN}[given.half]
    print_worlds(given.half, given.worlds, seed)
    print_rows(given.days, seed)


if __name__ == "__main__":
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    main()
