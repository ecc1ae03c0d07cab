"""What the page of a load log shows besides its answer, and which logs a motor, a run or another log has beside it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from statistics import median

from pitbench.desk.answers import LoadLogAnswer
from pitbench.desk.load.kept import answer_of
from pitbench.desk.load.loading import KIND
from pitbench.desk.load.samples import bench_kvs
from pitbench.desk.named import name_of
from pitbench.desk.run_logs import has_log, logs_by_run
from pitbench.records.kinds import Row, Source
from pitbench.records.rounds import round_text
from pitbench.records.stamps import friendly, time_key


@dataclass(frozen=True)
class LogPage:
    """One log. run: what its run is called; when: when that began, else the log; trace: samples along it, columns of
    equal length, throttle from 0 to 1; bench_kv: KV on the bench, the median of the motor's runs; best: whether of
    several logs of that day it gave the most power at the shaft."""

    log_id: str
    motor_id: str
    answer: LoadLogAnswer
    figures: Mapping[str, float]
    trace: Mapping[str, Sequence[float]]
    run: str
    when: str
    bench_kv: float | None = None
    best: bool = False


def log_page(source: Source, log_id: str) -> LogPage | None:
    """The page of a log; None when it is gone."""
    row = source.row(KIND, log_id)
    if row is None or "binned_at" in row:
        return None
    kvs = bench_kvs(source, source.row("motor", row["motor_id"]) or {})
    return replace(_alone(source, row), bench_kv=median(kvs) if kvs else None, best=_best(source, row))


def _alone(source: Source, row: Row) -> LogPage:
    """A log without what it is compared with: a list of many does not look at every run for each."""
    return LogPage(
        row["id"],
        row["motor_id"],
        answer_of(source, row, stored=True),
        row.get("figures", {}),
        row.get("trace", {}),
        _run_words(source, row),
        _when(source, row),
    )


def _run_words(source: Source, row: Row) -> str:
    """What the run is called: its round, else what kind of run it was."""
    run = source.row("track_run", row.get("track_run_id", ""))
    if run is not None:
        return round_text(run) or "track run"
    return "on the bench" if row.get("bench") else ""


def _when(source: Source, row: Row) -> str:
    run = source.row("track_run", row.get("track_run_id", "")) or {}
    return str(run.get("started_at", row["logged_at"]))


def _best(source: Source, row: Row) -> bool:
    powers = [
        other["figures"]["shaft_power_w"]
        for other in source.rows(KIND)
        if _when(source, other)[:10] == _when(source, row)[:10] and "shaft_power_w" in other.get("figures", {})
    ]
    return len(powers) > 1 and row.get("figures", {}).get("shaft_power_w") == max(powers)


def logs_of_motor(source: Source, motor_id: str) -> list[LogPage]:
    """The logs of one motor, the newest first, without what they are compared with."""
    return _pages(source, [row for row in source.rows(KIND) if row["motor_id"] == motor_id])


def others(source: Source, log_id: str) -> list[LogPage]:
    """The logs one may be laid over: of its own motor first, then of all others, the newest first; without
    what they are compared with."""
    own = (source.row(KIND, log_id) or {}).get("motor_id")
    found = _pages(source, [row for row in source.rows(KIND) if row["id"] != log_id])
    return sorted(found, key=lambda page: page.motor_id != own)


def _pages(source: Source, rows: Sequence[Row]) -> list[LogPage]:
    newest = sorted(rows, key=lambda row: (time_key(_when(source, row)), row["id"]), reverse=True)
    return [_alone(source, row) for row in newest]


def runs_to_choose(source: Source, motor_id: str, now: datetime, count: int) -> list[tuple[str, str, bool]]:
    """The last track runs of a motor, newest first: id, words, and whether it has a load log."""
    logs = logs_by_run(source)
    runs = [run for run in source.rows("track_run") if run["motor_id"] == motor_id]
    runs.sort(key=lambda run: (time_key(run["started_at"]), run.get("place", 0)), reverse=True)
    return [(run["id"], _run_line(run, now, has_log(logs, run["id"])), run["id"] in logs) for run in runs[:count]]


def _run_line(run: Row, now: datetime, logged: str) -> str:
    return f"{friendly(run['started_at'], now):<13} {round_text(run) or 'track run':<14} {logged}".rstrip()


def run_named(source: Source, run_id: str) -> str:
    """A run in words: of which motor, and which."""
    run = source.row("track_run", run_id) or source.row("bench_run", run_id) or {}
    which = (round_text(run) or "track run") if "started_at" in run else "bench run"
    return f"{name_of(source, 'motor', run['motor_id'])}, {which}"
