"""What is done to a record once it stands: to the bin, back again, left out with a reason."""

from collections.abc import Sequence

from pitbench.desk.named import name_of, named, stored
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import LONGEST_NOTE, clean_text
from pitbench.records.numbers import shown
from pitbench.records.refusal import Refusal
from pitbench.records.rounds import round_text
from pitbench.records.spoken import BINNED, capital, change_words, counted_words
from pitbench.store.logbook import Logbook

RUNS = ("bench_run", "track_run")
Companions = Sequence[tuple[str, str]]
"""What goes to the bin and comes back with a record, by kind and id."""


def put_in_bin(logbook: Logbook, record_id: str) -> str:
    """Put a run, motor, gear, entry or load log in the bin with what belongs to it; the words of what was done."""
    kind, row = _found(logbook, record_id)
    more = _with_it(logbook, kind, record_id)
    words = f"{_spoken(logbook, kind, row, more)} to the bin"
    logbook.journal.bin(words, [(kind, record_id), *more])
    return words


def bin_question(source: Source, motor_id: str) -> str:
    """What is asked before a motor goes to the bin with its runs; nothing where it has none."""
    motor, runs = source.row("motor", motor_id), _with_it(source, "motor", motor_id)
    return f"{capital(with_runs(motor, runs))} to the bin?" if motor and runs else ""


def bring_back(logbook: Logbook, record_id: str) -> str:
    """Bring a record back from the bin with what went with it; the words of what was done.

    A run's motor must be out of the bin first, a log's run too, and a motor's name must be free.
    """
    kind, row = _found(logbook, record_id)
    if kind == "motor" and (other := named(logbook, "motor", row["name"])):
        raise Refusal(
            f"There is another motor {other['name']} by now: give that one a new name first, then bring this one back."
        )
    if kind in (*RUNS, "load_log") and "binned_at" in (logbook.row("motor", row["motor_id"]) or {}):
        raise Refusal("Its motor is in the bin too: bring the motor back first.")
    if "binned_at" in (logbook.row("track_run", row.get("track_run_id", "")) or {}):
        raise Refusal("Its run is in the bin too: bring the run back first.")
    more = _with_it(logbook, kind, record_id, row["binned_at"])
    words = f"{_spoken(logbook, kind, row, more)} brought back"
    logbook.journal.bring_back(words, [(kind, record_id), *more])
    return words


def leave_out(logbook: Logbook, run_id: str, why: str | None) -> str:
    """Leave a run out of every figure with a reason, or take it in again with None."""
    kind, row = _found(logbook, run_id)
    reason = None if why is None else clean_text(why)
    if reason is not None and not 0 < len(reason) <= LONGEST_NOTE:
        raise Refusal(f"A run is left out with a reason of 1 to {LONGEST_NOTE} characters, this one has {len(reason)}.")
    words = f"{_spoken(logbook, kind, row)} {'left out' if reason else 'taken in again'}"
    logbook.save(words, [model_of(kind).of(row).with_(excluded_why=reason)])
    return words


def _found(source: Source, record_id: str) -> tuple[str, Row]:
    """The record of this id, and its kind."""
    kind = next(kind for kind in (*RUNS, *BINNED) if source.row(kind, record_id))
    return kind, stored(source, kind, record_id)


def _with_it(source: Source, kind: str, record_id: str, binned_at: str | None = None) -> Companions:
    """Runs and logs of a motor, cooling readings and logs of a run: those that stand, or went to the bin with it."""

    def of(kind: str, belongs: str, ids: set[str]) -> Companions:
        rows = (row for row in source.rows(kind, binned=binned_at is not None) if row.get(belongs) in ids)
        return [(kind, row["id"]) for row in rows if row.get("binned_at") == binned_at]

    if kind == "motor":
        runs = [run for each in RUNS for run in of(each, "motor_id", {record_id})]
        logs = of("load_log", "motor_id", {record_id})
        return [*runs, *logs, *of("cooling", "track_run_id", {run_id for _, run_id in runs})]
    if kind != "track_run":
        return []
    return [each for belonging in ("cooling", "load_log") for each in of(belonging, "track_run_id", {record_id})]


def with_runs(motor: Row, runs: Companions) -> str:
    """A motor and its runs in words.

    >>> with_runs({"name": "Heron"}, [("bench_run", "1"), ("cooling", "2")])
    'motor Heron with 1 run'
    """
    words, count = f"motor {motor['name']}", sum(kind in RUNS for kind, _ in runs)
    return f"{words} with {counted_words(count, 'run')}" if count else words


def _spoken(logbook: Logbook, kind: str, row: Row, more: Companions = ()) -> str:
    if kind == "motor":
        return with_runs(row, more)
    if kind == "gear":
        return f"{row['kind']} {shown(row['teeth'])}"
    if kind == "setup_entry":
        return f"setup entry: {change_words(row)}"
    if kind == "load_log":
        return f"load log of {name_of(logbook, 'motor', row['motor_id'])}"
    run = "bench run" if kind == "bench_run" else round_text(row) or "track run"
    return f"{run} of {name_of(logbook, 'motor', row['motor_id'])}"
