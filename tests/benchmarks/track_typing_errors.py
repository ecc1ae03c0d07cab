"""The same as `typing_errors` for track runs: laps and times, temperatures, charge, gears and tyres.

python -m tests.benchmarks.track_typing_errors --books 40    choose on seeds from 0 on, --reported: from 1,000,000

Every run is judged as a form does, against the runs before it, once as it was read and three times with a slip. Counted
are slips that move a number by more than four predictive sd, and by four sd of the usual simulated world.
"""

from collections import Counter
from collections.abc import Iterable, Mapping

import numpy as np

from pitbench.desk.entry.foreseen_track import ForeseenTrack
from pitbench.desk.entry.mistyped import Typed
from pitbench.desk.entry.suspects_track import track_suspects
from pitbench.figures.mistyped import precision_of, standing
from tests.benchmarks.typed_tracks import FIELDS, HEAT, Row, TrackTyping, TrackWorld, draw, slip
from tests.benchmarks.typing_errors import MOVED, Count, numbers_of, options, print_worlds, share

SD = {"ambient_c": 1.5, "track_c": 2.5, "start_temp_c": 3.0, "finish_reading_c": 4.5, "esc_temp_c": 4.0}
PERCENT = {"laps": 3.0, "average_lap_s": 2.0, "best_lap_s": 2.0, "charge_used_mah": 10.0, "pinion": 4.0, "spur": 1.0,
           "tyre_diameter_mm": 0.7, "internal_ratio": 0.5}  # fmt: skip
"""Sd of one more reading of the usual world on the same day, in kelvin and in percent; of the run time below."""
TIME = {"practice": 30.0, "qualifier": 3.0, "main": 15.0}
LAPS = ("run_time_s", "laps", "average_lap_s", "best_lap_s")
WORLDS = (
    TrackWorld("usual"),
    TrackWorld("one motor, one day", days=(1, 1), motors=(1, 1), rounds=(3, 5)),
    TrackWorld("laps, time and finish alone", fields=("run_time_s", "laps", "finish_reading_c")),
    TrackWorld("no average, no best lap", fields=tuple(name for name in FIELDS if name not in LAPS[2:])),
    TrackWorld("temperatures alone", fields=HEAT),
    TrackWorld("temperatures scatter twice", heat=2.0),
    TrackWorld("laps scatter twice", pace=2.0),
    TrackWorld("gears changed before every run", gears=0.9),
    TrackWorld("a third of the heats broken off", broken=0.33),
    TrackWorld("slips nobody saw in 3 %", dirty=0.03),
)


def run_world(world: TrackWorld, seeds: Iterable[int]) -> Count:
    """Count over the logbooks of these seeds."""
    count = Count()
    for seed in seeds:
        book = draw(world, seed)
        rng = np.random.default_rng(seed + 77)
        known: list[Row] = []
        for run, texts in zip(book.runs, book.texts, strict=True):
            if sum(1 for each in known if each["motor_id"] == run["motor_id"]) >= 2:
                _entry(book, ForeseenTrack(known), run, texts, rng, count)
            made = slip(rng, texts) if rng.random() < world.dirty else None
            known.append(run if made is None else {**run, **numbers_of(made[1])})
    return count


def _doubts(book: TrackTyping, foreseen: ForeseenTrack, run: Row, texts: Mapping[str, str]) -> Row:
    typed = {name: Typed(text) for name, text in texts.items()}
    return {each.column: each for each in track_suspects(run, book.events[run["event_id"]], foreseen, typed=typed)}


def _entry(
    book: TrackTyping, foreseen: ForeseenTrack, run: Row, texts: dict[str, str], rng: np.random.Generator, count: Count
) -> None:
    doubts = _doubts(book, foreseen, run, texts)
    count.clean += 1
    count.flagged += bool(doubts)
    count.errors.update(f"false {column}" for column in doubts)
    sds = {}
    for block in foreseen.blocks(run):
        precision = precision_of(block.covariance)
        count.z += standing(block.residuals, precision)
        for i, name in enumerate(block.columns):
            sds[name] = precision[i][i] ** -0.5, block.scale
    for _ in range(3):
        if (made := slip(rng, texts)) is not None:
            _slipped(book, foreseen, run, texts, made, sds, count)


