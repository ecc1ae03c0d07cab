"""Track pace of one class: its track runs gathered for the comparison inside race days, and what came of it by run.

Which runs count is decided here: a run with an incident, left out, or without any lap time has no pace. A motor put
together anew is another one, as on the bench. Rows are plain dicts as stored.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pitbench.desk import track_figures
from pitbench.desk.answered import counting
from pitbench.desk.builds import BuildHistory
from pitbench.figures.laps import Reading, read
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.stamps import time_key

if TYPE_CHECKING:
    from pitbench.figures.pace import Against, Pace, TrackRuns

NOON = 12.0
"""Where only the day of a run is known."""


@dataclass(frozen=True)
class TrackPace:
    """rows: the runs that have a pace; runs: the place of each, by its id; builds: place of every build of the class,
    by its id."""

    rows: Sequence[Row]
    runs: Mapping[str, int]
    builds: Mapping[str, int]
    pace: "Pace | None"

    def against_its_day(self, run_id: str, with_rollout: bool = False) -> "Against | None":
        """How far a run lies from what its day would have given the mean motor; None where nothing tells.

        with_rollout: what its own gearing brought stays in it.
        """
        if self.pace is None or run_id not in self.runs:
            return None
        return self.pace.against_its_day([self.runs[run_id]], with_rollout=with_rollout)[0]

    def of_build(self, build_id: str | None) -> "Against | None":
        """How far a motor as built lies from the mean of those compared."""
        at = self.builds.get(build_id or "")
        return None if self.pace is None or at is None else self.pace.motors[at]


def pace_of(source: Source, class_id: str | None, leave_out: Collection[str] = ()) -> TrackPace:
    """Everything about pace of one class (None: of the motors without one); leave_out: ids of runs left out."""
    from pitbench.figures.pace import pace

    runs, columns, builds = raced(source, class_id, lambda run: run["id"] not in leave_out)
    places = {run["id"]: at for at, run in enumerate(runs)}
    return TrackPace(runs, places, builds, pace(columns))


def raced(
    source: Source, class_id: str | None, which: Callable[[Row], bool]
) -> tuple[list[Row], "TrackRuns", dict[str, int]]:
    """The runs of a class that have a pace, of those asked for, in columns; and the place of every build."""
    motors = {motor["id"]: motor for motor in source.rows("motor") if motor.get("class_id") == class_id}
    told = [run for run in counting(source.rows("track_run")) if run["motor_id"] in motors and which(run)]
    read = [(run, found) for run in told if (found := reading_of(run)) is not None]
    builds = _builds(source, motors, [run for run, _ in read])
    read.sort(key=lambda each: (time_key(each[0]["started_at"]), builds[each[0]["build_id"]], each[0].get("place", 0)))
    runs = [run for run, _ in read]
    return runs, _columns(runs, [found for _, found in read], builds), builds


def reading_of(run: Row) -> Reading | None:
    """The pace of one run; None after an incident, where it is left out, or nothing tells it."""
    if "incident" in run or "excluded_why" in run:
        return None
    return read(
        run.get("lap_times_s", ()),
        laps=int(run["laps"]) if "laps" in run else None,
        run_time_s=run.get("run_time_s"),
        best_lap_s=run.get("best_lap_s"),
        average_lap_s=run.get("average_lap_s"),
    )


def _builds(source: Source, motors: Mapping[str, Row], runs: Iterable[Row]) -> dict[str, int]:
    """Builds that were run, and those the motors are now, in an order of their own: by motor, then by age. Those of one
    motor with the same parts have one place."""
    history = BuildHistory(source.rows("build"))
    now = {build["id"]: motor_id for motor_id in motors if (build := history.in_force(motor_id))}
    used = now | {run["build_id"]: run["motor_id"] for run in runs}

    def order(each: tuple[str, str]) -> tuple[str, str, str, str]:
        motor_id, build_id = each
        since = (source.row("build", build_id) or {}).get("since", "")
        return name_key(motors[motor_id]["name"]), motor_id, since, build_id

    ones = sorted({(motor_id, history.one(build_id)) for build_id, motor_id in used.items()}, key=order)
    places = {build_id: at for at, (_, build_id) in enumerate(ones)}
    return {build_id: places[history.one(build_id)] for build_id in used}


def _columns(runs: Sequence[Row], readings: Sequence[Reading], builds: Mapping[str, int]) -> "TrackRuns":
    from pitbench.figures.pace import TrackRuns

    ratios = track_figures.internal_ratios(runs)
    days: dict[tuple[str, str], int] = {}
    for run in runs:
        days.setdefault(_day(run), len(days))
    return TrackRuns(
        n_motors=len({*builds.values()}),
        motor=[builds[run["build_id"]] for run in runs],
        day=[days[_day(run)] for run in runs],
        hour=[hour_of(run) for run in runs],
        reading=readings,
        rollout_mm=[track_figures.rollout_of(run, ratios.get(run.get("car_id"))) for run in runs],
    )


def _day(run: Row) -> tuple[str, str]:
    """One calendar day of one event; without an event, of one track."""
    return run.get("event_id") or f"at {name_key(run.get('track', ''))}", run["started_at"][:10]


def hour_of(run: Row) -> float:
    """When it started, in hours of its day."""
    begun = track_figures.started(run)
    return NOON if begun is None else begun.hour + begun.minute / 60 + begun.second / 3600
