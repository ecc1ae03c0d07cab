"""How many typing errors are seen before they are saved, how often the repair offered is right, how many right rows are
doubted: on simulated logbooks, entry by entry as a form asks.

python -m tests.benchmarks.typing_errors --books 40    choose on seeds from 0 on, --reported takes those from 1,000,000

Every run of a logbook is judged twice, each time against the runs before it: as it was read, and with one slip. Counted
are slips that move a number by more than four predictive sd; of those with no motor run twice before, apart.
"""

import argparse
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from pitbench.desk.entry.bench_blocks import blocks_of
from pitbench.desk.entry.foreseen_bench import ForeseenBench
from pitbench.desk.entry.mistyped import Typed
from pitbench.desk.entry.suspects_bench import bench_suspects
from pitbench.figures.mistyped import precision_of, standing
from pitbench.records.fields import QUANTITIES
from tests.benchmarks.typed_worlds import Row, Typing, World, draw, slip

MOVED = 4.0
WORKED_OUT = ("poles", "fahrenheit")
"""Slips of the tester's setting or of the unit: what was read has lost half a digit."""
REPORTED = 1_000_000
SPREAD = {"kv_rpm_per_v": 0.0044, "rpm": 0.0044, "no_load_current_a": 0.0257, "resistance_mohm": 0.0284}
DEGREES = {"ambient_c": 4.0, "motor_temp_c": 2.5, "resistance_temp_c": 0.5, "timing_deg": 0.38}
DEGREES |= dict.fromkeys(("timing_a_deg", "timing_b_deg", "timing_c_deg"), 0.39)
"""Sd of one more reading in another session of the simulated world that is as usual, as a share of it and as it is; of
what is uneven 0.3."""

WORLDS = (
    World("usual"),
    World("one motor, many runs", motors=(1, 1), sessions=(4, 8), runs=(2, 4)),
    World("few motors, one evening", motors=(2, 3), sessions=(1, 2), runs=(3, 4)),
    World("tester twice as noisy", noise=2.0),
    World("tester half as noisy", noise=0.5),
    World("long tails, t with 4", tail=4.0),
    World("moods and clampings twice", session=2.0, clamping=2.0),
    World("every third motor changed", changes=0.33, told=0.3),
    World("no timing marks", marks=False),
    World("rpm beside KV", rpm=True),
    World("total timing alone", sensors=False),
    World("slow classes", classes=(21.5, 25.5)),
    World("slips nobody saw in 3 %", dirty=0.03),
    World("any key as likely", finger=0.0),
)


@dataclass
class Count:
    """What came of the entries of one world."""

    clean: int = 0
    flagged: int = 0
    z: list[float] = field(default_factory=list)
    errors: Counter[str] = field(default_factory=Counter)

    def add(self, other: "Count") -> None:
        """Count another world in."""
        self.clean += other.clean
        self.flagged += other.flagged
        self.z += other.z
        self.errors += other.errors


def run_world(world: World, seeds: Iterable[int]) -> Count:
    """Count over the logbooks of these seeds."""
    count = Count()
    for seed in seeds:
        book = draw(world, seed)
        rng = np.random.default_rng(seed + 77)
        known: list[Row] = []
        for place, (run, texts) in enumerate(zip(book.runs, book.texts, strict=True)):
            before = sum(1 for each in known if each["motor_id"] == run["motor_id"])
            _entry(world, book, known, run, texts, before, rng, count)
            known.append(_dirty(world, run, texts, rng) if place and rng.random() < world.dirty else run)
    return count


def _dirty(world: World, run: Row, texts: Mapping[str, str], rng: np.random.Generator) -> Row:
    made = slip(world, rng, dict(texts))
    return run if made is None else {**run, **numbers_of(made[1])}


def numbers_of(texts: Mapping[str, str]) -> dict[str, float]:
    """Numbers that would be stored; what is not possible is refused and cannot be."""
    read = {name: float(text) for name, text in texts.items()}
    return {n: v for n, v in read.items() if QUANTITIES[n].possible[0] <= v <= QUANTITIES[n].possible[1]}


def _entry(
    world: World, book: Typing, known: list[Row], run: Row, texts: dict[str, str], before: int,
    rng: np.random.Generator, count: Count,
) -> None:  # fmt: skip
    foreseen, motor = ForeseenBench(known, book.motors, book.work), book.motors[run["motor_id"]]
    doubts = bench_suspects(run, foreseen, motor, typed={n: Typed(t) for n, t in texts.items()})
    if before >= 2 and run["id"] in book.changed:
        count.errors["changed runs"] += 1
        count.errors["changed runs doubted"] += bool(doubts)
    elif before >= 2:
        count.clean += 1
        count.flagged += bool(doubts)
        count.errors.update(f"false {each.column}" for each in doubts)
        for block in blocks_of(run, motor, foreseen):
            count.z += standing(block.residuals, precision_of(block.covariance))
    for _ in range(3):
        if (made := slip(world, rng, texts)) is not None:
            _slipped(book, foreseen, run, texts, made, before, count)


