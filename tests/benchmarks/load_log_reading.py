"""How long an hour's load log takes, read and worked out, beside what numpy needs to read its numbers.

`python -m tests.benchmarks.load_log_reading` prints both and the ratio, which should stay within 4: the least of seven
rounds, in turn, since whatever else the computer does meanwhile slows both.
"""

import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import numpy as np

from pitbench.desk.load.samples import samples_of
from pitbench.figures.load_log import LoadFit, analyse
from pitbench.sheets import load_log as sheet
from tests.unit.desk.load_logs import load_log

ROWS, ROWS_A_PULL, ROUNDS = 36_000, 80, 7


def worked_out(path: Path) -> LoadFit:
    """A log from its file to what it says."""
    head = sheet.look(path)
    read = sheet.read(path, head, sheet.mapped(head, {}, {}))
    samples = samples_of(read, {})
    read.samples.clear()
    return analyse(samples)


def _seconds(work: Callable[[], object]) -> float:
    begin = perf_counter()
    work()
    return perf_counter() - begin


def main() -> None:
    """Print the times and their ratio."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "hour.csv"
        path.write_text(load_log(pulls=ROWS // ROWS_A_PULL), encoding="utf-8")
        rounds = [
            (_seconds(lambda: np.loadtxt(path, delimiter=",", skiprows=1)), _seconds(lambda: worked_out(path)))
            for _ in range(ROUNDS)
        ]
    numpy_alone, ours = map(min, zip(*rounds, strict=True))
    ratio = ours / numpy_alone
    print(f"numpy reads {ROWS} rows in {numpy_alone:.3f} s; read and worked out: {ours:.3f} s, {ratio:.1f} times")


if __name__ == "__main__":
    main()
