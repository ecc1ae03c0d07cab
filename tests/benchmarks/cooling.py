"""How well the cooling of a can is foreseen: later temperatures, and when it is said to be cool; simulated and real.

`python -m tests.benchmarks.cooling` prints the tables (about two minutes on one idle core); a small sample of it is a
test. Settings were chosen on seeds from 0 on and on the real motor, and are reported on seeds from 3,000,000 on.
"""

import argparse
import csv
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from pitbench.figures.clock import COOL_WITHIN_K, can_at, ready_after
from pitbench.figures.cooling import CanReadings, Finish, Rest, finish, learn
from tests.benchmarks.resting_cans import KINDS, LAST_S, Kind, Resting, draw
from tests.benchmarks.scores import Share, share

REPORTED, CHOSEN = 3_000_000, 0
REAL = Path(__file__).parent.parent / "reference" / "real"
AIR_SD_K, THERMOMETER_SD_K = 0.5, 1.0
LATER_S = (120.0, 300.0, 600.0, 1200.0, 2400.0)
"""How long after the last reading the can is looked at."""
TOO_EARLY_K = 3.0


@dataclass(frozen=True)
class Asked:
    """What is known: so many runs learned from, each read at these times, and when the run asked about was read. Times
    in s, from and to, drawn evenly."""

    learned: int
    read: tuple[tuple[float, float], ...]
    learned_read: tuple[tuple[float, float], ...] = ((50, 75), (240, 420))


ASKED = {
    "nothing learned, read once": Asked(0, ((50, 75),)),
    "nothing learned, read twice": Asked(0, ((60, 60), (180, 180))),
    "3 runs learned, read once": Asked(3, ((50, 75),)),
    "10 runs learned, read once": Asked(10, ((50, 75),)),
    "10 runs learned, read twice": Asked(10, ((60, 60), (180, 180))),
    "10 runs learned, read once, late": Asked(10, ((150, 240),)),
    "10 runs read three times learned, read twice": Asked(
        10, ((60, 60), (180, 180)), ((60, 60), (300, 300), (900, 900))
    ),
}


@dataclass(frozen=True)
class Outcome:
    """One run asked about: later temperatures within their 90 and 50 % and how far off their medians were, K; the
    finish the same; how far over ambient the can was when it was said to be cool, K, and how late that was, s."""

    held: Sequence[bool]
    held_half: Sequence[bool]
    off: Sequence[float]
    finish_held: bool
    finish_off: float
    over_when_cool: float
    late_s: float


def read(
    cans: Resting, which: tuple[int, int], times: Iterable[tuple[float, float]], rng: np.random.Generator
) -> CanReadings:
    """One run as a hand-held thermometer tells it."""
    after = [3 * round(rng.uniform(*each) / 3) for each in times]
    temp = [float(cans.at(each)[which]) + THERMOMETER_SD_K * rng.standard_normal() for each in after]
    return CanReadings([float(each) for each in after], temp, cans.air_c[which] + AIR_SD_K * rng.standard_normal())


def outcomes(kind: Kind, asked: Asked, classes: int, seed: int) -> Iterator[list[Outcome]]:
    """Two runs of every class, by class."""
    rng, cans = np.random.default_rng(seed + 1), draw(kind, classes, asked.learned + 2, seed)
    for one in range(classes):
        rest = learn([read(cans, (one, run), asked.learned_read, rng) for run in range(asked.learned)])
        yield [outcome(cans, (one, asked.learned + run), asked, rest, rng) for run in range(2)]


