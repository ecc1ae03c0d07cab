"""What motor temperatures in load logs bring the heat forecast, by the physics of `unseen_heat_days`.

`python -m tests.benchmarks.logged_heat` prints the table (about ten minutes on one core): the last run of two events of
six, with no run logged, with half of them logged, with all logged, and where of the logged ones nobody read the can.
Settings were chosen on `--half chosen` and are reported on the other.
"""

import argparse
import os
from collections.abc import Sequence

import numpy as np

from pitbench.figures.log_heat import LoggedCan
from tests.benchmarks.temperature import CHOSEN, REPORTED, Logs, Outcome, error, outcomes
from tests.benchmarks.unseen_heat_days import LOGGED_AT, ROWS, WORLDS, Unseen, draw

LAST = 9
"""The first run that is forecast: of the last event the later half."""
ROWS_WITH = (
    "as written down",
    "main of 8 min after runs of 5",
    "main of 10 min after runs of 5",
    "lengths from 4 to 8 min",
)
ALL, HALF = range(12), range(0, 12, 2)
KINDS = {"none": ((), ()), "half": (HALF, ()), "all": (ALL, ()), "half, can not read then": (HALF, HALF)}
"""Which runs were logged, and which of them nobody read."""


def found_in(world: Unseen, worlds: int, seed: int, first: int = LAST) -> dict[str, list[Outcome]]:
    """The same forecasts with every kind of logs."""
    probed: list[np.ndarray] = []
    season, _, _ = draw(world, worlds, seed, probed)
    found: dict[str, list[Outcome]] = {kind: [] for kind in KINDS}
    for at in range(worlds):
        length, air = season.length[at], season.ambient[at]
        curves = [
            LoggedCan((LOGGED_AT * length[run]).tolist(), probed[run][at].tolist(), air[run])
            for run in range(length.size)
        ]
        for kind, (logged, alone) in KINDS.items():
            logs: Logs = [curve if run in logged else None for run, curve in enumerate(curves)]
            found[kind] += outcomes(season, first, at, logs=logs, alone=alone)
    return found


def row(name: str, kind: str, found: Sequence[Outcome]) -> str:
    """One line of the table."""
    held, half, width = (
        np.mean([getattr(each, what) for each in found]) for what in ("held", "held_half", "half_width")
    )
    crps = np.mean([each.crps for each in found])
    bias = np.mean([each.median - each.true for each in found])
    return (
        f"| {name} | {kind} | {len(found)} | {100 * held:.1f} | {100 * half:.1f} | {bias:+.1f} | {width:.1f} "
        f"| {error(found):.2f} | {crps:.3f} |"
    )


def main() -> None:
    """Prints the table."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--half", choices=tuple(WORLDS), default="reported")
    asked.add_argument("--worlds", type=int, default=100, help="worlds of a kind")
    given = asked.parse_args()
    seed = {"reported": REPORTED, "chosen": CHOSEN}[given.half]
    kinds = {name: ROWS[name] for name in ROWS_WITH} | WORLDS[given.half]
    heads = ("days", "logged", "forecasts", "90 % band", "50 % band", "bias, K", "half width, K", "error, K", "CRPS, K")
    print("| " + " | ".join(heads) + " |\n" + "|---" * len(heads) + "|")
    for nth, (name, world) in enumerate(kinds.items()):
        for kind, found in found_in(world, given.worlds, seed + 300 + nth).items():
            print(row(name, kind, found), flush=True)


if __name__ == "__main__":
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    main()
