"""How often a link is found where there is none, and where there is one, over simulated seasons.

`python -m tests.benchmarks.link --seasons 400` prints a row a kind of season (about 0.15 s a season on one core).
False findings: seasons in which any figure had p of 0.05 or less for pace or finish temperature. Beside it what would
have been said of the same seasons if runs, not whole motors, were taken as independent, and the mean skill of the best
figure, which is above 0 without any link: why no skill is shown without its p.
"""

import argparse
from dataclasses import dataclass

import numpy as np
from scipy import stats

from pitbench.desk.comparing.link import BENCH, FINISH, PACE, Linked
from pitbench.desk.comparing.ranking import compare
from tests.benchmarks.race_seasons import World, draw_season

REPORTED, CHOSEN = 1_000_000, 0
ALPHA = 0.05
WITHOUT = {
    "no link": World(),
    "no link, 6 motors, 4 events": World(motors=6, events=4),
    "no link, 12 motors": World(motors=12, events=6),
    "no link, motors far apart": World(motor_pct=1.0),
    "no link, motors lucky by the event": World(day_pct=0.6),
    "no link, few raced": World(raced=0.35),
}
WITH = {
    "power tells pace": World(pace="power"),
    "power tells pace, driver steady": World(pace="power", run_pct=0.15, unseen_pct=0.1),
    "imbalance tells pace": World(pace="imbalance"),
    "current tells temperature": World(heat="current"),
    "power tells pace, current temperature": World(pace="power", heat="current"),
}
FIGURE = {"power": (PACE, "load_power_w"), "imbalance": (PACE, "pole_imbalance_pct"), "current": (FINISH, BENCH[2])}


@dataclass(frozen=True)
class Row:
    """Shares of seasons: any: some p ≤ 0.05; right: the figure that is linked has; independent: some figure had, runs
    taken as independent and corrected for the figures. best_skill: mean, of pace; unseen: its median, percent."""

    any: float
    right: float
    independent: float
    best_skill: float
    unseen: float
    seasons: int


def sample(world: World, seasons: int, first_seed: int) -> Row:
    """Seasons of one kind; those without enough count as none found."""
    found = [one(world, seed) for seed in range(first_seed, first_seed + seasons)]
    any_, right, independent, skill, unseen = (np.array(column, dtype=float) for column in zip(*found, strict=True))
    return Row(any_.mean(), right.mean(), independent.mean(), np.nanmean(skill), float(np.median(unseen)), seasons)


def one(world: World, seed: int) -> tuple[bool, bool, bool, float, float]:
    """What was found in one season."""
    link = compare(draw_season(world, seed).snapshot()).link
    assert link is not None
    told = {(target, name): each for target in link.told for name, each in zip(BENCH, link.told[target], strict=True)}
    known = {at for at, each in told.items() if each is not None and each.p_value <= ALPHA}
    wanted = {FIGURE[each] for each in (world.pace, world.heat) if each in FIGURE}
    skills = [each.skill for (target, _), each in told.items() if target == PACE and each is not None]
    best = max(skills, default=float("nan"))
    return bool(known), bool(wanted) and wanted <= known, _runs_independent(link), best, link.unseen_pct


def _runs_independent(link: Linked) -> bool:
    """Whether some figure passes a t-test on runs inside days, Bonferroni over the figures of both targets."""
    least = 1.0
    for season in link.seasons.values():
        own = season.motors
        bench = link.bench[own] - np.nanmean(link.bench[own], axis=0)
        information, pull = season.information[np.ix_(own, own)], season.pull.sum(axis=0)[own]
        for x in bench.T:
            sxx, sxy = x @ information @ x, x @ pull
            freedom = season.runs - season.by_event.shape[1] - 1
            left = (season.squares.sum() - sxy**2 / sxx) / freedom
            least = min(least, float(2 * stats.t.sf(abs(sxy) / np.sqrt(sxx * left), freedom)))
    return least * len(BENCH) * len(link.seasons) <= ALPHA


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seasons", type=int, default=400)
    asked.add_argument("--seeds", choices=("reported", "chosen"), default="reported")
    given = asked.parse_args()
    first = {"reported": REPORTED, "chosen": CHOSEN}[given.seeds]
    print("| season | some figure found | the linked one | runs taken as independent | best skill | unseen, % |")
    print("|---|---|---|---|---|---|")
    for name, world in {**WITHOUT, **WITH}.items():
        row = sample(world, given.seasons, first)
        right = "" if name in WITHOUT else f"{row.right:.3f}"
        print(
            f"| {name} | {row.any:.3f} | {right} | {row.independent:.3f} | {row.best_skill:+.2f} | {row.unseen:.2f} |",
            flush=True,
        )


if __name__ == "__main__":
    main()
