"""What waits when whole sheets are loaded, a slip in 8 % of their rows: of slips by how far they move a number, in sd
of the simulated world, and of rows as they were read.

python -m tests.benchmarks.waiting_numbers --books 20    how many logbooks of each kind of `typing_errors`
"""

import argparse
from collections import Counter
from collections.abc import Iterable
from datetime import datetime

import numpy as np

from pitbench.desk.exchange.loading import load_files
from pitbench.records.reading import Day
from pitbench.sheets.reading import read_sheet_text
from pitbench.store.logbook import Logbook
from tests.benchmarks.typed_worlds import PLACES, Row, World, draw, slip
from tests.benchmarks.typing_errors import WORLDS, numbers_of, sds_moved

SLIPS = 0.08
STEPS = {"over 20": 20.0, "10 to 20": 10.0, "4 to 10": 4.0}
SAID = ("taken_at", "session", "tester", "test_voltage_v", "timing_mark_deg")
NOW = datetime(2027, 1, 1)
FIRST = 3000


def waiting(world: World, seeds: Iterable[int]) -> Counter[str]:
    """Numbers with a slip and rows without, by name, and under `NAME waits` those of them that wait."""
    found: Counter[str] = Counter()
    for seed in seeds:
        book, rng = draw(world, seed), np.random.default_rng(seed)
        slips: dict[tuple[str, str], dict[str, float]] = {}
        lines = [",".join(("motor", *SAID, *PLACES))]
        for run, texts in zip(book.runs, book.texts, strict=True):
            made = slip(world, rng, texts) if rng.random() < SLIPS else None
            changed = made[1] if made and len(numbers_of(made[1])) == len(made[1]) else {}
            slips[run["motor_id"], run["taken_at"]] = numbers_of(changed)
            row = {"motor": run["motor_id"], **run, **texts, **changed}
            lines.append(",".join(str(row.get(name, "")) for name in ("motor", *SAID, *PLACES)))
        motors = [f"{name},club,{motor['turns']},2" for name, motor in book.motors.items()]
        sheets = {"motors.csv": ["motor,class,turns,poles", *motors], "bench.csv": lines}
        with Logbook.in_memory(lambda: NOW) as logbook:
            load_files(logbook, [read_sheet_text(n, "\n".join(t) + "\n", Day(NOW)) for n, t in sheets.items()])
            names = {row["id"]: row["name"] for row in logbook.rows("motor")}
            rows = {(names[row["motor_id"]], row["taken_at"]): row for row in logbook.rows("bench_run")}
        for run in book.runs:
            key = run["motor_id"], run["taken_at"]
            _count(run, rows[key], slips[key], run["id"] in book.changed, found)
    return found


def _count(run: Row, loaded: Row, slips: dict[str, float], changed: bool, found: Counter[str]) -> None:
    waits = set(loaded.get("waits", ()))
    for name, number in slips.items():
        moved = sds_moved(name, run[name], number)
        step = next((each for each, least in STEPS.items() if moved > least), None)
        if step:
            found.update([step, *([f"{step} waits"] if name in waits else [])])
    kind = "of a motor that changed" if changed else "as read"
    found.update([kind, *([f"{kind} waits"] if waits - set(slips) else [])])


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--books", type=int, default=20, help="logbooks of each kind")
    args = parser.parse_args()
    every: Counter[str] = Counter()
    for world in WORLDS:
        every += waiting(world, range(FIRST, FIRST + args.books))
    for name in (*STEPS, "as read", "of a motor that changed"):
        print(f"{name}: {every[f'{name} waits']} of {every[name]} wait")


if __name__ == "__main__":
    main()