def outcome(cans: Resting, which: tuple[int, int], asked: Asked, rest: Rest, rng: np.random.Generator) -> Outcome:
    """What was foreseen of one run, and what came."""
    readings = read(cans, which, asked.read, rng)
    found = finish(readings, rest)
    later = [60.0, *(max(readings.after_s) + each for each in LATER_S)]
    true = [float(cans.at(each)[which]) for each in later]
    spreads = can_at(found, later)
    held = [each.low90 <= truth <= each.high90 for each, truth in zip(spreads, true, strict=True)]
    off = [each.median - truth for each, truth in zip(spreads, true, strict=True)]
    over = cans.temp_c[(slice(None), *which)] - cans.air_c[which]
    cool = 3.0 * int(np.argmax(over <= COOL_WITHIN_K)) if (over <= COOL_WITHIN_K).any() else LAST_S
    said = ready_after(found)
    return Outcome(
        held=held[1:],
        held_half=[each.low50 <= truth <= each.high50 for each, truth in zip(spreads, true, strict=True)][1:],
        off=off[1:],
        finish_held=held[0],
        finish_off=off[0],
        over_when_cool=float(np.interp(said, 3.0 * np.arange(over.size), over)),
        late_s=said - cool,
    )


@dataclass(frozen=True)
class Score:
    """Of many runs: shares within their 90 and 50 %, the same of finishes; root mean squares of the error of later
    temperatures and of finishes, K; shares not cool, and more than 3 K too warm, when said to be cool; median lateness
    of that, min."""

    held: Share | None
    held_half: Share | None
    off_k: float
    finish_held: Share | None
    finish_off_k: float
    not_cool: Share | None
    too_early: Share | None
    late_min: float


def score(classes: Sequence[Sequence[Outcome]]) -> Score:
    """Standard errors count classes."""

    def of(values: str) -> list[list[bool]]:
        return [[each for one in runs for each in np.ravel(getattr(one, values)).tolist()] for runs in classes]

    def over(limit: float) -> list[list[bool]]:
        return [[one.over_when_cool > limit for one in runs] for runs in classes]

    return Score(
        held=share(of("held")),
        held_half=share(of("held_half")),
        off_k=_rms(each for runs in classes for one in runs for each in one.off),
        finish_held=share(of("finish_held")),
        finish_off_k=_rms(one.finish_off for runs in classes for one in runs),
        not_cool=share(over(COOL_WITHIN_K)),
        too_early=share(over(COOL_WITHIN_K + TOO_EARLY_K)),
        late_min=float(np.median([one.late_s for runs in classes for one in runs])) / 60,
    )


def _rms(values: Iterable[float]) -> float:
    return float(np.sqrt(np.mean(np.square(list(values)))))


def motor_runs() -> list[np.ndarray]:
    """Runs of the real motor at rest: s after it stopped, °C, ambient °C [rows × 3]."""
    return [_at_rest(path) for path in sorted(REAL.glob("small_motor_heat_rest_*.csv"))]


def _at_rest(path: Path) -> np.ndarray:
    with path.open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    stopped = max(float(row["time_s"]) for row in rows if float(row["signal"]) > 50) + 0.5
    told = [row for row in rows if row["motor_temp_c"] and float(row["time_s"]) > stopped]
    return np.array(
        [[float(row["time_s"]) - stopped, float(row["motor_temp_c"]), float(row["ambient_c"])] for row in told]
    )


def _read_motor(run: np.ndarray, after_s: Iterable[float], noise_k: float, rng: np.random.Generator) -> CanReadings:
    times = [each for each in after_s if each <= run[-1, 0]]
    temp = np.interp(times, run[:, 0], run[:, 1]) + noise_k * rng.standard_normal(len(times))
    return CanReadings(times, temp.tolist(), float(np.median(run[:, 2])))


@dataclass(frozen=True)
class MotorScore:
    """Of the real motor: share of later temperatures within their 90 %, mean and rms error of the median, K, mean width
    of the 90 %, K; share of cases said too early by more than 3 K to be back within a limit."""

    held: float
    bias_k: float
    off_k: float
    width_k: float
    too_early: float
    cases: int


