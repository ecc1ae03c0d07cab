"""A fault at every call to the system that a save makes on its files: killed there, or told that the call failed.

`strace` (Linux) lists the calls of one save by their paths and plays the fault at the chosen one. Everything from the
opening of the file to the release of the lock counts.
"""

import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

from tests.faults.plug import Row, begun, said

FAULTS = {"KILL": "killed at each call of a save", "EIO": "an error at each call", "ENOSPC": "disk full at each call"}


def every_call(calls_at_most: int | None = None) -> list[Row]:
    """One row for each fault."""
    rows = {fault: Row(name) for fault, name in FAULTS.items()}
    if shutil.which("strace") is None:
        for row in rows.values():
            row.skipped = "strace is not installed"
        return list(rows.values())
    with tempfile.TemporaryDirectory() as folder:
        bench = _Bench(Path(folder))
        calls = bench.calls()[:calls_at_most]
        for fault, row in rows.items():
            seen: Counter[str] = Counter()
            for name in calls:
                seen[name] += 1
                bench.put_back()
                bench.play(row, fault, name, seen[name])
            kinds = Counter(calls)
            row.name += f" ({', '.join(f'{count} {name}' for name, count in kinds.most_common())})"
    return list(rows.values())


class _Bench:
    """One logbook, put back as it was before each fault."""

    def __init__(self, folder: Path) -> None:
        self._place, self._kept, self._log = folder / "place", folder / "kept", folder / "log"
        self._place.mkdir()
        self._path = self._place / "logbook.json"
        self._number = begun(self._path, 13)  # so many that a save also thins out backups
        shutil.copytree(self._place, self._kept)

    def put_back(self) -> None:
        shutil.rmtree(self._place)
        shutil.copytree(self._kept, self._place)

    def calls(self) -> list[str]:
        """The calls of one save, in order."""
        self._traced()
        return re.findall(r"^\d+ +(\w+)\(", self._log.read_text(), re.MULTILINE)

    def play(self, row: Row, fault: str, name: str, nth: int) -> None:
        how = "signal=KILL" if fault == "KILL" else f"error={fault}"
        done = self._traced("-e", f"inject={name}:{how}:when={nth}")
        acknowledged = said(done.stdout.splitlines())
        row.judge(self._path, self._number, acknowledged)
        if fault != "KILL" and done.returncode and done.stderr.count("\n") != 1:
            row.notes.append(f"{name} {nth}: {done.stderr.strip().splitlines()[-1:]}")

    def _traced(self, *words: str) -> subprocess.CompletedProcess[str]:
        names = [self._place, self._path, *(f"{self._path}{end}" for end in (".tmp", ".lock", ".draft"))]
        names += [self._place / backup.name for backup in self._kept.glob("*.bak-*")]
        only = [word for name in names for word in ("-P", str(name))]
        soak = [sys.executable, "-m", "tests.faults.soak", str(self._path), "--saves", "1"]
        trace = ["strace", "-f", "-s", "0", "-o", str(self._log), *only, "-e", "trace=%file,%desc", *words]
        return subprocess.run([*trace, *soak], capture_output=True, text=True)
