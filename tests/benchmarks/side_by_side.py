"""Whether differences told side by side hold: 90 % intervals, and the chance that the better one is truly better.

Simulated bench days for what the bench reads (unevenness and timing added here), race days for pace, days of heat for
finish temperatures; what is asked of them is what `pitbench compare` asks. `python -m tests.benchmarks.side_by_side
--sets 1000` prints the table (about ten minutes of one core); a small sample of it is a test. Settings were chosen on
seeds from 0 on and are reported on seeds from 1,000,000 on. Standard errors stand behind what they belong to.
"""

import argparse
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from pitbench.figures import cooling
from pitbench.figures.as_set import timing_as_set
from pitbench.figures.beside import apart
from pitbench.figures.comparison import draw
from pitbench.figures.criteria import CURRENT, GOALS, KV, RESISTANCE, SEPARATED
from pitbench.figures.delays import learn_delays
from pitbench.figures.estimate import DRAWS
from pitbench.figures.forecast import Plan, finish_draws
from pitbench.figures.heat_fit import fit
from pitbench.figures.pace import pace
from pitbench.figures.readings import Readings
from tests.benchmarks import thermal_days, track_days
from tests.benchmarks.bench_days import Day, World, draw_day
from tests.benchmarks.calibration import CHOSEN, REPORTED
from tests.benchmarks.kinds_of_days import ROWS as BENCH_ROWS
from tests.benchmarks.scores import Share, calibration_error, share
from tests.benchmarks.temperature import believed, by_clock, readings, runs_before
from tests.benchmarks.thermal_days import YEAR, variant

SPREAD, IMBALANCE, TIMING = "sensor_spread_deg", "pole_imbalance_pct", "timing_deg"
POWER, PER_AMP, PACE, FINISH = "load_power_w", "speed_per_amp", "track_pace_s", "finish_temp_c"
SENSORS_DEG, SENSOR_NOISE_DEG = 0.35, 0.10
"""How far a board's sensors sit off, and what one reading of one is off by. Ours."""
POLES_PCT, POLES_NOISE_PCT, POLES_MOOD_PCT = 1.2, 0.25, 0.3
"""How far rotors differ, what a reading is off by, and an evening, and a clamping by half of that. Ours."""


@dataclass(frozen=True)
class Case:
    """One difference: whether its interval held the truth, the chance stated, and whether what was likelier is so; None
    of equals."""

    held: bool
    chance: float | None
    right: bool | None


def cases(figure: str, draws: np.ndarray, truth: Sequence[float], motors: Sequence[int]) -> list[Case]:
    """Of every two of these motors: draws [draws × motors], truth [motors]."""
    better, found = GOALS[figure].better if figure in GOALS else 0, []
    for one, other in combinations(motors, 2):
        told, true = apart(draws[:, one], draws[:, other], better), truth[one] - truth[other]
        held = told.difference.low90 <= true <= told.difference.high90
        right = None if true == 0 else told.likelier == (0 if better * true > 0 else 1)
        found.append(Case(bool(held), told.chance, right))
    return found


# the bench


def of_the_bench(world: World, seed: int) -> dict[str, list[Case]]:
    """Differences of one bench day, by figure."""
    day = draw_day(world, seed)
    rng, motors = np.random.default_rng([seed, 7]), day.compared()
    uneven, read = _unevenness(day, rng)
    drawn = draw(replace(day.tested, readings={**day.tested.readings, **read}))
    truth = {KV: motors.kv, CURRENT: motors.current, PER_AMP: motors.kv / motors.current, **uneven}
    values = dict(drawn.values)
    if world.resistance:
        truth[RESISTANCE] = 1000 * motors.resistance
    truth[POWER] = day.true_score()
    values[POWER] = 100 * (drawn.power.watts / drawn.power.watts.mean(axis=1, keepdims=True) - 1)
    n = motors.kv.size
    found = {name: cases(name, values[name], each.tolist(), range(n)) for name, each in truth.items()}
    set_to = timing_as_set(drawn.asked.runs, np.zeros(len(drawn.asked.runs.motor), dtype=np.int64), n)
    if set_to is not None:
        known = np.flatnonzero(set_to[1]).tolist()
        found[TIMING] = cases(TIMING, set_to[0], day.motors.timing.tolist(), known)
    return found


