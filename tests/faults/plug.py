"""Writers that are stopped in the middle, and a look at what they left: shared by all that pull the plug.

A writer is a process of its own, forked off this one, so that hundreds can be started in a minute.
"""

import os
import random
import signal
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from pitbench.records.refusal import Refusal
from tests.faults.soak import look, soak

JUST, MORE = "just what was said to be saved", "one save more"


class Writer:
    """`soak` in a child process; what it says is read line by line."""

    def __init__(self, path: Path, seed: int, saves: int | None = None, stay: bool = False) -> None:
        outer, inner = os.pipe()
        self.pid = os.fork()
        if self.pid == 0:
            os.close(outer)
            _write(path, inner, seed, saves, stay)
        os.close(inner)
        self._said = os.fdopen(outer, "rb")

    def line(self) -> str:
        """The next thing it says; nothing once it has ended."""
        return self._said.readline().decode().strip()

    def kill(self) -> list[str]:
        """What it said until now; it dies as at a power cut, without a last word."""
        os.kill(self.pid, signal.SIGKILL)
        return self.end()

    def end(self) -> list[str]:
        """What it says until it ends by itself."""
        lines = self._said.read().decode().split("\n")
        self._said.close()
        os.waitpid(self.pid, 0)
        return [line for line in lines if line]


def _write(path: Path, inner: int, seed: int, saves: int | None, stay: bool) -> None:
    status = 1
    try:
        os.dup2(inner, 1)
        random.seed(seed)
        soak(path, saves, stay)
        status = 0
    except Refusal as refusal:
        status = refusal.status
    finally:
        os._exit(status)


@dataclass
class Row:
    """A line of the table of faults. `states` counts what a look found after each fault."""

    name: str
    faults: int = 0
    acknowledged: int = 0
    states: Counter[str] = field(default_factory=Counter)
    notes: list[str] = field(default_factory=list)
    skipped: str = ""

    def judge(self, path: Path, before: int, acknowledged: int | None) -> int:
        """Look at the file after one fault: what was said to be saved must be there, and at most one save more."""
        self.faults += 1
        last = before if acknowledged is None else acknowledged
        self.acknowledged += last - before
        try:
            there = look(path)
        except Refusal as refusal:
            self.states["unreadable"] += 1
            self.notes.append(str(refusal))
            return last
        self.states[_state(there, last)] += 1
        return there

    @property
    def failed(self) -> bool:
        return bool(self.states.keys() - {JUST, MORE} or self.notes)


def _state(there: int, last: int) -> str:
    if there == last:
        return JUST
    return MORE if there == last + 1 else "lost" if there < last else "made up"


def said(lines: list[str]) -> int | None:
    """The last number said to be saved."""
    numbers = [int(line.split()[1]) for line in lines if line.startswith("ACK ")]
    return numbers[-1] if numbers else None


def begun(path: Path, saves: int) -> int:
    """A logbook with so many saves behind it; the number it holds."""
    soak_quietly = Writer(path, seed=1, saves=saves)
    soak_quietly.end()
    return look(path)
