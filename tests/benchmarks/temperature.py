"""How good the heat forecast is: simulated race days, every run forecast from those before it, beside plain guesses.

`python -m tests.benchmarks.temperature` prints the tables (about three minutes on two idle cores); a small sample of it
is a test. Constants were picked on seeds from 0 on and are reported on seeds from 2,000,000 on. What is forecast is
what the thermometer says one minute after the finish, in air that was planned to about 1 K.
"""

import argparse
import multiprocessing
import os
import time
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from pitbench.figures import cooling
from pitbench.figures.clock import can_at
from pitbench.figures.delays import USUAL, Delays, learn_delays
from pitbench.figures.forecast import Mixture, Plan, flags, forecasts, longest_rollout, mixture
from pitbench.figures.heat_fit import HeatFit, TrackRuns, fit
from pitbench.figures.log_heat import LoggedCan, finish_by_log
from pitbench.figures.spread import normal_below
from pitbench.figures.starts import believed_start
from tests.benchmarks.thermal_days import DAY, VARIANTS, YEAR, Season, World, draw, variant

REPORTED, CHOSEN = 2_000_000, 0
Logs = Sequence[LoggedCan | None]
CEILINGS = np.arange(50.0, 101.0, 2.5)
"""Limits in °C, the same for all worlds: laid near what a world does they would tell what no forecast can know."""


@dataclass(frozen=True)
class Outcome:
    """One forecast and the reading that came, °C; over: chances over CEILINGS; guesses: the same for plain guesses by
    name. crps: its continuous ranked probability score in K, and that of a normal around the mean rise.

    number: place of the run within its day, from 0.
    """

    number: int
    true: float
    median: float
    held: bool
    held_half: bool
    over: tuple[float, ...]
    guesses: dict[str, float]
    crps: float = 0.0
    crps_mean_rise: float = 0.0
    flags: tuple[str, ...] = ()
    longest_mm: float | None = None
    half_width: float = 0.0


def runs_before(
    season: Season, world: int, count: int, finishes: Sequence[cooling.Finish], start: np.ndarray, logs: Logs = ()
) -> TrackRuns:
    """The first runs of one world, as the user's logbook holds them."""
    of = {name: column[world, :count] for name, column in vars(season).items()}
    return TrackRuns(
        motor=of["motor"],
        event=of["event"],
        rollout_mm=of["rollout"],
        timing_deg=of["timing"],
        length_s=of["length"],
        ambient_c=of["ambient"],
        start_c=start[:count],
        finish_c=[each.temp_c for each in finishes],
        own_k=[each.own_k for each in finishes],
        shared_k=[each.shared_k for each in finishes],
        delay_k=[each.delay_k for each in finishes],
        delay_told=~np.isnan(of["delay"]),
        curves=[each for each in logs[:count] if each is not None],
    )


def readings(season: Season, world: int, run: int) -> cooling.CanReadings:
    """What the thermometer said after one run."""
    delay, second = season.delay[world, run], season.second_s[world, run]
    after, temp = [delay], [season.reading[world, run]]
    if not np.isnan(second):
        after, temp = [*after, second], [*temp, season.second[world, run]]
    return cooling.CanReadings(after, temp, season.ambient[world, run])


def outcomes(
    season: Season, first: int, world: int, longest: bool = False, logs: Logs = (), alone: Collection[int] = ()
) -> list[Outcome]:
    """Every run of one world from the `first` on, forecast from all before it; longest: the last one with the longest
    rollout under the usual limit. logs: of every run, None where it was not logged; alone: runs only a log tells of."""
    start = season.start_typed[world].copy()
    seen: list[cooling.CanReadings] = []
    found: list[Outcome] = []
    rest, delays, finishes = cooling.learn(), USUAL, []
    for run in range(season.motor.shape[1]):
        anew = run % 6 == 0 or run < 6  # how cans cool: once a day is enough after the first
        if anew:
            rest = cooling.learn([each for at, each in enumerate(seen) if at not in alone])
        known = ~np.isnan(season.delay[world, :run])
        if anew or known[-1]:
            delays = learn_delays(season.delay[world, :run][known].tolist())
            for at in np.arange(run) if anew else np.flatnonzero(~known):
                finishes[at] = _finished(seen[at], rest, delays, logs[at] if at in alone else None)
        clock = by_clock(season, world, run, finishes)
        if np.isnan(start[run]):
            start[run] = clock
        if run >= first:
            learned = fit(runs_before(season, world, run, finishes, start, logs), season.rollout[world, run])
            ends = longest and run == season.motor.shape[1] - 1
            found.append(_outcome(season, world, run, learned, start[run], ends))
        start[run] = believed(start[run], clock, season.ambient[world, run])
        seen.append(readings(season, world, run))
        finishes.append(_finished(seen[-1], rest, delays, logs[run] if run in alone else None))
    return found