def real_motor(learned_s: Sequence[float], noise_k: float, repeats: int, seed: int = 5) -> MotorScore:
    """Each run in turn foreseen from readings at 60 and 180 s, the others learned from; from a moment 0, 30 and 60 s
    after it stopped on, as if it had stopped then. noise_k: added to every reading."""
    rng, runs = np.random.default_rng(seed), motor_runs()
    held, off, width, early = [], [], [], []
    for nth in range(len(runs)):
        for shift in np.repeat([0.0, 30.0, 60.0], repeats):
            moved = [each - [shift, 0, 0] for each in runs]
            own, others = moved[nth], moved[:nth] + moved[nth + 1 :]
            rest = learn([_read_motor(each, learned_s, noise_k, rng) for each in others])
            found = finish(_read_motor(own, (60.0, 180.0), noise_k, rng), rest)
            later = np.arange(210.0, own[-1, 0], 30.0)
            for at, spread in zip(later, can_at(found, later), strict=True):
                true = float(np.interp(at, own[:, 0], own[:, 1]))
                held.append(spread.low90 <= true <= spread.high90)
                off.append(spread.median - true)
                width.append(spread.high90 - spread.low90)
            early.append(_said_early(found, own) > TOO_EARLY_K)
    means = [float(np.mean(each)) for each in (held, off, width, early)]
    return MotorScore(means[0], means[1], _rms(off), means[2], means[3], len(held))


def _said_early(found: Finish, run: np.ndarray) -> float:
    """How far over a limit the motor was when it was said to be back within it, K; the limit lies where it was five
    minutes after, since the record ends before it is cool."""
    over = run[:, 1] - np.median(run[:, 2])
    limit = float(np.interp(300.0, run[:, 0], over))
    return float(np.interp(ready_after(found, limit), run[:, 0], over)) - limit


LEARNED_S = {
    "2 readings": (60.0, 300.0),
    "3 readings": (60.0, 180.0, 300.0),
    "8 readings": (30.0, 60.0, 90.0, 120.0, 180.0, 240.0, 300.0, 360.0),
    "every 30 s": tuple(np.arange(30.0, 480.0, 30.0).tolist()),
    "every 10 s": tuple(np.arange(30.0, 480.0, 10.0).tolist()),
    "every 2 s": tuple(np.arange(30.0, 480.0, 2.0).tolist()),
}
WHOLE = ("every 30 s", "every 10 s", "every 2 s")


def main() -> None:
    """Print the tables."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seeds", choices=("reported", "chosen"), default="reported")
    asked.add_argument("--classes", type=int, default=100, help="of each kind")
    given = asked.parse_args()
    first = {"reported": REPORTED, "chosen": CHOSEN}[given.seeds]
    heads = "in their 90 % | 50 % | off, K | finish in its 90 % | off, K | not cool | 3 K too early | late, min"
    print(f"| simulated, {given.classes} classes of 2 runs | {heads} |", "|---" * 9 + "|", sep="\n")
    usual = "10 runs learned, read twice"
    works = [(name, KINDS["read at the can"], each) for name, each in ASKED.items()]
    works += [(f"{name}; {usual}", each, ASKED[usual]) for name, each in list(KINDS.items())[1:]]
    works += [
        (f"{name}; nothing learned", each, ASKED["nothing learned, read twice"])
        for name, each in list(KINDS.items())[1:]
    ]
    for i, (name, kind, each) in enumerate(works):
        print(f"| {name} | {_line(score(list(outcomes(kind, each, given.classes, first + 10 * i))))} |", flush=True)
    print(
        "\n| real motor, the others learned from | noise, K | in their 90 % | bias, K | off, K | width, K | too early |"
    )
    print("|---" * 7 + "|")
    for name, times in LEARNED_S.items():
        for noise in (0.0, THERMOMETER_SD_K):
            found = real_motor(times, noise, 10 if noise else 1)
            numbers = f"{found.bias_k:+.2f} | {found.off_k:.2f} | {found.width_k:.2f}"
            print(f"| {name} | {noise:.0f} | {100 * found.held:.0f} % | {numbers} | {100 * found.too_early:.0f} % |")


def _line(found: Score) -> str:
    held, half, finished = (_percent(each) for each in (found.held, found.held_half, found.finish_held))
    cool = " | ".join(_percent(each) for each in (found.not_cool, found.too_early))
    return (
        f"{held} | {half} | {found.off_k:.2f} | {finished} | {found.finish_off_k:.2f} | {cool} | {found.late_min:.0f}"
    )


def _percent(found: Share | None) -> str:
    return "" if found is None else f"{100 * found.value:.1f} ± {100 * found.error:.1f} %"


if __name__ == "__main__":
    main()
