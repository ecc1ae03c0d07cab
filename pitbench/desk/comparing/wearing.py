"""Is a motor getting slower? Track minutes before every bench run of a ranking, and what they did to its motors.

Words for it stand in `words/wear`. Track runs left out of figures count here: the motor ran all the same.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from itertools import accumulate
from statistics import median
from typing import TYPE_CHECKING

from pitbench.desk.answered import answered
from pitbench.desk.builds import BuildHistory
from pitbench.desk.comparing.worn import Between, FigureWear, MotorWear, PowerLine
from pitbench.desk.track_figures import length_of
from pitbench.records.kinds import Row, Source
from pitbench.records.stamps import time_key

if TYPE_CHECKING:
    from pitbench.desk.comparing.gather import Gathered
    from pitbench.figures.comparison import Drawn
    from pitbench.figures.wear import Moved, Wear
    from pitbench.figures.wear_line import WearLine

USUAL_S = 300.0
"""Length of a track run where nobody of the class ever wrote one down. Common practice."""
END_OF_DAY = "T24"


def track_hours(source: Source, gathered: Gathered) -> list[float]:
    """How long its motor, built as it is now, had been on the track before every bench run of the ranking."""
    history = BuildHistory(source.rows("build"))
    runs = [answered(run) for run in source.rows("track_run")]
    of_class = {motor["id"] for motor in gathered.motors}
    known = [seconds for run in runs if run["motor_id"] in of_class and (seconds := length_of(run))]
    usual = median(known) if known else USUAL_S
    outings: dict[tuple[str, str], list[tuple[str, float]]] = defaultdict(list)
    for run in runs:
        key = (run["motor_id"], history.one(run["build_id"]))
        outings[key].append((_when(run["started_at"]), (length_of(run) or usual) / 3600))
    before = {}
    for key, own in outings.items():
        own.sort()
        before[key] = ([when for when, _ in own], [0.0, *accumulate(hours for _, hours in own)])
    found = []
    for run in gathered.runs:
        times, sums = before.get((run["motor_id"], history.one(run["build_id"])), ([], [0.0]))
        found.append(sums[bisect_left(times, time_key(run["taken_at"]))])
    return found


def _when(stamp: str) -> str:
    """Where only the day is known, it was on the track after that day's bench session."""
    return time_key(stamp) if "T" in stamp else stamp + END_OF_DAY


def wear_of(gathered: Gathered, drawn: Drawn, hours: Sequence[float], margin_pct: float) -> dict[str, MotorWear]:
    """Of every motor with bench sessions and track minutes enough, by its name."""
    import numpy as np

    from pitbench.figures.wear import wear

    found = wear(drawn, np.array(hours), margin_pct)
    names = [motor["name"] for motor in gathered.motors]
    return {names[motor]: _told(gathered, drawn, hours, motor, each, margin_pct) for motor, each in found.items()}


def _told(
    gathered: Gathered, drawn: Drawn, hours: Sequence[float], motor: int, found: Wear, margin_pct: float
) -> MotorWear:
    own_id = gathered.motors[motor]["id"]
    own = [(at, run) for at, run in zip(hours, gathered.runs, strict=True) if run["motor_id"] == own_id]
    return MotorWear(
        sessions=found.sessions,
        minutes=60 * found.hours,
        power=Between(found.power.mean, found.power.low90, found.power.high90),
        falls=found.falls,
        margin_pct=margin_pct,
        figures={
            name: _figure(moved, name, float(drawn.values[name][:, motor].mean()), own)
            for name, moved in found.figures.items()
        },
        line=None if found.line is None else _in_minutes(found.line),
    )


def _in_minutes(found: WearLine) -> PowerLine:
    minutes, along = (60 * found.use).tolist(), (60 * found.along).tolist()
    edges = (found.line - found.band, found.line, found.line + found.band)
    return PowerLine(
        sessions=tuple(zip(minutes, found.level.tolist(), found.arm.tolist(), strict=True)),
        along=tuple(zip(along, *(edge.tolist() for edge in edges), strict=True)),
        worked=tuple(at for at, work in zip(minutes, found.worked.tolist(), strict=True) if work),
    )


def _figure(moved: Moved, name: str, mean: float, own: Sequence[tuple[float, Row]]) -> FigureWear:
    """Changes on the scale of the engine, brought to the unit of the figure about its mean."""
    from pitbench.figures.criteria import MEASURED

    unit = mean / 100 if name in MEASURED and MEASURED[name].relative else 1.0  # power stays in percent
    change, drift = moved.change, moved.drift
    seen = [run["taken_at"] for at, run in own if drift and drift.since is not None and at >= drift.since - 1e-9]
    return FigureWear(
        levels=tuple(mean + unit * (level - moved.levels[-1]) for level in moved.levels),
        change=Between(unit * change.mean, unit * change.low90, unit * change.high90),
        drifts=drift is not None,
        since=min(seen, key=time_key, default=None),
    )
