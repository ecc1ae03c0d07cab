"""How fast the app is, as ratios to floors taken in the same run: `python -m tests.benchmarks.speed`.

Every line of the table: what was measured, its floor, the figure, the ratio, the limit held to, and how that grows
from 1,000 records to the most asked for. Works are taken in turn, round by round, so that a busy moment strikes all.
Nothing here is a test: no suite fails because a machine was busy.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.big_logbook import SENTINEL, write_logbook
from tests.benchmarks.in_terminal import InTerminal

BARE = [str(Path(__file__).with_name("bare_app.py"))]
DOWN = b"\x1b[B"
HEAD = "| what | floor | figure | ratio | limit | growth |"
ENGINE = "import numpy; from pydantic_core import from_json; from pathlib import Path; raw = Path({!r}).read_bytes();"


@dataclass(frozen=True)
class Line:
    """Floor and figure in `unit`; growth: the figure at the most records by that at 1,000, None where not asked."""

    what: str
    floor: float
    figure: float
    limit: str
    growth: float | None = None
    unit: str = "ms"

    def printed(self) -> str:
        """As a row of the table."""
        ratio, grown = f"{self.figure / self.floor:.2f}", "" if self.growth is None else f"{self.growth:.2f}"
        return (
            f"| {self.what} | {self.floor:.1f} {self.unit} | {self.figure:.1f} {self.unit} | {ratio} | {self.limit} "
            f"| {grown} |"
        )


def in_turn(works: dict[str, Callable[[], float]], rounds: int) -> dict[str, float]:
    """Median of every work in ms, taken in turn; one round before is not counted."""
    found: dict[str, list[float]] = {name: [] for name in works}
    for nth in range(rounds + 1):
        for name, work in works.items():
            taken = work()
            if nth:
                found[name].append(1000 * taken)
    return {name: statistics.median(each) for name, each in found.items()}


def timed(work: Callable[[], object]) -> float:
    """Seconds of one call."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


