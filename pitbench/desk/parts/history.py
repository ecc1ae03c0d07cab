"""Where a part has been: in which motor from when to when, which runs were made with it there, and what they read.

A stay ends when the motor gets another part of the kind or another motor takes this one. Runs on a build that was not
in force then only tried the part.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean

from pitbench.desk import run_figures
from pitbench.desk.answered import counting
from pitbench.desk.builds import END_OF_TIME, BuildHistory, made_at, parts_of, since_key
from pitbench.desk.named import name_of
from pitbench.desk.parts.swapping import part_meant
from pitbench.desk.run_figures import Measure, at_one_voltage
from pitbench.records.kinds import Row, Source
from pitbench.records.rounds import round_text
from pitbench.records.stamps import time_key

RUNS = ("bench_run", "track_run")
Made = tuple[str, Row]
"""A run and its kind."""


@dataclass(frozen=True)
class Figures:
    """Means of some bench runs, or what one read; None: not measured."""

    kv: float | None = None
    current: float | None = None
    winding: float | None = None
    timing: float | None = None
    imbalance: float | None = None


@dataclass(frozen=True)
class RunMade:
    """A run made with the part. where: of a track run its event and round, of a bench run nothing."""

    run_id: str
    made_at: str
    bench: bool
    where: str
    out: bool
    figures: Figures


@dataclass(frozen=True)
class Stay:
    """From `since` (None: from the beginning) to `until` (None: it is there now) in a motor; `tried`: never fitted.

    figures: means of its bench runs, without those left out; runs: the newest first.
    """

    motor_id: str
    motor: str
    since: str | None
    until: str | None
    tried: bool
    runs: list[RunMade]
    figures: Figures

    @property
    def bench(self) -> int:
        """How many bench runs."""
        return sum(run.bench for run in self.runs)


@dataclass(frozen=True)
class PartHistory:
    """All that is known of one part. motor_id: in which motor it is now, None for a spare; moved: how often it went
    into another motor than before; corrected: whether KV is brought to 25 °C; stays: the newest first."""

    part_id: str
    kind: str
    name: str
    motor_id: str | None
    moved: int
    corrected: bool
    stays: list[Stay]


@dataclass(frozen=True)
class _Time:
    """When a motor had the part; `end` is the end of time where it has it still."""

    motor_id: str
    since: str
    end: str


def part_history(snapshot: Source, kind: str, part: str) -> PartHistory | None:
    """The history of a part, given its id or its name; None where there is no such part."""
    row = part_meant(snapshot, kind, part)
    if row is None:
        return None
    builds = {build["id"]: build for build in snapshot.rows("build")}
    history = BuildHistory(builds.values())
    motors = {motor["id"]: motor for motor in snapshot.rows("motor")}
    made = [
        (kind, run)
        for kind in RUNS
        for run in snapshot.rows(kind)
        if run["motor_id"] in motors and row["id"] in parts_of(builds.get(run["build_id"], {}))
    ]
    counted = [*counting(run for kind, run in made if kind == "bench_run")]
    corrected = bool(counted) and run_figures.all_warm(counted)
    times = [time for time in _times(history, row["id"]) if time.motor_id in motors]
    stays = [
        _stay(snapshot, motors[time.motor_id], time, own, corrected, tried)
        for time, own, tried in _shared_out(times, made)
    ]
    holder = history.holder(row["id"])
    return PartHistory(
        part_id=row["id"],
        kind=row["kind"],
        name=row["name"],
        motor_id=holder if holder in motors else None,
        moved=sum(one.motor_id != other.motor_id for one, other in pairwise(times)),
        corrected=corrected,
        stays=sorted(stays, key=lambda stay: (stay.since or "", not stay.tried), reverse=True),
    )


def _times(history: BuildHistory, part_id: str) -> list[_Time]:
    """When which motor had the part, in order of time."""
    fitted = sorted((b for b in history.all() if part_id in parts_of(b)), key=lambda b: (since_key(b), b["motor_id"]))
    found: list[_Time] = []
    for build in fitted:
        start, motor_id = since_key(build), build["motor_id"]
        own = (since_key(b) for b in history.of(motor_id) if since_key(b) > start)
        others = (since_key(b) for b in fitted if b["motor_id"] != motor_id and since_key(b) > start)
        end = min(next(own, END_OF_TIME), next(others, END_OF_TIME))
        if found and found[-1].motor_id == motor_id and found[-1].end == start:
            found[-1] = _Time(motor_id, found[-1].since, end)
        else:
            found.append(_Time(motor_id, start, end))
    return found


def _shared_out(times: Sequence[_Time], made: Iterable[Made]) -> list[tuple[_Time, list[Made], bool]]:
    """The runs of every stay; those of none by motor, from the first to the last, as only tried."""
    stays: dict[_Time, list[Made]] = {time: [] for time in times}
    tried: dict[str, list[Made]] = defaultdict(list)
    for kind, run in made:
        at = time_key(made_at(run))
        stay = next((t for t in times if t.motor_id == run["motor_id"] and t.since <= at < t.end), None)
        (tried[run["motor_id"]] if stay is None else stays[stay]).append((kind, run))
    found = [(time, own, False) for time, own in stays.items()]
    for motor_id, own in tried.items():
        stamps = sorted((made_at(run) for _, run in own), key=time_key)
        found.append((_Time(motor_id, stamps[0], stamps[-1]), own, True))
    return found


def _stay(source: Source, motor: Row, time: _Time, made: Sequence[Made], corrected: bool, tried: bool) -> Stay:
    kv = run_figures.kv_measure(motor, corrected)
    newest = sorted(made, key=lambda each: (time_key(made_at(each[1])), each[1].get("place", 0)), reverse=True)
    return Stay(
        motor_id=motor["id"],
        motor=motor["name"],
        since=time.since or None,
        until=None if time.end == END_OF_TIME else time.end,
        tried=tried,
        runs=[_run(source, kind, run, kv) for kind, run in newest],
        figures=_figures([*counting(run for kind, run in reversed(newest) if kind == "bench_run")], kv),
    )


def _run(source: Source, kind: str, run: Row, kv: Measure) -> RunMade:
    bench = kind == "bench_run"
    event = name_of(source, "event", run.get("event_id")) or run.get("track", "")
    where = "" if bench else ", ".join(text for text in (event, round_text(run)) if text) or "track run"
    return RunMade(run["id"], made_at(run), bench, where, "excluded_why" in run, _figures([run] if bench else [], kv))


def _figures(runs: Sequence[Row], kv: Measure) -> Figures:
    """Speed and current at one voltage."""
    at_voltage = at_one_voltage(runs)
    return Figures(
        kv=_mean(map(kv, at_voltage)),
        current=_mean(run.get("no_load_current_a") for run in at_voltage),
        winding=_mean(run.get("resistance_mohm") for run in runs),
        timing=_mean(map(run_figures.timing_of, runs)),
        imbalance=_mean(run.get("pole_imbalance_pct") for run in runs),
    )


def _mean(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return fmean(known) if known else None
