"""The bench-to-track link of one class: which bench figures of the motors as built now told how their runs came out.

Asked of the draws of a ranking and the track evidence beside them; which runs count is decided in `pace` and `heat`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from pitbench.desk.answers import LinkAnswer, LinkedFigure
from pitbench.desk.builds import BuildHistory
from pitbench.desk.forecasting.heat import event_of
from pitbench.figures.arrays import Floats
from pitbench.figures.comparison import Drawn
from pitbench.figures.criteria import UNSEEN_PCT
from pitbench.figures.link import LEAST_EVENTS, LEAST_MOTORS, LEAST_RUNS, Beside, Season, Told, season, told
from pitbench.figures.unseen import learned_unseen
from pitbench.records.kinds import Row, Source

if TYPE_CHECKING:
    from pitbench.desk.comparing.track_evidence import TrackEvidence

BENCH = (
    "load_power_w",
    "kv_rpm_per_v",
    "no_load_current_a",
    "speed_per_amp",
    "sensor_spread_deg",
    "pole_imbalance_pct",
    "hall_level_spread_pct",
)
"""Bench figures that are tried. The winding is in the power at load, and is read too seldom to be tried alone."""
PACE, FINISH = "track_pace_s", "finish_temp_c"
TARGETS = (PACE, FINISH)
NONE_YET = LinkAnswer(False, LEAST_RUNS, LEAST_MOTORS, LEAST_EVENTS, {name: [] for name in TARGETS})


@dataclass(frozen=True)
class Linked:
    """What was found. seasons: track runs by target; bench [motors × BENCH], NaN unknown, and its 5 and 95 % points.

    power: percent of power at load of every motor against the mean, [draws × motors].
    """

    seasons: Mapping[str, Season]
    bench: Floats
    power: Floats

    @cached_property
    def told(self) -> Mapping[str, Sequence[Told | None]]:
        """By target, in the order of BENCH."""
        return told(self.seasons, self.bench)

    @property
    def widest(self) -> Season:
        """Of the target that lacks least."""
        return min(self.seasons.values(), key=lambda each: (sum(each.missing), -each.runs))

    @property
    def power_known(self) -> bool:
        """Whether it is known that more power at load was faster."""
        found = self.told[PACE][BENCH.index("load_power_w")]
        return found is not None and found.known and found.better == "higher"

    @cached_property
    def unseen_pct(self) -> float:
        """What the bench cannot see: what the link leaves over once it is known, else what is believed."""
        if not self.power_known:
            return UNSEEN_PCT
        return learned_unseen(self.seasons[PACE], self.power.mean(axis=0), self.power.std(axis=0))

    def answer(self) -> LinkAnswer:
        """What other programs rely on."""
        runs, motors, events = self.widest.missing
        if not self.widest.enough:
            return LinkAnswer(False, runs, motors, events, {name: [] for name in TARGETS})
        return LinkAnswer(True, runs, motors, events, {name: _figures(self.told[name]) for name in TARGETS})


def _figures(found: Sequence[Told | None]) -> list[LinkedFigure]:
    """The likeliest first, what was not tried last."""
    order = sorted(range(len(found)), key=lambda at: _likely(found[at]))
    return [_figure(BENCH[at], found[at]) for at in order]


def _likely(told: Told | None) -> tuple[float, float]:
    return (2.0, 0.0) if told is None else (told.p_value, -told.skill)


def _figure(name: str, found: Told | None) -> LinkedFigure:
    if found is None:
        return LinkedFigure(name, None, None, None)
    return LinkedFigure(name, found.skill, found.p_value, found.better)


def linked(drawn: Drawn, track: "TrackEvidence", motors: Sequence[Row], source: Source) -> Linked:
    """The link of the motors of a ranking, as they are built now, with what the track says of them."""
    history = BuildHistory(source.rows("build"))
    now = {motor["id"]: history.in_force(motor["id"]) for motor in motors}
    place = {motor["id"]: at for at, motor in enumerate(motors)}

    def motor_of(run: Row) -> int | None:
        """Its place, None for a motor that is not ranked, or was built otherwise then."""
        build = now.get(run["motor_id"])
        if run["motor_id"] not in place or build is None or history.one(run["build_id"]) != history.one(build["id"]):
            return None
        return place[run["motor_id"]]

    found = {
        name: season(_labelled(runs, motor_of_runs, *beside), len(motors))
        for name, runs, beside in ((PACE, *_paces(track)), (FINISH, *_finishes(track)))
        for motor_of_runs in [[motor_of(run) for run in runs]]
    }
    known = np.array([[drawn.known(name, at) for name in BENCH] for at in range(len(motors))])
    bench = np.column_stack([drawn.values[name].mean(axis=0) for name in BENCH])
    watts = drawn.power.watts
    power = 100 * (watts / watts.mean(axis=1, keepdims=True) - 1)
    return Linked(found, np.where(known, bench, np.nan), power)


def _labelled(runs: Sequence[Row], motor: Sequence[int | None], value: Floats, weight: Floats, noise: float) -> Beside:
    """Runs in columns, those of other motors and those that were not used left out."""
    told = [(at, place) for at, place in enumerate(motor) if place is not None and weight[at] > 0]
    rows = [at for at, _ in told]
    events: dict[str, int] = {}
    days: dict[tuple[str, str], int] = {}
    event = [events.setdefault(event_of(runs[at]), len(events)) for at in rows]
    day = [days.setdefault((event_of(runs[at]), runs[at]["started_at"][:10]), len(days)) for at in rows]
    return Beside([place for _, place in told], day, event, value[rows], weight[rows], noise)


def _paces(track: "TrackEvidence") -> tuple[list[Row], tuple[Floats, Floats, float]]:
    """Runs with a pace, and by how much each is slower than its day gave, percent."""
    found = track.pace.pace
    if found is None:
        return [], (np.zeros(0), np.zeros(0), 1.0)
    return list(track.pace.rows), (*found.beside_its_day(), found.noise)


def _finishes(track: "TrackEvidence") -> tuple[list[Row], tuple[Floats, Floats, float]]:
    """Runs, and by how much each finished hotter than its event gave, percent of the rise."""
    if not track.heat.runs:
        return [], (np.zeros(0), np.zeros(0), 1.0)
    value, weight, noise = track.heat.fit_for(1.0).beside_its_event()
    return track.heat.runs, (100 * value, weight, 100 * noise)
