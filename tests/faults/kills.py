"""Writers killed at random moments, while their saves make the file longer and shorter."""

import random
import time
from pathlib import Path

from tests.faults.plug import Row, Writer, begun, said


def kills(folder: Path, count: int, saves_before: int, longest_s: float = 0.15) -> Row:
    """Kill `count` writers; with more than 200 saves before, half of the saves make the file shorter."""
    row, moments, path = Row("killed at a random moment"), random.Random(3), folder / "logbook.json"
    number, shorter, strays = begun(path, saves_before), 0, 0
    for seed in range(count):
        size = path.stat().st_size
        writer = Writer(path, seed)
        lines = [writer.line()]
        time.sleep(moments.uniform(0, longest_s))
        lines += writer.kill()
        strays += path.with_name(f"{path.name}.tmp").exists()
        number = row.judge(path, number, said(lines))
        shorter += path.stat().st_size < size
    row.name += f" ({shorter} times the file had become shorter, {strays} times half a new file was left beside it)"
    return row
