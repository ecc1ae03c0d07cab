"""What one stored track run comes to: its rollout, length, timing, finish reading. The one place where its row becomes
figures; what a bench run comes to stands in `run_figures`.

Rows are plain dicts as stored (no blank fields). Unknown is None.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta

from pitbench.desk.builds import in_order
from pitbench.figures import gearing
from pitbench.records.kinds import Row
from pitbench.records.stamps import moment


def rollout_of(run: Row, internal_ratio: float | None = None) -> float | None:
    """Rollout in mm; None without gears and tyre. `internal_ratio` serves a run that has none of its own, else 1."""
    if not {"pinion", "spur", "tyre_diameter_mm"} <= run.keys():
        return None
    ratio = run.get("internal_ratio", internal_ratio or 1.0)
    return gearing.rollout(run["tyre_diameter_mm"], gearing.final_drive_ratio(run["spur"], run["pinion"], ratio))


def length_of(run: Row) -> float | None:
    """Length in seconds: as stated, else its laps added up, else laps × average lap."""
    if "run_time_s" in run:
        return float(run["run_time_s"])
    if run.get("lap_times_s"):
        return float(sum(run["lap_times_s"]))
    if "laps" in run and "average_lap_s" in run:
        return float(run["laps"] * run["average_lap_s"]) or None
    return None


def average_lap_of(run: Row) -> float | None:
    """Seconds a lap took on average: of the laps themselves, else as stated, else run time by laps."""
    if run.get("lap_times_s"):
        return float(sum(run["lap_times_s"]) / len(run["lap_times_s"]))
    if "average_lap_s" in run:
        return float(run["average_lap_s"])
    return float(run["run_time_s"] / run["laps"]) if run.get("laps") and "run_time_s" in run else None


def started(run: Row) -> datetime | None:
    """When it began; None where only the day is known."""
    return moment(run["started_at"]) if "T" in run["started_at"] else None


def finished_at(run: Row) -> datetime | None:
    """When it ended; None where only the day is known. Without a length, when it started."""
    begun = started(run)
    return begun + ran_for(length_of(run) or 0.0) if begun else None


def ran_for(length_s: float) -> timedelta:
    """Between start and end, which both stand in whole seconds: so the end that was typed is the end that is shown."""
    return timedelta(seconds=round(length_s))


def track_timing_of(run: Row) -> float | None:
    """Timing mark plus the speed control's timing, degrees; compared within one motor only."""
    if "timing_mark_deg" not in run:
        return None
    return float(run["timing_mark_deg"] + run.get("esc_timing_deg", 0.0))


def internal_ratios(runs: Iterable[Row]) -> dict[str | None, float]:
    """The last internal ratio written down for each car, None for runs without a car: for runs that do not say."""
    return {run.get("car_id"): run["internal_ratio"] for run in sorted(runs, key=in_order) if "internal_ratio" in run}
