"""A simulator of race days, drawn lap by lap and not from the model that is fitted; and whether its truth is found.

A day has a lap time of its own, rubber that builds up and levels off, and a surface that warms until the afternoon. The
driver has a spread of laps, slower in traffic, and runs with an incident. Motors differ; so do rollouts, and the better
motor is saved for the main. Some runs have only totals or a best lap. `python -m tests.benchmarks.track_days` prints
how often 90 % intervals held the truth, one row a kind of world (about a minute and a half of one core).
"""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pitbench.figures.laps import LAPS, Reading, better_half_mean, read
from pitbench.figures.pace import TrackRuns, pace

REPORTED, CHOSEN = 2_000_000, 0
PERCENT = 0.01


@dataclass(frozen=True)
class World:
    """Sizes in percent of a lap: motor_pct, run_pct and lap_pct are sds, trend_pct how far a day drifts.

    motor_pct None: the spread of motors drawn from its prior. totals: share of runs without laps. one_track: all days
    within 2 % of one lap time, which a comparison across days would be tempted by.
    """

    motors: int = 3
    days: tuple[int, ...] = (1, 2, 4)
    runs: tuple[int, ...] = (8, 9, 12)
    motor_pct: float | None = None
    run_pct: float = 0.4
    lap_pct: float = 1.0
    trend_pct: float = 1.0
    totals: float = 0.0
    one_track: bool = False
    saved: bool = True


@dataclass(frozen=True)
class TrackDays:
    """Runs with what is true of them: percent by which every motor is slower [motors], and by which the better half of
    every run was slower than the day's mean motor was to be expected then, at its rollout [n]."""

    runs: TrackRuns
    motor: np.ndarray
    run: np.ndarray


def draw_days(world: World, seed: int) -> TrackDays:
    """A season of one driver; runs with an incident are left out, as they are from pace."""
    rng = np.random.default_rng(seed)
    spread = abs(rng.normal(0, 0.6)) if world.motor_pct is None else world.motor_pct
    motors = rng.normal(0, spread, world.motors)
    slope, steadiness = rng.normal(0, 0.15), world.lap_pct * np.exp(rng.normal(0, 0.3))
    usual_s, found = rng.uniform(12, 40), []
    for day in range(rng.choice(world.days)):
        level = usual_s * (1 + 0.02 * rng.uniform(-1, 1)) if world.one_track else rng.uniform(12, 40)
        found += _day(world, rng, day, level, motors, slope, steadiness)
    motor, days, hour, reading, rollout, truth = (list(column) for column in zip(*found, strict=True))
    return TrackDays(TrackRuns(world.motors, motor, days, hour, reading, rollout), motors, np.array(truth))


def _day(
    world: World, rng: np.random.Generator, day: int, level_s: float, motors: np.ndarray, slope: float, lap_pct: float
) -> list[tuple[int, int, float, Reading, float | None, float]]:
    """Runs of one day: motor, day, hour, pace, rollout, truth."""
    count = int(rng.choice(world.runs))
    hour = np.sort(rng.uniform(8.5, 17.5, count))
    motor = rng.integers(0, motors.size, count)
    if world.saved:  # the motor believed best runs last
        motor[-2:] = int(np.argmin(motors + rng.normal(0, 0.3, motors.size)))
    rubber = -abs(rng.normal(0, world.trend_pct)) * (1 - np.exp(-(hour - 8.5) / rng.uniform(1, 4)))
    heat = rng.normal(0, 0.5 * world.trend_pct) * np.sin(np.pi * (hour - 8.5) / 12)
    rollout = rng.uniform(30, 60) * (1 + rng.choice([-0.03, 0.0, 0.0, 0.0, 0.03], count))
    luck = rng.normal(0, world.run_pct, count)
    geared = slope * 100 * np.log(rollout / np.median(rollout))
    found, usual = [], np.mean([_percent(_laps(rng, level_s, lap_pct), level_s) for _ in range(100)])
    for i in np.flatnonzero(rng.random(count) > 0.08):
        given = level_s * np.exp(PERCENT * (rubber[i] + heat[i] + geared[i] + motors.mean()))
        laps = _laps(rng, given * np.exp(PERCENT * (motors[motor[i]] - motors.mean() + luck[i])), lap_pct)
        known = float(rollout[i]) if rng.random() > 0.1 else None
        truth = float(_percent(laps, given) - usual)
        found.append((int(motor[i]), day, float(hour[i]), _written_down(rng, laps, world.totals), known, truth))
    return found


