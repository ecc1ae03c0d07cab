"""What load logs say of the motors compared, as columns for the figures: one row a log that told Kv and resistance.

Only logs of a motor as it is built now count. The car is that of the track run a log belongs to; logs of no run, and
those read on the bench, are each of a car of their own kind.
"""

from collections.abc import Mapping, Sequence
from math import nan
from statistics import median
from typing import TYPE_CHECKING, Any

from pitbench.desk.builds import BuildHistory
from pitbench.records.kinds import Row
from pitbench.records.stamps import time_key
from pitbench.store.logbook import Snapshot

if TYPE_CHECKING:
    from pitbench.figures.load_evidence import LogReadings

TOLD = ("kv_rpm_per_v", "kv_se", "resistance_mohm", "resistance_se", "correlation")
OVER_THE_CAN_K = 20.0
"""How much warmer the winding is than the can (docs/figures.md, finish temperature). Ours."""
ON_THE_BENCH, NO_CAR = "bench", ""


def logs_of(snapshot: Snapshot, motors: Sequence[Row], history: BuildHistory) -> list[Row]:
    """Logs of these motors as they are built now, in canonical order, each with its `car`."""
    ids = {motor["id"] for motor in motors}
    found = []
    for log in snapshot.rows("load_log"):
        run = snapshot.row("track_run", log.get("track_run_id", "")) or {}
        if log["motor_id"] in ids and _as_built(log, run, history):
            car = ON_THE_BENCH if log.get("bench") else run.get("car_id", NO_CAR)
            found.append({**log, "car": car})
    return sorted(found, key=lambda log: (log["motor_id"], time_key(log["logged_at"]), log["id"]))


def _as_built(log: Row, run: Row, history: BuildHistory) -> bool:
    """Whether the motor was then what it is now, by its parts."""
    now = history.in_force(log["motor_id"])
    then = history.in_force(log["motor_id"], run.get("started_at", log["logged_at"]))
    return now is None or (then is not None and history.one(then["id"]) == history.one(now["id"]))


def readings_of(logs: Sequence[Row], place: Mapping[str, int]) -> "LogReadings | None":
    """The logs that told Kv and resistance, by place of their motor; None where none did."""
    import numpy as np

    from pitbench.figures.load_evidence import LogReadings

    told = [log for log in logs if all(name in log.get("figures", {}) for name in TOLD) and log["motor_id"] in place]
    if not told:
        return None
    cars = {car: i for i, car in enumerate(sorted({log["car"] for log in told}))}
    kv, kv_se, resistance, resistance_se, correlation = np.array(
        [[log["figures"][name] for name in TOLD] for log in told], dtype=float
    ).T
    return LogReadings(
        np.array([place[log["motor_id"]] for log in told], dtype=np.int64),
        np.array([cars[log["car"]] for log in told], dtype=np.int64),
        kv,
        kv_se,
        resistance,
        resistance_se,
        correlation,
        np.array([_winding(log["figures"]) for log in told], dtype=float),
    )


def _winding(figures: Mapping[str, Any]) -> float:
    """How warm the winding was on the mean of a log, °C; NaN where no one measured the can."""
    ends = [figures[name] for name in ("motor_start_c", "motor_end_c") if name in figures]
    return sum(ends) / 2 + OVER_THE_CAN_K if len(ends) == 2 else nan


def working_current(logs: Sequence[Row]) -> tuple[float, float] | None:
    """The 10 and 90 % points of current at full throttle in A, the median log's; None without a log of an outing."""
    seen = [log["figures"] for log in logs if "current_low_a" in log.get("figures", {}) and not log.get("bench")]
    if not seen:
        return None
    low, high = (median(each[name] for each in seen) for name in ("current_low_a", "current_high_a"))
    return (low, high) if 0 < low < high else None
