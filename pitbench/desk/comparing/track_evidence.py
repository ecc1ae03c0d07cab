"""What the track says of the motors of a ranking: pace and finish temperature as draws beside those of the bench.

Neither counts before the user gives it weight. Imported only where there are track runs.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import isnan
from statistics import median

import numpy as np

from pitbench.desk.builds import BuildHistory, in_order
from pitbench.desk.comparing.pace import TrackPace, pace_of
from pitbench.desk.forecasting.heat import Heat, event_of, heat_of
from pitbench.figures.comparison import Drawn, Evidence
from pitbench.figures.forecast import Plan, finish_draws
from pitbench.records.kinds import Row, Source

NEWEST = 400
"""Track runs a ranking learns heat from: older ones tell little of today's motors, and each costs time. Ours."""


@dataclass(frozen=True)
class Conditions:
    """What finish temperatures are compared at: the middle of the newest event's runs."""

    rollout_mm: float
    minutes: float
    ambient_c: float
    event: str


@dataclass(frozen=True)
class TrackEvidence:
    """Pace and heat of one class, and the conditions temperatures are compared at; None where no run tells them."""

    pace: TrackPace
    heat: Heat
    conditions: Conditions | None

    def beside(self, drawn: Drawn, motors: Sequence[Row], source: Source) -> Drawn:
        """The comparison with what the track says of these motors as they are built now."""
        history = BuildHistory(source.rows("build"))
        builds = [build["id"] for motor in motors if (build := history.in_force(motor["id"])) is not None]
        found = {"track_pace_s": self._pace(builds), "finish_temp_c": self._finish(drawn, motors)}
        return drawn.beside({name: each for name, each in found.items() if each is not None})

    def _pace(self, builds: Sequence[str]) -> Evidence | None:
        pace = self.pace.pace
        if pace is None or not pace.enough:
            return None
        columns = [self.pace.builds[build] for build in builds]
        counts = [pace.counts[at] if pace.known(at) else 0 for at in columns]
        return Evidence(pace.draws[:, columns], np.array(counts), pace.noise / 100 * pace.lap_s)

    def _finish(self, drawn: Drawn, motors: Sequence[Row]) -> Evidence | None:
        asked = self.conditions
        if asked is None:
            return None
        fit, labels = self.heat.fit_for(asked.rollout_mm), dict(self.heat.motors)
        for motor in motors:
            labels.setdefault(motor["id"], len(labels))
        columns = [labels[motor["id"]] for motor in motors]
        counts = np.array([fit.of_motor(at) for at in columns])
        if not counts.any():
            return None
        draws = finish_draws(fit, len(labels), self._plan(asked), drawn.power.watts.shape[0])[:, columns]
        rise = float(draws.mean()) - asked.ambient_c
        repeated = int(fit.used.sum()) > np.count_nonzero(np.bincount(np.asarray(fit.runs.motor)[fit.used]))
        return Evidence(draws, counts, float(fit.cells.weight @ fit.cells.sigma) * rise if repeated else None)

    def _plan(self, asked: Conditions) -> Plan:
        return Plan(None, self.heat.event_label(asked.event), asked.rollout_mm, 60 * asked.minutes, asked.ambient_c)


def evidence_of(source: Source, class_row: Row | None, leave_out: Collection[str] = ()) -> TrackEvidence:
    """What the track says of a class; leave_out: ids of runs left out for this question only."""
    class_id = class_row["id"] if class_row else None
    classed = as_classed(source)
    heat = heat_of(_newest(classed, class_id, leave_out), class_id)
    return TrackEvidence(pace_of(classed, class_id, leave_out), heat, _conditions(heat))


def _conditions(heat: Heat) -> Conditions | None:
    """The middle rollout, length and ambient of the newest event whose runs tell all three."""
    for event in reversed(heat.events):
        rows = [at for at, run in enumerate(heat.runs) if event_of(run) == event]
        told = [
            [value for at in rows if not isnan(value := column[at])]
            for column in (heat.columns.rollout_mm, heat.columns.length_s, heat.columns.ambient_c)
        ]
        if all(told):
            rollout, length, ambient = map(median, told)
            return Conditions(rollout, length / 60, ambient, event)
    return None


class _Instead:
    """A source with other live rows of one kind."""

    def __init__(self, source: Source, kind: str, rows: list[Row]) -> None:
        self._source, self._kind, self._rows = source, kind, rows

    def rows(self, kind: str, *, binned: bool = False) -> list[Row]:
        return self._rows if kind == self._kind and not binned else self._source.rows(kind, binned=binned)

    def row(self, kind: str, key: str, /) -> Row | None:
        return self._source.row(kind, key)


def as_classed(source: Source) -> Source:
    """With motors that name a class only where it stands: one in the bin names nothing, as in `classes`."""
    standing = {sheet["id"] for sheet in source.rows("class_sheet")}
    classless = ({name: value for name, value in m.items() if name != "class_id"} for m in source.rows("motor"))
    both = zip(source.rows("motor"), classless, strict=True)
    return _Instead(source, "motor", [m if m.get("class_id") in standing else less for m, less in both])


def _newest(source: Source, class_id: str | None, leave_out: Collection[str]) -> Source:
    """With only the newest track runs of a class."""
    motors = {motor["id"] for motor in source.rows("motor") if motor.get("class_id") == class_id}
    runs = [run for run in source.rows("track_run") if run["motor_id"] in motors and run["id"] not in leave_out]
    return _Instead(source, "track_run", sorted(runs, key=in_order)[-NEWEST:])
