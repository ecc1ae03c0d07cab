"""What load logs say of heat: the motor temperature over the part of a log in which the car was driven, by run.

How much it is worth stands in `figures/log_heat`.
"""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from pitbench.desk import track_figures
from pitbench.records.kinds import Row, Source

if TYPE_CHECKING:
    from pitbench.figures.log_heat import LoggedCan

PARTS = 12
MOST_APART = 1.3
"""A log driven so many times longer, or shorter, than the run is not of that run alone. Ours."""


def logged_cans(source: Source, runs: Sequence[Row], ambients: Mapping[str, float]) -> dict[str, "LoggedCan"]:
    """Motor temperatures by run id, of runs with a known ambient; of two logs of a run the one with more rows."""
    lengths = {run["id"]: track_figures.length_of(run) for run in runs if run["id"] in ambients}
    logs = [log for log in source.rows("load_log") if log.get("track_run_id") in lengths and "excluded_why" not in log]
    found: dict[str, LoggedCan] = {}
    for log in sorted(logs, key=lambda log: (log.get("figures", {}).get("rows", 0), log["id"])):
        run = log["track_run_id"]
        curve = _curve(log.get("trace", {}), lengths[run], ambients[run])
        if curve is not None:
            found[run] = curve
    return found


def _curve(trace: Mapping[str, Sequence[float]], length: float | None, ambient: float) -> "LoggedCan | None":
    """A few points of a trace from the first moment it was driven to the last."""
    from pitbench.figures.log_heat import LoggedCan

    time, temp = trace.get("time_s", ()), trace.get("motor_temp_c", ())
    moving = trace.get("rpm") or trace.get("throttle") or trace.get("current_a") or ()
    driven = [at for at, value in enumerate(moving) if value > 0]
    if not temp or not driven:
        return None
    first, last = driven[0], driven[-1]
    spent = time[last] - time[first]
    if spent <= 0 or (length is not None and not 1 / MOST_APART < spent / length < MOST_APART):
        return None
    wanted = [time[first] + spent * part / PARTS for part in range(PARTS + 1)]
    places = sorted({min(range(first, last + 1), key=lambda at: abs(time[at] - each)) for each in wanted})
    return LoggedCan([time[at] - time[first] for at in places], [temp[at] for at in places], ambient)
