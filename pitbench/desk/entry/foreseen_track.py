"""What track runs a logbook holds lead to expect of one more, laid out in blocks to be judged: see `figures.mistyped`.

Laps, times and averages are one block: each follows from the others. So are the temperatures, which stand on the air,
and the gears. Expected is what the runs nearest in time of the same event, car or motor say; spreads are common
practice, no source. A run never tells of itself, nor does what waits, was kept in spite of a doubt, or was left out.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from math import exp, inf, log
from statistics import median
from weakref import WeakKeyDictionary

from pitbench.desk.entry.bench_blocks import Block
from pitbench.desk.entry.bench_lots import told_of
from pitbench.desk.entry.foreseen_values import ANY_AIR
from pitbench.figures.foreseen import Normal, learned, unsure
from pitbench.records.kinds import Row, Source
from pitbench.records.stamps import time_key

BEFORE, AFTER = 12, 4
"""Runs nearest in time that are asked: in a sheet also those after it."""
ANY_TIME, ANY_LAP = Normal(100 * log(330), 45.0**2), Normal(100 * log(20), 60.0**2)
ANY_RATE = Normal(100 * log(8), 70.0**2)
"""Run time, lap time and mAh a second before any is known, on 100·ln."""
FREE, SET = 30.0, 3.0
"""Percent by which run times differ: in practice, and in heats of one length."""
PACE, ROUNDED, BEST, BEST_SD = 3.0, 0.5, 3.0, 2.0
"""Percent: how far lap times at one event lie apart, an average from its laps, the best lap below the average."""
OTHER_CAR = 15.0
"""Percent by which lap times of another car at the event lie apart: it may race in another class."""
AIR = 3.0
"""Kelvin by which the air differs within a day."""
ABOVE_AIR = {
    "start_temp_c": (8.0, 9.0, 5.0),
    "finish_reading_c": (42.0, 16.0, 6.0),
    "esc_temp_c": (30.0, 15.0, 6.0),
    "track_c": (5.0, 9.0, 3.0),
}
"""Kelvin over the air: usual, how uncertain before any is known, and how far runs of one motor lie apart."""
CONTRADICT = 3.0
"""Times the believed sd from which others contradict one another."""
HEATED, WARMS_S = ("finish_reading_c", "esc_temp_c"), 150.0
"""What a run warms, and seconds in which it comes to two thirds of its rise, as in the heat forecast's prior."""
SAME_CAR = {"pinion": 8.0, "spur": 6.0, "tyre_diameter_mm": 1.5, "internal_ratio": 2.0}
"""Percent by which runs of one car lie apart."""
ANY_CAR = {"pinion": Normal(100 * log(28), 30.0**2), "spur": Normal(100 * log(78), 25.0**2)}
"""Teeth before any are known."""
OF_LAPS = ("run_time_s", "laps", "average_lap_s", "best_lap_s")
SWAPS = (
    ("pinion", "spur"),
    ("ambient_c", "finish_reading_c"),
    ("ambient_c", "track_c"),
    ("average_lap_s", "best_lap_s"),
)


