"""Whether Kv and R of a load log lie within their stated errors, on simulated logs, and how long a log takes.

`python -m tests.benchmarks.load_logs` prints the tables (about ten minutes on one idle core); a small sample of it is a
test. Settings were chosen on seeds under 1,000,000 and are reported on seeds from 1,000,000 on.
"""

import argparse
from dataclasses import dataclass
from time import perf_counter

import numpy as np

from pitbench.figures.load_log import LoadFit, Samples, analyse
from tests.benchmarks.load_runs import KINDS, SMOOTH, Driven, draw, smooth

REPORTED, AT_ONCE = 1_000_000, 25


@dataclass(frozen=True)
class Outcome:
    """One log: how far Kv and R were off in standard errors, these in % of the truth, the lag in rows, or why not."""

    off: tuple[float, float]
    doubt_pct: tuple[float, float]
    lag: float
    why: str | None


def outcome(log: Driven) -> Outcome:
    """One log analysed beside its truth."""
    found = analyse(log.samples)
    if found.kv is None or found.resistance is None:
        return Outcome((np.nan, np.nan), (np.nan, np.nan), np.nan, found.why)
    pairs = (found.kv, log.kv), (found.resistance, log.resistance)
    kv, ohm = (((each.mean - true) / each.se, 100 * each.se / true) for each, true in pairs)
    return Outcome((kv[0], ohm[0]), (kv[1], ohm[1]), found.lag, None)


def outcomes(kind: str, logs: int, seed: int) -> list[Outcome]:
    """So many logs of one kind."""
    if kind in SMOOTH:
        return [outcome(log) for log in smooth(SMOOTH[kind], logs, seed)]
    sizes = [min(AT_ONCE, logs - start) for start in range(0, logs, AT_ONCE)]
    return [outcome(log) for part, size in enumerate(sizes) for log in draw(KINDS[kind], size, seed + part)]


def row(kind: str, found: list[Outcome]) -> str:
    """One line of the table."""
    told = [each for each in found if each.why is None]
    off = np.array([each.off for each in told])
    doubt = np.median([each.doubt_pct for each in told], axis=0)
    held = (np.abs(off) <= 2).mean(axis=0)
    lag = np.median([each.lag for each in told])
    return (
        f"| {kind} | {len(found) - len(told)} of {len(found)} | {held[0]:.3f} | {held[1]:.3f} |"
        f" {off[:, 0].mean():+.2f} | {off[:, 1].mean():+.2f} | {doubt[0]:.2f} | {doubt[1]:.1f} | {lag:.2f} |"
    )


def long_log(rows: int, seed: int = REPORTED) -> Samples:
    """A log of at least so many rows: one drive after another."""
    once = draw(KINDS["10 rows a second, 5 % bad"], 1, seed)[0].samples
    times = -(-rows // once.time_s.size)
    span = once.time_s[-1] + 0.1
    columns = {name: np.tile(value, times) for name, value in vars(once).items() if isinstance(value, np.ndarray)}
    columns["time_s"] = (once.time_s[None] + span * np.arange(times)[:, None]).ravel()
    return Samples(current_is_of_motor=False, **columns)


def seconds(samples: Samples) -> tuple[float, LoadFit]:
    """The least of three times it takes, s, and what came out."""
    took = []
    for _ in range(3):
        start = perf_counter()
        found = analyse(samples)
        took.append(perf_counter() - start)
    return min(took), found


def main() -> None:
    """Prints the tables."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--logs", type=int, default=200, help="simulated logs a row")
    options.add_argument("--seed", type=int, default=REPORTED)
    asked = options.parse_args()
    print(f"Kv and R within two standard errors, {asked.logs} logs a row, seeds from {asked.seed} on.\n")
    print("| logs | refused | Kv held | R held | Kv off, se | R off, se | se of Kv, % | se of R, % | lag found, rows |")
    print("|---|---|---|---|---|---|---|---|---|")
    for kind in (*KINDS, *SMOOTH):
        print(row(kind, outcomes(kind, asked.logs, asked.seed)), flush=True)
    print("\n| rows | seconds |\n|---|---|")
    for rows in (36_000, 360_000):
        print(f"| {rows} | {seconds(long_log(rows))[0]:.2f} |", flush=True)


if __name__ == "__main__":
    main()