class Measured:
    """Logbooks of the sizes asked for, and one method for every block of the table."""

    def __init__(self, folder: Path, sizes: tuple[int, int, int], rounds: int) -> None:
        self.folder, self.sizes, self.rounds = folder, sizes, rounds
        self.paths = {size: folder / f"{size}.json" for size in sizes}
        for size, path in self.paths.items():
            write_logbook(path, size)

    def app(self, size: int) -> list[str]:
        """Command of the app on a logbook of that size."""
        return ["-m", "pitbench", "--logbook", str(self.paths[size])]

    def _until(self, words: list[str], text: str) -> Callable[[], float]:
        def work() -> float:
            with InTerminal(words, self.folder) as terminal:
                return terminal.painted(text)

        return work

    def start(self) -> list[Line]:
        """First frame, and the list of motors."""
        small, usual, large = self.sizes
        found = in_turn(
            {
                "floor": self._until(BARE, "floor stands"),
                "frame": self._until(self.app(usual), "pitbench"),
                "list": self._until(self.app(usual), SENTINEL),
                "small": self._until(self.app(small), SENTINEL),
                "large": self._until(self.app(large), SENTINEL),
            },
            self.rounds,
        )
        return [
            Line("first frame, a bare app", found["floor"], found["frame"], "1.2"),
            Line("list of motors visible", found["floor"], found["list"], "1.45", found["large"] / found["small"]),
        ]

    def keys(self) -> list[Line]:
        """A scroll key and a filter key on the list of all runs."""
        with InTerminal([*BARE, "--list"], self.folder) as terminal:
            terminal.painted("floor stands")
            floor = self._presses(terminal)
        scroll, found = {}, {}
        for size in self.sizes:
            with InTerminal(self.app(size), self.folder) as terminal:
                terminal.painted(SENTINEL)
                terminal.settle(1.5)
                terminal.key(b"2", 1.5)
                scroll[size] = self._presses(terminal)
                terminal.key(b"/", 0.5)
                found[size] = statistics.median(self._filter(terminal) for _ in range(self.rounds))
        small, usual, large = self.sizes
        at, p95 = scroll[usual], scroll[usual][1] / floor[1]
        return [
            Line("scroll key, one line redrawn", floor[0], at[0], "2", scroll[large][0] / scroll[small][0]),
            Line(f"the same, 95 of 100 ({p95:.2f} of the floor's own)", floor[1], at[1], "3"),
            Line(f"filter key, that at {small}", found[small], found[usual], "1.5", found[large] / found[small]),
        ]

    @staticmethod
    def _presses(terminal: InTerminal, count: int = 40) -> tuple[float, float]:
        taken = sorted(1000 * t for _ in range(count) if (t := terminal.key(DOWN)) is not None)
        return statistics.median(taken), taken[min(len(taken) - 1, int(0.95 * len(taken)))]

    @staticmethod
    def _filter(terminal: InTerminal) -> float:
        taken = [1000 * (terminal.key(letter) or 0.0) for letter in (b"w", b"r", b"e")]
        for _ in taken:
            terminal.key(b"\x7f")
        return statistics.fmean(taken)

    def file(self) -> list[Line]:
        """Opening with and without a seal, and saving one run."""
        from pydantic_core import from_json, to_json

        from pitbench.records.models import BenchRun
        from pitbench.store.logbook import Logbook

        small, usual, large = self.sizes
        raw, tree = {}, {}
        for size, path in self.paths.items():
            raw[size] = path.read_bytes()
            tree[size] = from_json(raw[size])
        unsealed = self.folder / "unsealed.json"
        unsealed.write_bytes(to_json({name: rows for name, rows in tree[usual].items() if name != "seal"}))
        books = {size: Logbook.open(_copied(path)) for size, path in self.paths.items()}
        number = iter(range(10**6))

        def save(size: int) -> float:
            run = BenchRun(motor_id="m0", build_id="b0", taken_at="2026-01-01", kv_rpm_per_v=3900 + next(number))
            return timed(lambda: books[size].save("one more", [run]))

        found = in_turn(
            {
                "parse": lambda: timed(lambda: from_json(raw[usual])),
                "open": lambda: timed(lambda: Logbook.open(self.paths[usual], write=False)),
                "unsealed": lambda: timed(lambda: Logbook.open(unsealed, write=False, accept_hand_edit=True)),
                "dump": lambda: timed(lambda: _replaced(self.folder / "raw.json", to_json(tree[usual]))),
                "save": lambda: save(usual),
                **{f"open {size}": _opening(self.paths[size]) for size in (small, large)},
                **{f"save {size}": (lambda size=size: save(size)) for size in (small, large)},
            },
            self.rounds,
        )
        grown = {name: found[f"{name} {large}"] / found[f"{name} {small}"] for name in ("open", "save")}
        return [
            Line("open, sealed: parsing its bytes", found["parse"], found["open"], "1.4", grown["open"]),
            Line("open, not sealed", found["parse"], found["unsealed"], "2.6"),
            Line("save: dump and raw replace", found["dump"], found["save"], "1.4", grown["save"]),
        ]

    def memory(self) -> list[Line]:
        """Resident memory as the list comes, while a second process ranks, once it has ended, with lists shown, and
        after a plot."""
        self._memory()  # not counted: what is compiled at a first start takes memory too
        return self._memory()

    def _memory(self) -> list[Line]:
        with InTerminal([*BARE, "--numpy"], self.folder) as terminal:
            terminal.painted("floor stands")
            terminal.settle()
            floor = terminal.memory_mb()
        with InTerminal(self.app(self.sizes[1]), self.folder) as terminal:
            terminal.painted(SENTINEL)
            first = terminal.memory_mb()
            most = terminal.most_memory_mb(3.0)
            terminal.settle(3.0)
            answered = terminal.memory_mb()
            for key in (b"2", b"1", b"2"):
                terminal.settle(1.5)
                terminal.key(key, 1.5)
            lists = terminal.memory_mb()
            for key in (b"3", b"v", b"v"):
                terminal.key(key, 2.5)
            plot = terminal.memory_mb()
        return [
            Line("memory, as the list comes: a bare app with numpy", floor, first, "1.3", unit="MB"),
            Line("memory, both processes, while the second ranks", floor, most, "", unit="MB"),
            Line("memory, once its answers have come", floor, answered, "1.3", unit="MB"),
            Line("memory, lists shown one after another", floor, lists, "1.3", unit="MB"),
            Line("memory, after a plot", floor, plot, "1.6", unit="MB"),
        ]

    def command(self) -> list[Line]:
        """`rank` beside Python that imports numpy, parses the same bytes and runs the engine on as many runs."""
        small, usual, large = self.sizes
        works = {"floor": self._process(["-c", _engine_alone(self.paths[usual], usual)])}
        for size in self.sizes:
            works[str(size)] = self._process(["-m", "pitbench", "rank", "--json", "--logbook", str(self.paths[size])])
        found = in_turn(works, max(5, self.rounds // 2))
        return [
            Line(
                "`rank`: numpy, parsing, engine",
                found["floor"],
                found[str(usual)],
                "1.5",
                found[str(large)] / found[str(small)],
            )
        ]

    def _process(self, words: list[str]) -> Callable[[], float]:
        def work() -> float:
            run = [sys.executable, *words]
            return timed(lambda: subprocess.run(run, check=True, stdout=subprocess.DEVNULL))

        return work


def _engine_alone(path: Path, size: int) -> str:
    return (
        f"{ENGINE.format(str(path))} from_json(raw); from tests.benchmarks.engine_speed import comparison;"
        "from pitbench.figures.comparison import draw; from pitbench.figures.ranking import rank;"
        f"rank(draw(comparison(10, {size // 10}, {max(1, size // 40)})))"
    )


def _opening(path: Path) -> Callable[[], float]:
    from pitbench.store.logbook import Logbook

    return lambda: timed(lambda: Logbook.open(path, write=False))


def _copied(path: Path) -> Path:
    other = path.with_name(f"save-{path.name}")
    other.write_bytes(path.read_bytes())
    return other


def _replaced(path: Path, raw: bytes) -> None:
    """The floor of a save: the bytes in a new file, synced, in place of the old one, its folder synced."""
    fresh = path.with_suffix(".new")
    with fresh.open("wb") as file:
        file.write(raw)
        file.flush()
        os.fsync(file.fileno())
    fresh.replace(path)
    folder = os.open(path.parent, os.O_RDONLY)
    os.fsync(folder)
    os.close(folder)


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--rounds", type=int, default=9)
    asked.add_argument("--most", type=int, default=100_000, help="records of the largest logbook")
    asked.add_argument("--only", default="", help="start, keys, file, memory or command")
    given = asked.parse_args()
    print(HEAD, "|---|---|---|---|---|---|", sep="\n", flush=True)
    with tempfile.TemporaryDirectory() as folder:
        measured = Measured(Path(folder), (1000, 10_000, given.most), given.rounds)
        for name in ("start", "keys", "file", "memory", "command"):
            if given.only in ("", name):
                for line in getattr(measured, name)():
                    print(line.printed(), flush=True)


if __name__ == "__main__":
    main()