def _unevenness(day: Day, rng: np.random.Generator) -> tuple[dict[str, np.ndarray], dict[str, Readings]]:
    """Sensors and poles of every motor, true [motors], and as they are read in every run."""
    runs = day.tested.runs
    motor, session, n = np.array(runs.motor), np.array(runs.session), day.motors.kv.size
    alike = day.world.identical
    board = np.repeat(rng.normal(0, SENSORS_DEG, (1, 3)), n, 0) if alike else rng.normal(0, SENSORS_DEG, (n, 3))
    poles = np.abs(rng.normal(0, POLES_PCT, 1 if alike else n) + 2.0) * np.ones(n)
    sensors = board[motor] + rng.normal(0, SENSOR_NOISE_DEG, (motor.size, 3))
    mood = rng.normal(0, POLES_MOOD_PCT, int(session.max()) + 1)[session]
    seat = rng.normal(0, POLES_MOOD_PCT / 2, (n, int(session.max()) + 1))[motor, session]
    rotors = np.maximum(poles[motor] + mood + seat + rng.normal(0, POLES_NOISE_PCT, motor.size), 0)

    def read(value: np.ndarray) -> Readings:
        return Readings(motor, session, value, np.ones(motor.size), np.arange(motor.size))

    truth = {SPREAD: np.ptp(board, axis=1), IMBALANCE: poles}
    return truth, {SPREAD: read(np.ptp(sensors, axis=1)), IMBALANCE: read(rotors)}


# the track


def of_pace(world: track_days.World, seed: int) -> dict[str, list[Case]]:
    """Differences in pace of one season, in seconds at its mean lap; nothing where the ranking would state none."""
    season = track_days.draw_days(world, seed)
    found = pace(season.runs)
    if found is None or not found.enough:
        return {}
    known = [motor for motor in range(world.motors) if found.known(motor)]
    truth = found.lap_s * np.exp((season.motor - season.motor[known].mean()) / 100) if known else season.motor
    return {PACE: cases(PACE, found.draws, truth.tolist(), known)}


def of_finishes(world: thermal_days.World, seed: int) -> dict[str, list[Case]]:
    """Differences in finish temperature under the middle conditions of the newest event of one season."""
    days: list[thermal_days.Losses] = []
    season = thermal_days.draw(world, 1, seed, days)
    count, start = season.motor.shape[1], season.start_typed[0].copy()
    seen = [readings(season, 0, run) for run in range(count)]
    rest = cooling.learn(seen)
    delays = learn_delays([delay for delay in season.delay[0].tolist() if delay == delay])
    finishes = [cooling.finish(each, rest, delays) for each in seen]
    for run in range(count):
        clock = by_clock(season, 0, run, finishes[:run])
        start[run] = believed(clock if np.isnan(start[run]) else start[run], clock, season.ambient[0, run])
    newest = season.event[0] == season.event[0].max()
    middle = [float(np.median(each[0][newest])) for each in (season.rollout, season.length, season.ambient)]
    rollout, length, air = middle
    learned = fit(runs_before(season, 0, count, finishes, start), rollout)
    plan = Plan(None, int(season.event.max()), rollout, length, air)
    draws = finish_draws(learned, world.motors, plan, DRAWS)
    at = (np.full((1, 1), each) for each in middle)
    usual = np.nan_to_num(learned.timing_ref - thermal_days.TIMING_DEG)
    own = np.pad(usual, (0, world.motors - usual.size))[None]
    truth = thermal_days.mean_finishes(world, 1, seed, days[-1], *at, own)[0]
    known = [motor for motor in range(world.motors) if learned.of_motor(motor)]
    return {FINISH: cases(FINISH, draws, truth.tolist(), known)}