class ForeseenTrack:
    """All track runs there are, by event, car and motor."""

    def __init__(self, runs: Iterable[Row]) -> None:
        self._near: dict[tuple[str, object], list[tuple[str, Row]]] = defaultdict(list)
        for run in runs:
            if "excluded_why" not in run:
                told = told_of(run)
                for key in _keys(run).values():
                    self._near[key].append((time_key(run["started_at"]), told))
        for each in self._near.values():
            each.sort(key=lambda pair: pair[0])

    def near(self, what: str, run: Row) -> list[Row]:
        """The runs nearest in time of the same `event`, `car` or `motor`, the newest first."""
        key = _keys(run).get(what)
        found = self._near.get(key, []) if key else []
        stamp = time_key(run["started_at"]) if "started_at" in run else "~"
        at = bisect_left(found, stamp, key=lambda pair: pair[0])
        close = found[max(0, at - BEFORE) : at + AFTER]
        return [told for _, told in reversed(close) if told["id"] != run.get("id")]

    def blocks(self, run: Row) -> list[Block]:
        """The blocks of what stands in the run."""
        every = (self._laps(run), self._warm(run), self._car(run), self._charge(run))
        return [block for block in every if block is not None]

    def _laps(self, run: Row) -> Block | None:
        columns = tuple(name for name in OF_LAPS if run.get(name, 0) > 0)
        if not columns:
            return None
        event = self.near("event", run)
        same_car = [r for r in event if r.get("car_id") == run.get("car_id")]
        heats = [r for r in same_car or event if r.get("round_kind") == run.get("round_kind") and "incident" not in r]
        laps = [100 * log(lap) for r in same_car or event if (lap := _average(r))]
        pace = _usual(laps, PACE if same_car else OTHER_CAR, ANY_LAP)
        free = not same_car or run.get("round_kind", "practice") == "practice" or "incident" in run
        over = 100 * exp(pace.mean / 100) / run["run_time_s"] if run.get("run_time_s") else 0.0
        spread = FREE if free else max(SET, over / 2)  # a heat ends with the lap in which time is up
        times = _usual([100 * log(r["run_time_s"]) for r in heats if r.get("run_time_s")], spread, ANY_TIME)
        lap = 100 / run["laps"] if run.get("laps") else 0.0  # the last lap ends after the time is up
        means = {
            "run_time_s": times.mean,
            "laps": times.mean - pace.mean,
            "average_lap_s": pace.mean,
            "best_lap_s": pace.mean - BEST,
        }
        added = {"laps": (lap / 2) ** 2 + ROUNDED**2, "average_lap_s": ROUNDED**2, "best_lap_s": BEST_SD**2}
        of_time = {"run_time_s": 1.0, "laps": 1.0}
        of_pace = {"laps": -1.0, "average_lap_s": 1.0, "best_lap_s": 1.0}
        covariance = [
            [
                of_time.get(a, 0) * of_time.get(b, 0) * times.var
                + of_pace.get(a, 0) * of_pace.get(b, 0) * pace.var
                + (added.get(a, 0.0) if a == b else 0.0)
                for b in columns
            ]
            for a in columns
        ]
        return _block(columns, run, [means[name] for name in columns], covariance)

    def _warm(self, run: Row) -> Block | None:
        columns = tuple(name for name in ("ambient_c", *ABOVE_AIR) if name in run)
        if not columns:
            return None
        event, motor = self.near("event", run), self.near("motor", run)
        day = [r for r in event if r["started_at"][:10] == run.get("started_at", "")[:10]]
        air = _usual([r["ambient_c"] for r in day or event if "ambient_c" in r], AIR, ANY_AIR)
        means, own = {"ambient_c": air.mean}, {"ambient_c": 0.0}
        for name in columns[1:] if columns[0] == "ambient_c" else columns:
            usual, doubt, apart = ABOVE_AIR[name]
            others = day if name == "track_c" else [r for r in motor if r in event] or motor or event
            rises = [
                (r[name] - r["ambient_c"]) * (_warmed(run) / _warmed(r) if name in HEATED else 1.0)
                for r in others
                if name in r and "ambient_c" in r
            ]
            above = _usual(rises, apart, Normal(usual, doubt**2))
            means[name], own[name] = air.mean + above.mean, above.var
        covariance = [[air.var + (own[a] if a == b else 0.0) for b in columns] for a in columns]
        return _block(columns, run, [means[name] for name in columns], covariance, plain=True)

    def _car(self, run: Row) -> Block | None:
        others = [r for r in self.near("car", run) if r.get("pinion", 0) < r.get("spur", inf)]
        columns = tuple(n for n in SAME_CAR if run.get(n, 0) > 0 and (n in ANY_CAR or any(r.get(n) for r in others)))
        if not columns:
            return None
        used = {n: {r[n] for r in others if n in r} for n in columns}
        values = {n: [100 * log(r[n]) for r in others if r.get(n)] for n in columns}
        usual = [_usual(values[n], SAME_CAR[n], ANY_CAR.get(n, ANY_LAP)) for n in columns]
        covariance = [[each.var if i == j else 0.0 for j in range(len(usual))] for i, each in enumerate(usual)]
        return _block(columns, run, [each.mean for each in usual], covariance, used=used)

    def _charge(self, run: Row) -> Block | None:
        used, time = run.get("charge_used_mah", 0), run.get("run_time_s", 0)
        others = [r for r in self.near("motor", run) if r.get("charge_used_mah") and r.get("run_time_s")]
        if not used or not time or not others:
            return None
        rate = _usual([100 * log(r["charge_used_mah"] / r["run_time_s"]) for r in others], 10.0, ANY_RATE)
        return _block(("charge_used_mah",), run, [rate.mean + 100 * log(time)], [[rate.var]])


_KNOWN: WeakKeyDictionary[Source, tuple[str | None, ForeseenTrack]] = WeakKeyDictionary()


def track_foreseen_in(source: Source, edits: str | None) -> ForeseenTrack:
    """For a run being typed, without the one it edits; worked out once for a snapshot."""
    if (known := _KNOWN.get(source)) is None or known[0] != edits:
        runs = (run for run in source.rows("track_run") if run["id"] != edits)
        known = _KNOWN[source] = (edits, ForeseenTrack(runs))
    return known[1]


def _keys(run: Row) -> dict[str, tuple[str, object]]:
    event = run.get("event_id") or run.get("track")
    found: dict[str, tuple[str, object]] = {"car": ("car", run.get("car_id"))}
    if event:
        found["event"] = ("event", event)
    if "motor_id" in run:
        found["motor"] = ("motor", run["motor_id"])
    return found


def _average(run: Row) -> float | None:
    if run.get("average_lap_s"):
        return float(run["average_lap_s"])
    return run["run_time_s"] / run["laps"] if run.get("laps") and run.get("run_time_s") else None


def _usual(values: Sequence[float], spread: float, before: Normal) -> Normal:
    """Where one more of them should lie; before any is known as was believed. spread: their sd as believed; where they
    contradict one another as wide as they lie apart."""
    n = len(values)
    if not n:
        return before
    centre = median(values)
    off = [value - centre for value in values]
    seen = 1.4826 * median(map(abs, off))
    var = seen**2 if seen > CONTRADICT * spread else learned(spread**2, off) * unsure(n)
    return Normal(round(centre, 6), round(var * (1 + 1 / n), 6))


def _warmed(run: Row) -> float:
    """What of its rise a motor has after the run; of a run that nobody timed nearly all of it."""
    return 1 - exp(-run.get("run_time_s", 4 * WARMS_S) / WARMS_S)


def _block(
    columns: tuple[str, ...],
    run: Row,
    centre: list[float],
    covariance: list[list[float]],
    plain: bool = False,
    used: Mapping[str, Collection[float]] | None = None,
) -> Block:
    def scale(name: str, value: float) -> float:
        return value if plain else 100 * log(value)

    logs = frozenset() if plain else frozenset(columns)
    return Block(
        columns,
        [scale(n, run[n]) for n in columns],
        centre,
        covariance,
        scale,
        logs,
        side_by_side=SWAPS,
        used=used or {},
    )
