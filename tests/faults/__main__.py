"""All faults at full size, and one table: python -m tests.faults [--quick] [--only faults|fuzz]. Takes some minutes.

Exit status 1 when anything was lost, could not be read, or was taken without a word.
"""

import argparse
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.faults.calls import every_call
from tests.faults.full_disk import full_disk
from tests.faults.kills import kills
from tests.faults.plug import JUST, MORE, Row
from tests.faults.power_cuts import power_cuts

HEADS = ("fault", "times", "saves said to be done", JUST, MORE, "lost or unreadable", "seconds")


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a twentieth of it")
    parser.add_argument("--only", choices=["faults", "fuzz"], help="half of it")
    args = parser.parse_args()
    part = 20 if args.quick else 1
    failed = False
    if args.only != "fuzz":
        failed |= _faults(part)
    if args.only != "faults":
        from tests.faults.fuzz import fuzz

        failed |= fuzz(10_000 // part)
    return int(failed)


def _faults(part: int) -> bool:
    with tempfile.TemporaryDirectory() as folder:
        steps: list[Callable[[], list[Row]]] = [
            lambda: [kills(Path(folder), 500 // part, saves_before=210)],
            lambda: every_call(None if part == 1 else 5),
            lambda: [full_disk(20 // part + 1)],
            lambda: [power_cuts(100 // part)],
        ]
        print(f"| {' | '.join(HEADS)} |\n|{'---|' * len(HEADS)}")
        rows = [row for step in steps for row in _timed(step)]
    return any(row.failed for row in rows)


def _timed(step: Callable[[], list[Row]]) -> list[Row]:
    began = time.perf_counter()
    rows = step()
    for row in rows:
        just, more = row.states[JUST], row.states[MORE]
        bad = row.states.total() - just - more
        counts = f"{row.faults} | {row.acknowledged} | {just} | {more} | {bad} | {time.perf_counter() - began:.0f}"
        print(f"| {row.name} | {row.skipped or counts} |", flush=True)
        for note in row.notes:
            print(f"|   {note} |")
    return rows


if __name__ == "__main__":
    sys.exit(main())