def _finished(read: cooling.CanReadings, rest: cooling.Rest, delays: Delays, log: LoggedCan | None) -> cooling.Finish:
    return cooling.finish(read, rest, delays) if log is None else finish_by_log(log, rest)


def believed(start: float, clock: float, ambient: float) -> float:
    """A start as the logbook learns from it; NaN where nothing tells it."""
    return start if np.isnan(start) else believed_start(start, ambient if np.isnan(clock) else clock, ambient)


def by_clock(season: Season, world: int, run: int, finishes: Sequence[cooling.Finish]) -> float:
    """Start temperature as the cool-down clock has it, NaN where the motor has not run that day."""
    rested = season.rested[world, run]
    if np.isnan(rested):
        return float("nan")
    before = np.flatnonzero(season.motor[world, :run] == season.motor[world, run])[-1]
    return can_at(finishes[before], [rested])[0].median


def _outcome(season: Season, world: int, run: int, learned: HeatFit, start: float, longest: bool = False) -> Outcome:
    of = {name: column[world, run] for name, column in vars(season).items()}
    motor, event, true = int(of["motor"]), int(of["event"]), float(of["to_read"])
    plan = Plan(
        motor=motor if learned.of_motor(motor) else None,
        event=event if learned.of_event(event) else None,
        rollout_mm=of["rollout"],
        length_s=of["length"],
        ambient_c=of["planned"],
        timing_deg=of["timing"],
        start_c=None if np.isnan(start) else start,
    )
    asked = mixture(learned, [plan])
    finish = asked.spreads()[0]
    return Outcome(
        number=run % 6,
        true=true,
        median=finish.median,
        held=finish.low90 <= true <= finish.high90,
        held_half=finish.low50 <= true <= finish.high50,
        over=tuple(float(asked.over(ceiling)[0]) for ceiling in CEILINGS),
        guesses=_guesses(season, world, run),
        crps=_crps(asked, true),
        crps_mean_rise=crps_of_mean_rise(season, world, run),
        flags=flags(learned, plan),
        longest_mm=longest_rollout(learned, plan) if longest else None,
        half_width=(finish.high90 - finish.low90) / 2,
    )


def _crps(asked: Mixture, came: float) -> float:
    """∫ (F(x) − [x ≥ came])² dx (Gneiting and Raftery 2007, J. Am. Stat. Assoc. 102, eq. 20)."""
    low = float(asked.shift.min())
    at = np.linspace(min(came, low) - 1, max(came, low + 160), 400)
    return float(np.trapezoid((asked.below(at[:, None])[:, 0] - (at >= came)) ** 2, at))


def crps_of_mean_rise(season: Season, world: int, run: int) -> float:
    """The same of a normal with mean and spread of the rises before, 5 K at least (the same paper, eq. 21)."""
    rise = season.reading[world, :run] - season.ambient[world, :run]
    sd = max(float(rise.std()), 5.0)
    z = float(season.to_read[world, run] - season.planned[world, run] - rise.mean()) / sd
    density, below = np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi), float(normal_below(np.array(z)))
    return sd * float(z * (2 * below - 1) + 2 * density - 1 / np.sqrt(np.pi))


def _guesses(season: Season, world: int, run: int) -> dict[str, float]:
    """As the last run plus the change in ambient, and as the last of that motor (else the last); mean rise plus
    ambient, of all runs before, of those of the motor, of those of the day (else of all)."""
    rise = season.reading[world, :run] - season.ambient[world, :run]
    same = season.motor[world, :run] == season.motor[world, run]
    today = season.event[world, :run] == season.event[world, run]
    own = rise[same if same.any() else slice(None)]
    rises = {
        "last run": rise[-1],
        "last of the motor": own[-1],
        "mean rise": rise.mean(),
        "mean of the motor": own.mean(),
        "mean of the day": rise[today if today.any() else slice(None)].mean(),
    }
    return {name: float(each + season.planned[world, run]) for name, each in rises.items()}