def _slipped(
    book: TrackTyping, foreseen: ForeseenTrack, run: Row, texts: dict[str, str], made: tuple[str, dict[str, str]],
    sds: Row, count: Count,
) -> None:  # fmt: skip
    kind, changed = made
    numbers = numbers_of(changed)
    if len(numbers) < len(changed) or min(numbers.values()) <= 0:
        return

    def moved(name: str, number: float) -> float:
        sd, scale = sds[name]
        return abs(float(scale(name, number) - scale(name, run[name]))) / sd

    judged = [name for name in numbers if name in sds]
    hit = max(judged or numbers, key=lambda name: moved(name, numbers[name]) if name in sds else 0.0)
    far, plain = hit in sds and moved(hit, numbers[hit]) > MOVED, _plainly(run, hit, numbers[hit])
    if not far and not plain:
        return
    doubts = _doubts(book, foreseen, {**run, **numbers}, {**texts, **changed})
    count.errors["plain"] += plain
    count.errors["plain found"] += plain and hit in doubts
    count.errors["plain asked"] += plain and bool(doubts)
    count.errors[f"plain field {hit}"] += plain
    count.errors[f"plain found field {hit}"] += plain and hit in doubts
    if not far:
        return
    told = Counter(["errors", f"kind {kind}", f"field {hit}"])
    if hit in doubts:
        told.update(["found", f"found kind {kind}", f"found field {hit}"])
        suspect = doubts[hit]
        if suspect.suggested is not None:
            told.update(["offered", f"offered kind {kind}", f"offered field {hit}"])
            if suspect.suggested == run[hit] or (kind == "fahrenheit" and abs(suspect.suggested - run[hit]) <= 1):
                told.update(["right", f"right kind {kind}", f"right field {hit}"])
    told["asked"] += bool(doubts)
    count.errors += told


def _plainly(run: Row, name: str, number: float) -> bool:
    """Whether a slip moves a number by more than four sd of the usual world."""
    if name in SD:
        return abs(number - run[name]) > MOVED * SD[name]
    sd = TIME[run["round_kind"]] if name == "run_time_s" else PERCENT[name]
    return 100 * abs(float(np.log(number / run[name]))) > MOVED * sd


HEADS = ("world", "found, %", "the run asked about, %", "by the world's sd, %", "repair offered, % of found",
         "right, %", "clean rows doubted, %", "sd of z")  # fmt: skip


def line(name: str, count: Count) -> str:
    """One line of the table."""
    cells = (
        name,
        share(count, "found", "errors"),
        share(count, "asked", "errors"),
        share(count, "plain found", "plain"),
        share(count, "offered", "found"),
        share(count, "right", "offered"),
        f"{100 * count.flagged / max(count.clean, 1):.2f} of {count.clean}",
        f"{np.std(count.z):.2f}",
    )
    return f"| {' | '.join(cells)} |"


def main() -> None:
    """Print the tables."""
    every = print_worlds(options(__doc__).parse_args(), WORLDS, HEADS, run_world, line)
    print("\n| field or slip | found, % | by the world's sd, % | repair offered, % | right, % | clean doubted |")
    print("|---" * 6 + "|")
    for name in sorted(each for each in every.errors if each.startswith(("field ", "kind "))):
        column = name.removeprefix("field ")
        shares = ((f"found {name}", name), (f"plain found {name}", f"plain {name}"),
                  (f"offered {name}", f"found {name}"), (f"right {name}", f"offered {name}"))  # fmt: skip
        print(
            f"| {' | '.join([column, *(share(every, *each) for each in shares)])} | {every.errors[f'false {column}']} |"
        )


if __name__ == "__main__":
    main()
