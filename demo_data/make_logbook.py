"""Make the logbook of the invented club weekend: `python demo_data/make_logbook.py` loads the sheets in this folder
into weekend.json beside them, always to the same bytes.

It goes the way a racer's sheets and load logs go, through `desk.exchange.loading` and `desk.load`. Only what would
differ from day to day is pinned: the clock, and the ids, which are random everywhere else.
"""

import hashlib
from datetime import datetime
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

from load_logs import LOGGED

from pitbench.desk.exchange.loading import load_files, read_files
from pitbench.desk.load.headers import headers_of
from pitbench.desk.load.loading import Asked, found, keep
from pitbench.records.reading import Day
from pitbench.store.logbook import Logbook

FOLDER = Path(__file__).parent
NAMES = ("classes", "motors", "builds", "events", "bench", "track", "cooling", "setup", "gears")
SHEETS = tuple(f"{name}.csv" for name in NAMES)
MADE_AT = datetime(2026, 5, 16, 20, 0)
DAY = Day(MADE_AT)


def write(target: Path) -> None:
    """Load the sheets into a new logbook; a problem or a suspect in them is an error here."""
    numbers = count(1)

    def pinned(size: int) -> str:
        return hashlib.sha256(f"weekend {next(numbers)}".encode()).hexdigest()[: 2 * size]

    with (
        TemporaryDirectory() as folder,
        patch("secrets.token_hex", pinned),
    ):
        made = Path(folder) / target.name
        with Logbook.open(made, create=True, clock=lambda: MADE_AT) as logbook:
            answer = load_files(logbook, read_files([FOLDER / name for name in SHEETS], DAY)).answer
            for each in LOGGED:
                columns = headers_of(logbook, FOLDER / each.file).columns  # what the app offers is taken as it is
                asked = Asked(each.motor, run=each.started_at, columns={column: of for of, column in columns.items()})
                keep(logbook, found(logbook.snapshot(), FOLDER / each.file, asked, DAY))
        wrong = [problem for file in answer.files for problem in file.problems] + answer.suspects
        if wrong:
            raise SystemExit("\n".join(map(str, wrong)))
        target.write_bytes(made.read_bytes())


if __name__ == "__main__":
    write(FOLDER / "weekend.json")
