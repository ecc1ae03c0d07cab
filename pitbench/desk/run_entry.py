"""What is done to a run once it stands: to the bin, back again, left out with a reason."""

from typing import TYPE_CHECKING

from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.records.models import BenchRun
    from pitbench.store.logbook import Logbook


def bin_run(logbook: "Logbook", run_id: str) -> str:
    """Put a bench run in the bin; returns the words of what was done."""
    words = f"bench run of {_motor_of(logbook, run_id)} to the bin"
    logbook.bin(words, [("bench_run", run_id)])
    return words


def leave_out(logbook: "Logbook", run_id: str, why: str | None) -> str:
    """Leave a run out of every figure with a reason, or take it in again with None."""
    run = _run(logbook, run_id)
    whose = _motor_of(logbook, run_id)
    words = f"bench run of {whose} left out" if why else f"bench run of {whose} taken in again"
    logbook.save(words, [run.with_(excluded_why=why)])
    return words


def bring_back(logbook: "Logbook", kind: str, record_id: str) -> str:
    """Bring a record back from the bin; a run's motor must be out of the bin first."""
    snapshot = logbook.snapshot()
    row = next(row for row in snapshot.rows(kind, binned=True) if row["id"] == record_id)
    if kind == "bench_run" and "binned_at" in (snapshot.row("motor", row["motor_id"]) or {}):
        raise Refusal("Its motor is in the bin too: bring the motor back first.")
    words = (
        f"motor {row['name']} brought back" if kind == "motor" else f"bench run of {_name(logbook, row)} brought back"
    )
    logbook.bring_back(words, [(kind, record_id)])
    return words


def _run(logbook: "Logbook", run_id: str) -> "BenchRun":
    from pitbench.records.models import BenchRun

    row = logbook.row("bench_run", run_id)
    assert row is not None
    return BenchRun.of(row)


def _motor_of(logbook: "Logbook", run_id: str) -> str:
    row = logbook.row("bench_run", run_id)
    assert row is not None
    return _name(logbook, row)


def _name(logbook: "Logbook", run: dict[str, object]) -> str:
    motor = logbook.row("motor", str(run["motor_id"]))
    return str(motor["name"]) if motor else "a binned motor"