def _slipped(
    book: Typing, foreseen: ForeseenBench, run: Row, texts: dict[str, str], made: tuple[str, dict[str, str]],
    before: int, count: Count,
) -> None:  # fmt: skip
    kind, changed = made
    numbers = numbers_of(changed)
    if len(numbers) < len(changed):
        return
    motor = book.motors[run["motor_id"]]
    wrong = {**run, **numbers}
    sds = _sds(run, motor, foreseen)
    moved = {
        name: abs(_scaled(name, number) - _scaled(name, run[name])) / sds[name] for name, number in numbers.items()
    }
    hit = max(moved, key=lambda name: moved[name])
    plain = sds_moved(hit, run[hit], numbers[hit]) > MOVED
    if moved[hit] <= MOVED and not plain:
        return
    typed = {name: Typed(text) for name, text in {**texts, **changed}.items()}
    doubts = {each.column: each for each in bench_suspects(wrong, foreseen, motor, typed=typed)}
    group = "after two" if before >= 2 else "before two"
    count.errors[f"{group} plain"] += plain
    count.errors[f"{group} plain found"] += plain and hit in doubts
    if moved[hit] <= MOVED:
        return
    told = Counter([f"{group} errors", f"{group} kind {kind}", f"{group} field {hit}"])
    if hit in doubts:
        told.update([f"{group} found", f"{group} found kind {kind}", f"{group} found field {hit}"])
        suspect = doubts[hit]
        if suspect.suggested is not None:
            off = abs(_scaled(hit, suspect.suggested) - _scaled(hit, run[hit])) / sds[hit]
            told.update([f"{group} offered", f"{group} offered kind {kind}", f"{group} offered field {hit}"])
            exact = suspect.suggested == run[hit]
            lost = ", about" in suspect.asks or kind in WORKED_OUT
            right = exact or (lost and off <= 1.0)
            how = "about" if lost else "read"
            told.update([f"{group} offered {how}"])
            told[f"{group} {how} exact"] += exact
            told[f"{group} {how} right"] += right
            told.update([f"{group} right", f"{group} right kind {kind}", f"{group} right field {hit}"] if right else [])
    told[f"{group} others"] += bool(set(doubts) - set(numbers))
    count.errors += told


def sds_moved(name: str, one: float, other: float) -> float:
    """How far two numbers of a field lie apart, in sd of the usual world."""
    sd = 100 * SPREAD[name] if name in SPREAD else DEGREES.get(name, 0.3)
    return abs(_scaled(name, one) - _scaled(name, other)) / sd


def _scaled(name: str, value: float) -> float:
    return 100 * float(np.log(max(value, 1e-9))) if name in SPREAD else value


def _sds(run: Row, motor: Row, foreseen: ForeseenBench) -> dict[str, float]:
    """Predictive sd of every number, given the others of the run."""
    found = {}
    for block in blocks_of(run, motor, foreseen):
        precision = precision_of(block.covariance)
        found |= {name: precision[i][i] ** -0.5 for i, name in enumerate(block.columns)}
    return found


def share(count: Count, hits: str, of: str) -> str:
    """A share of counted things, in percent, with how many they are."""
    whole = count.errors[of]
    return f"{100 * count.errors[hits] / whole:.1f} of {whole}" if whole else "none"


HEADS = (
    "world",
    "found, %",
    "by the world's sd, %",
    "before two runs, %",
    "repair offered, % of found",
    "right, %",
    "read off: the very text, %",
    "digits lost: within 1 sd, %",
    "the very text, %",
    "clean rows doubted, %",
    "of a motor that changed, %",
    "sd of z",
)


def line(name: str, count: Count) -> str:
    """One line of the table."""
    found, offered = "after two found", "after two offered"
    cells = (
        name,
        share(count, found, "after two errors"),
        share(count, "after two plain found", "after two plain"),
        share(count, "before two found", "before two errors"),
        share(count, offered, found),
        share(count, "after two right", offered),
        share(count, "after two read right", "after two offered read"),
        share(count, "after two about right", "after two offered about"),
        share(count, "after two about exact", "after two offered about"),
        f"{100 * count.flagged / max(count.clean, 1):.2f} of {count.clean}",
        share(count, "changed runs doubted", "changed runs"),
        f"{np.std(count.z):.2f}",
    )
    return f"| {' | '.join(cells)} |"


def options(doc: str | None) -> argparse.ArgumentParser:
    """What is asked on the command line, of bench runs and of track runs."""
    parser = argparse.ArgumentParser(description=doc, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--books", type=int, default=20, help="logbooks a world")
    parser.add_argument("--reported", action="store_true", help="seeds from 1,000,000 on, on which nothing was chosen")
    parser.add_argument("--world", default="", help="only worlds whose name has this in it")
    return parser


def print_worlds(
    args: argparse.Namespace,
    worlds: Iterable[Any],
    heads: Sequence[str],
    run: Callable[[Any, Iterable[int]], Count],
    line: Callable[[str, Count], str],
) -> Count:
    """A line a world, and one of all of them, which is counted."""
    first = REPORTED if args.reported else 0
    every = Count()
    print(f"| {' | '.join(heads)} |\n{'|---' * len(heads)}|")
    for world in worlds:
        if args.world in world.name:
            count = run(world, range(first, first + args.books))
            print(line(world.name, count), flush=True)
            every.add(count)
    print(line("all", every))
    return every


def main() -> None:
    """Print the table."""
    parser = options(__doc__)
    parser.add_argument("--detail", action="store_true", help="by kind of slip and by field too")
    args = parser.parse_args()
    every = print_worlds(args, WORLDS, HEADS, run_world, line)
    if args.detail:
        _detail(every)


def _detail(count: Count) -> None:
    for name in sorted(count.errors):
        if name.startswith(("after two kind ", "after two field ")):
            rest = name.removeprefix("after two ")
            found, offered = f"after two found {rest}", f"after two offered {rest}"
            print(f"{rest}: {share(count, found, name)}, offered {share(count, offered, found)}, "
                  f"right {share(count, f'after two right {rest}', offered)}")  # fmt: skip
    print(
        {
            name: n
            for name, n in count.errors.items()
            if name.startswith(("false", "changed")) or name.endswith("others")
        }
    )


if __name__ == "__main__":
    main()
