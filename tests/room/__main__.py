"""Every screen, form and question at three sizes in four looks: python -m tests.room [--size 80x24] [--only WORDS].

Exit status 1 when something is cut, covered or unreadable; takes five minutes on two idle cores.
"""

import argparse
import asyncio
import tempfile
from pathlib import Path

from pitbench.app.themes import THEME_NAMES
from tests.room.stations import STATIONS
from tests.room.walk import SIZES, Walk


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.room", description=__doc__)
    sizes = {f"{width}x{height}": (width, height) for width, height in SIZES}
    parser.add_argument("--size", choices=sizes, help="only this one")
    parser.add_argument("--look", choices=THEME_NAMES, help="only this one")
    parser.add_argument("--only", default="", help="stations with these letters in their names")
    args = parser.parse_args()
    walk = Walk()
    looks = [args.look] if args.look else THEME_NAMES
    stations = [station for station in STATIONS if args.only in station.name]
    with tempfile.TemporaryDirectory() as folder:
        for size in [sizes[args.size]] if args.size else SIZES:
            asyncio.run(walk.go(Path(folder), size, looks, stations))
    for each in walk.found:
        print(each)
    print(f"{len(walk.found)} faults at {len(stations)} stations.")
    return int(bool(walk.found))


if __name__ == "__main__":
    raise SystemExit(main())