def _percent(laps: Sequence[float], level_s: float) -> float:
    """How much slower the better half is than a level."""
    return 100 * float(np.log(better_half_mean(laps) / level_s))


def _laps(rng: np.random.Generator, level_s: float, lap_pct: float) -> list[float]:
    """Five minutes of laps; about one in fifteen goes wrong."""
    count = round(300 / level_s)
    off = rng.normal(0, lap_pct, count) + (rng.random(count) < 0.07) * rng.exponential(10, count)
    return [float(lap) for lap in level_s * np.exp(PERCENT * off)]


def _written_down(rng: np.random.Generator, laps: Sequence[float], totals: float) -> Reading:
    """The laps, or what a racer kept of them."""
    average, best = sum(laps) / len(laps), min(laps)
    kept = rng.choice(4, p=[1 - totals, totals / 3, totals / 3, totals / 3])
    found = (
        read(laps)
        if kept == 0
        else read(laps=len(laps), run_time_s=sum(laps))
        if kept == 1
        else read(best_lap_s=best, average_lap_s=average)
        if kept == 2
        else read(best_lap_s=best)
    )
    assert found is not None
    return found


ROWS = {
    "one day, 3 motors": World(days=(1,)),
    "1 to 4 days, 3 motors": World(),
    "1 to 4 days, 6 motors": World(motors=6),
    "12 days, 6 motors": World(motors=6, days=(12,)),
    "days of one track": World(days=(4,), one_track=True),
    "half the runs without laps": World(totals=0.5),
    "motors alike": World(motor_pct=0.1),
    "motors far apart": World(motor_pct=1.5),
    "unsteady driver": World(run_pct=0.8, lap_pct=2.0),
    "steady driver": World(run_pct=0.25, lap_pct=0.5),
    "strong trend": World(trend_pct=2.5),
}


@dataclass(frozen=True)
class Row:
    """Share of 90 % intervals that held the truth, of motors and of runs; mean width of the motors', percent."""

    motors: float
    runs: float
    width: float
    count: int


def sample(world: World, seasons: int, first_seed: int) -> Row:
    """Coverage over simulated seasons. Motors against the mean of those compared; runs with all their laps only."""
    motors, runs, width = [], [], []
    for seed in range(first_seed, first_seed + seasons):
        season = draw_days(world, seed)
        found = pace(season.runs)
        assert found is not None
        known = [m for m in range(world.motors) if found.known(m)]
        centre = season.motor[known].mean() if known else 0.0
        for m in known:
            interval = found.motors[m].percent
            motors.append(interval.low90 <= season.motor[m] - centre <= interval.high90)
            width.append(interval.high90 - interval.low90)
        shift = season.motor.mean() - centre
        against = found.against_its_day(range(len(season.run)))
        for i, reading in enumerate(season.runs.reading):
            if against[i] is not None and reading.kind == LAPS:
                runs.append(against[i].percent.low90 <= season.run[i] + shift <= against[i].percent.high90)
    return Row(float(np.mean(motors)), float(np.mean(runs)), float(np.mean(width)), len(motors))


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seasons", type=int, default=400)
    asked.add_argument("--seeds", choices=("reported", "chosen"), default="reported")
    given = asked.parse_args()
    first = {"reported": REPORTED, "chosen": CHOSEN}[given.seeds]
    print("| world | motors held | runs held | mean width, % | intervals |", "|---|---|---|---|---|", sep="\n")
    for name, world in ROWS.items():
        row = sample(world, given.seasons, first)
        print(f"| {name} | {row.motors:.3f} | {row.runs:.3f} | {row.width:.2f} | {row.count} |", flush=True)


if __name__ == "__main__":
    main()