def error(found: Iterable[Outcome], guess: str | None = None) -> float:
    """Mean absolute error in K of the median, or of a plain guess."""
    return float(np.mean([abs((each.guesses[guess] if guess else each.median) - each.true) for each in found]))


def coverage(found: Sequence[Outcome]) -> tuple[float, float]:
    """Shares of true temperatures within their 90 % and 50 % intervals."""
    return float(np.mean([each.held for each in found])), float(np.mean([each.held_half for each in found]))


@dataclass(frozen=True)
class Bin:
    """Stated chances over a limit from one tenth to the next: how many, their mean, and how often it came true."""

    count: int
    stated: float
    came: float


def reliability(found: Sequence[Outcome]) -> list[Bin]:
    """Ten bins of stated chances over all limits."""
    stated = np.array([each.over for each in found])
    came = np.array([each.true for each in found])[:, None] > CEILINGS
    which = np.minimum((10 * stated).astype(int), 9)
    bins = [which == i for i in range(10)]
    return [Bin(int(b.sum()), float(stated[b].mean()), float(came[b].mean())) for b in bins if b.any()]


def sample(
    world: World, worlds: int, first_seed: int, first: int, each: Callable[..., Iterable] = map
) -> list[Outcome]:
    """All forecasts of so many simulated days or seasons; `each` maps over worlds, in one process or several."""
    season = draw(world, worlds, first_seed)
    return [one for found in each(partial(outcomes, season, first), range(worlds)) for one in found]


def misread(worlds: int, first_seed: int) -> np.ndarray:
    """How far, in K, the median of an eleventh run moves when one finish of ten was read in °F [worlds × 2]: from where
    the right reading puts it, and from where it is without that run."""
    season = draw(replace(DAY, events=2), worlds, first_seed)
    moved = []
    for world in range(worlds):
        seen = [readings(season, world, run) for run in range(10)]
        bad = world % 10
        wrong = replace(seen[bad], temp_c=[1.8 * each + 32 for each in seen[bad].temp_c])
        medians = []
        untold = replace(wrong, temp_c=[season.ambient[world, bad]] * len(wrong.temp_c))
        for one in (wrong, seen[bad], untold):
            given = [*seen[:bad], one, *seen[bad + 1 :]]
            finishes = [cooling.finish(each, cooling.learn()) for each in given]
            learned = fit(runs_before(season, world, 10, finishes, season.start_typed[world]), 44.0)
            medians.append(_outcome(season, world, 10, learned, float("nan")).median)
        moved.append(np.abs(np.array(medians[1:]) - medians[0]))
    return np.array(moved)


def speed() -> list[tuple[str, float, str]]:
    """What was timed, the shortest of several in ms of processor time, what is wanted."""
    season = _in_one_logbook(draw(YEAR, 11, 3))
    finishes = [cooling.finish(readings(season, 0, run), cooling.learn()) for run in range(500)]
    large = runs_before(season, 0, 500, finishes, season.start_typed[0])
    small = runs_before(season, 0, 6, finishes[:6], season.start_typed[0])
    few, many = fit(small, 44.0), fit(large, 44.0)
    plan = Plan(0, 0, 44.0, 300.0, 24.0)
    table = [replace(plan, rollout_mm=41.0 + each) for each in range(9)]
    works = [
        ("fit of 500 runs, 12 motors, 84 events", lambda: fit(large, 44.0), "at most 200 ms"),
        ("forecast after it", lambda: forecasts(many, [plan]), "at most 10 ms"),
        ("forecast after 6 runs", lambda: forecasts(few, [plan]), "at most 10 ms"),
        ("table of 9 pinions after 6 runs", lambda: forecasts(few, table), "a frame, 16.7 ms"),
        ("longest rollout after 6 runs", lambda: longest_rollout(few, plan), "at most 10 ms"),
    ]
    return [(name, min(_timed(work) for _ in range(15)), wanted) for name, work, wanted in works]


