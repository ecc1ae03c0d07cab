"""What is done to a record once it stands: to the bin, back again, left out with a reason."""

from collections.abc import Container

from pitbench.desk.named import name_of, named, stored
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import LONGEST_NOTE, clean_text
from pitbench.records.refusal import Refusal
from pitbench.records.rounds import round_text
from pitbench.records.spoken import binned_words, counted_words
from pitbench.store.logbook import Logbook


def bin_run(logbook: Logbook, run_id: str) -> str:
    """Put a bench run or track run in the bin, a track run with its readings; the words of what was done."""
    run = _run(logbook, run_id)
    words = f"{_spoken(logbook, run)} to the bin"
    logbook.bin(words, [(kind_of_run(run), run_id), *_readings(logbook, {run_id})])
    return words


def _readings(source: Source, run_ids: Container[str], binned_at: str | None = None) -> list[tuple[str, str]]:
    """Cooling readings of track runs that stand, or that went to the bin with them."""
    rows = source.rows("cooling", binned=binned_at is not None)
    return [("cooling", r["id"]) for r in rows if r["track_run_id"] in run_ids and r.get("binned_at") == binned_at]


def leave_out(logbook: Logbook, run_id: str, why: str | None) -> str:
    """Leave a run out of every figure with a reason, or take it in again with None."""
    row = _run(logbook, run_id)
    reason = None if why is None else clean_text(why)
    if reason is not None and not 0 < len(reason) <= LONGEST_NOTE:
        raise Refusal(f"A run is left out with a reason of 1 to {LONGEST_NOTE} characters, this one has {len(reason)}.")
    words = f"{_spoken(logbook, row)} {'left out' if reason else 'taken in again'}"
    logbook.save(words, [model_of(kind_of_run(row)).of(row).with_(excluded_why=reason)])
    return words


def bring_back(logbook: Logbook, kind: str, record_id: str) -> str:
    """Bring a record back from the bin; returns the words of what was done.

    A motor brings the runs that went with it; a run's motor must be out of the bin first.
    """
    row = stored(logbook, kind, record_id)
    if kind == "motor":
        return _bring_motor_back(logbook, row)
    if "build_id" not in row:
        words = f"{' '.join(binned_words(row)[:2])} brought back"
        logbook.bring_back(words, [(kind, record_id)])
        return words
    if "binned_at" in (logbook.row("motor", row["motor_id"]) or {}):
        raise Refusal("Its motor is in the bin too: bring the motor back first.")
    words = f"{_spoken(logbook, row)} brought back"
    logbook.bring_back(words, [(kind, record_id), *_readings(logbook, {record_id}, row["binned_at"])])
    return words


def _bring_motor_back(logbook: Logbook, motor: Row) -> str:
    if other := named(logbook, "motor", motor["name"]):
        raise Refusal(
            f"There is another motor {other['name']} by now: give that one a new name first, then bring this one back."
        )
    runs = runs_of(logbook, motor["id"], motor["binned_at"])
    words = f"{with_runs(motor, runs)} brought back"
    logbook.bring_back(words, [("motor", motor["id"]), *runs])
    return words


def runs_of(source: Source, motor_id: str, binned_at: str | None = None) -> list[tuple[str, str]]:
    """Bench runs, track runs and their readings of a motor, by kind and id: those that stand, or that went with it."""
    found: list[tuple[str, str]] = []
    for kind in ("bench_run", "track_run"):
        rows = (r for r in source.rows(kind, binned=binned_at is not None) if r["motor_id"] == motor_id)
        found += [(kind, row["id"]) for row in rows if row.get("binned_at") == binned_at]
    return [*found, *_readings(source, {run_id for _, run_id in found}, binned_at)]


def with_runs(motor: Row, runs: list[tuple[str, str]]) -> str:
    """A motor and its runs in words.

    >>> with_runs({"name": "Heron"}, [("bench_run", "1"), ("cooling", "2")])
    'motor Heron with 1 run'
    """
    words, count = f"motor {motor['name']}", sum(kind != "cooling" for kind, _ in runs)
    return f"{words} with {counted_words(count, 'run')}" if count else words


def kind_of_run(run: Row) -> str:
    """Kind of the record a run is.

    >>> kind_of_run({"taken_at": "2026-05-17"}), kind_of_run({"started_at": "2026-05-17"})
    ('bench_run', 'track_run')
    """
    return "bench_run" if "taken_at" in run else "track_run"


def _run(logbook: Logbook, run_id: str) -> Row:
    return logbook.row("bench_run", run_id) or stored(logbook, "track_run", run_id)


def _spoken(logbook: Logbook, run: Row) -> str:
    spoken = "bench run" if "taken_at" in run else round_text(run) or "track run"
    return f"{spoken} of {name_of(logbook, 'motor', run['motor_id'])}"
