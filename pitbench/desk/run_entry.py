"""What is done to a record once it stands: to the bin, back again, left out with a reason."""

from typing import TYPE_CHECKING, Any

from pitbench.desk.words import counted_words
from pitbench.records.names import LONGEST_NOTE, clean_text, name_key
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.store.logbook import Logbook

Row = dict[str, Any]


def bin_run(logbook: "Logbook", run_id: str) -> str:
    """Put a bench run in the bin; returns the words of what was done."""
    words = f"{_spoken(logbook, _run(logbook, run_id))} to the bin"
    logbook.bin(words, [("bench_run", run_id)])
    return words


def leave_out(logbook: "Logbook", run_id: str, why: str | None) -> str:
    """Leave a run out of every figure with a reason, or take it in again with None."""
    from pitbench.records.models import BenchRun

    row = _run(logbook, run_id)
    reason = None if why is None else clean_text(why)
    if reason is not None and not 0 < len(reason) <= LONGEST_NOTE:
        raise Refusal(f"A run is left out with a reason of 1 to {LONGEST_NOTE} characters, this one has {len(reason)}.")
    words = f"{_spoken(logbook, row)} {'left out' if reason else 'taken in again'}"
    logbook.save(words, [BenchRun.of(row).with_(excluded_why=reason)])
    return words


def bring_back(logbook: "Logbook", kind: str, record_id: str) -> str:
    """Bring a record back from the bin; returns the words of what was done.

    A motor brings the runs that went with it; a run's motor must be out of the bin first.
    """
    row = logbook.row(kind, record_id)
    assert row is not None
    if kind == "motor":
        return _bring_motor_back(logbook, row)
    if "binned_at" in (logbook.row("motor", row["motor_id"]) or {}):
        raise Refusal("Its motor is in the bin too: bring the motor back first.")
    words = f"{_spoken(logbook, row)} brought back"
    logbook.bring_back(words, [(kind, record_id)])
    return words


def _bring_motor_back(logbook: "Logbook", motor: Row) -> str:
    taken = (other["name"] for other in logbook.rows("motor") if name_key(other["name"]) == name_key(motor["name"]))
    if name := next(taken, None):
        raise Refusal(
            f"There is another motor {name} by now: give that one a new name first, then bring this one back."
        )
    gone = (row for row in logbook.rows("bench_run", binned=True) if row["motor_id"] == motor["id"])
    runs = [row for row in gone if row["binned_at"] == motor["binned_at"]]
    words = f"{with_runs(motor, runs)} brought back"
    logbook.bring_back(words, [("motor", motor["id"]), *(("bench_run", run["id"]) for run in runs)])
    return words


def with_runs(motor: Row, runs: list[Row]) -> str:
    """A motor and its runs in words.

    >>> with_runs({"name": "Heron"}, [{"id": "1"}])
    'motor Heron with 1 run'
    """
    words = f"motor {motor['name']}"
    return f"{words} with {counted_words(len(runs), 'run')}" if runs else words


def _run(logbook: "Logbook", run_id: str) -> Row:
    row = logbook.row("bench_run", run_id)
    assert row is not None
    return row


def _spoken(logbook: "Logbook", run: Row) -> str:
    motor = logbook.row("motor", run["motor_id"])
    assert motor is not None
    return f"bench run of {motor['name']}"