def _in_one_logbook(years: Season) -> Season:
    """Years of several worlds as one world with more events and motors."""
    number = np.arange(years.motor.shape[0])[:, None]
    years = replace(years, event=years.event + 8 * number, motor=years.motor + 3 * (number // 3))
    return Season(*(column.reshape(1, -1) for column in vars(years).values()))


def _timed(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return 1000 * (time.process_time() - start)


PLANS = {
    "days of 6 runs": (DAY, 500, 1, None),
    "a season": (YEAR, 40, 12, None),
    "days, last run 5 % off in rollout": (replace(DAY, tooth=0.0, last_step=0.05), 300, 5, None),
    "a season, last run of a day 5 % off": (replace(YEAR, tooth=0.0, last_step=0.05), 40, 12, 5),
}
"""Kind of days: how many, the first run forecast, and which run of a day counts (None: all)."""
GUESSES = ("last run", "last of the motor", "mean rise", "mean of the motor", "mean of the day")


def main() -> None:
    """Print the tables."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seeds", choices=("reported", "chosen"), default="reported")
    asked.add_argument("--share", type=float, default=1.0, help="how many of the days")
    asked.add_argument("--processes", type=int, default=2)
    given = asked.parse_args()
    os.environ["OPENBLAS_NUM_THREADS"] = "1"  # the processes started below share the cores
    first_seed = {"reported": REPORTED, "chosen": CHOSEN}[given.seeds]
    print("| what | processor time, ms | wanted |", "|---|---|---|", sep="\n")
    for what, took, wanted in speed():
        print(f"| {what} | {took:.1f} | {wanted} |")
    with multiprocessing.get_context("spawn").Pool(given.processes) as pool:
        each = partial(pool.imap, chunksize=5)
        pooled = _print_errors(given.share, first_seed, each)
        pooled += _print_variants(given.share, first_seed, each)
    held = coverage(pooled)
    print(f"\nAll {len(pooled)} forecasts: {100 * held[0]:.1f} % in their 90 %, {100 * held[1]:.1f} % in their 50 %.")
    print("\n| chance over the limit | how many | stated | came true |", "|---|---|---|---|", sep="\n")
    for i, found in enumerate(reliability(pooled)):
        print(f"| bin {i + 1} | {found.count} | {100 * found.stated:.1f} % | {100 * found.came:.1f} % |")
    moved = misread(int(100 * given.share), first_seed)
    print(
        "\n| one finish of ten read in °F moves the median | mean, K | 95 % under, K | most, K |",
        "|---" * 4 + "|",
        sep="\n",
    )
    for what, column in zip(
        ("from where the right reading puts it", "from where it is without that run"), moved.T, strict=True
    ):
        print(f"| {what} | {column.mean():.2f} | {np.quantile(column, 0.95):.2f} | {column.max():.2f} |")


def _print_errors(share: float, seed: int, each: Callable[..., Iterable]) -> list[Outcome]:
    heads = " | ".join(f"{name}, K | ÷" for name in GUESSES)
    print(f"\n| kind of day | forecasts | error, K | {heads} |", "|---" * 13 + "|", sep="\n")
    pooled: list[Outcome] = []
    for i, (name, (world, worlds, first, number)) in enumerate(PLANS.items()):
        found = sample(world, max(int(worlds * share), 2), seed + i, first, each)
        counted = [one for one in found if number in (None, one.number)]
        ours = error(counted)
        others = " | ".join(f"{error(counted, g):.2f} | {ours / error(counted, g):.2f}" for g in GUESSES)
        print(f"| {name} | {len(counted)} | {ours:.2f} | {others} |", flush=True)
        pooled += found if number is None else []
    return pooled


def _print_variants(share: float, seed: int, each: Callable[..., Iterable]) -> list[Outcome]:
    print(
        "\n| physics, days of 6 and a season | forecasts | in their 90 % | in their 50 % | ÷ last run | ÷ mean rise |"
    )
    print("|---" * 6 + "|")
    pooled: list[Outcome] = []
    for i, name in enumerate(VARIANTS):
        days = sample(variant(DAY, name), max(int(50 * share), 2), seed + 100 + i, 1, each)
        found = days + sample(variant(YEAR, name), max(int(5 * share), 2), seed + 200 + i, 6, each)
        ninety, fifty = coverage(found)
        ratios = " | ".join(f"{error(found) / error(found, guess):.2f}" for guess in ("last run", "mean rise"))
        print(f"| {name} | {len(found)} | {100 * ninety:.1f} % | {100 * fifty:.1f} % | {ratios} |", flush=True)
        pooled += found
    return pooled


if __name__ == "__main__":
    main()