# the table

KINDS = (
    *("stated priors, 2 runs", "stated priors, 5 runs", "motors alike, 5 runs", "motors far apart, 5 runs"),
    *("tester twice as noisy, 5 runs", "one run 8 sigma off, 5 runs", "clampings 1 sigma, 5 runs"),
    "identical pair, 5 runs",
)
SEASONS = replace(YEAR, events=4)
Asked = tuple[Callable[..., Mapping[str, Sequence[Case]]], object]
ROWS: dict[str, Asked] = {
    **{name: (of_the_bench, BENCH_ROWS[name]) for name in KINDS},
    **{f"pace: {name}": (of_pace, track_days.ROWS[name]) for name in ("1 to 4 days, 3 motors", "12 days, 6 motors")},
    "pace: motors alike": (of_pace, track_days.ROWS["motors alike"]),
    "heat: as drawn": (of_finishes, SEASONS),
    "heat: wild driver": (of_finishes, variant(SEASONS, "wild driver")),
    "heat: any delay, half unknown": (of_finishes, variant(SEASONS, "any delay, half unknown")),
}


@dataclass(frozen=True)
class Row:
    """Shares of all differences of a figure. error: mean distance of chances from what came true; named: a better one
    was named; wrong: of those, it was not. None for chances of a figure without a better side."""

    sets: int
    held: Share | None
    error: float | None
    named: Share | None
    wrong: Share | None


def sample(name: str, sets: int, first_seed: int) -> dict[str, Row]:
    """Rows by figure from so many days or seasons."""
    asked, world = ROWS[name]
    found: dict[str, list[Sequence[Case]]] = defaultdict(list)
    for seed in range(first_seed, first_seed + sets):
        for figure, told in asked(world, seed).items():
            found[figure].append(told)
    return {figure: _summed_up(each) for figure, each in found.items()}


def _summed_up(days: Sequence[Sequence[Case]]) -> Row:
    chances = [(each.chance, each.right) for day in days for each in day if each.chance is not None]
    unequal = [(chance, right) for chance, right in chances if right is not None]
    named = [[each for each in day if (each.chance or 0) >= SEPARATED and each.right is not None] for day in days]
    return Row(
        sets=len(days),
        held=share([[each.held for each in day] for day in days]),
        error=calibration_error(unequal) if unequal else None,
        named=share([[(each.chance or 0) >= SEPARATED for each in day] for day in days]) if chances else None,
        wrong=share([[not each.right for each in day] for day in named]),
    )


def lines(name: str, rows: Mapping[str, Row]) -> Iterator[str]:
    """The rows as they are printed."""
    for figure, row in rows.items():
        error = "" if row.error is None else f"{row.error:.3f}"
        cells = (name, figure, str(row.sets), _percent(row.held), error, _percent(row.named), _percent(row.wrong))
        yield f"| {' | '.join(cells)} |"


def _percent(found: Share | None) -> str:
    return "" if found is None else f"{100 * found.value:.1f} ± {100 * found.error:.1f}"


HEAD = "| world | figure | sets | held | calibration error | named better | of them wrong |"


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--sets", type=int, default=1000, help="simulated days a row; a tenth of it for seasons of heat")
    asked.add_argument("--seeds", choices=("reported", "chosen"), default="reported")
    asked.add_argument("--rows", nargs="+", default=[""], help="only rows whose name holds one of these")
    given = asked.parse_args()
    first = {"reported": REPORTED, "chosen": CHOSEN}[given.seeds]
    print(HEAD, "|---" * 7 + "|", sep="\n", flush=True)
    for name in ROWS:
        if any(part in name for part in given.rows):
            sets = max(1, given.sets // 10) if name.startswith("heat") else given.sets
            print("\n".join(lines(name, sample(name, sets, first))), flush=True)


if __name__ == "__main__":
    main()
