"""The bench-to-track link of one class: which bench figures of the motors as built now told how their runs came out.

Asked of the draws of a ranking and the track evidence beside them; which runs count is decided in `pace` and `heat`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from pitbench.desk.answers import LinkAnswer, LinkedFigure
from pitbench.desk.builds import BuildHistory
from pitbench.desk.forecasting.heat import event_of
from pitbench.figures.arrays import Bools, Floats
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
POWER = BENCH[0]
PACE, FINISH = "track_pace_s", "finish_temp_c"
TARGETS = (PACE, FINISH)
NONE_YET = LinkAnswer(False, LEAST_RUNS, LEAST_MOTORS, LEAST_EVENTS, {name: [] for name in TARGETS})


@dataclass(frozen=True)
class Linked:
    """What was found. seasons: track runs by target, in percent of a lap and of the rise; scale: seconds a lap and °C
    in one percent; bench: of every motor [motors × BENCH], NaN unknown; power: at load, percent against the mean [draws
    × motors].
    """

    seasons: Mapping[str, Season]
    scale: Mapping[str, float]
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

    def told_by(self, name: str, target: str = PACE) -> Told | None:
        """What a figure told of a target; None where it could not be tried."""
        return self.told[target][BENCH.index(name)]

    @property
    def power_known(self) -> bool:
        """Whether it is known that more power at load was faster."""
        found = self.told_by(POWER)
        return found is not None and found.known and found.better == "higher"

    @property
    def power_slope(self) -> float:
        """Percent of a lap that one percent of power brought, below 0 where it made motors faster."""
        found = self.told_by(POWER)
        return found.slope if found else 0.0

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

    beside = {PACE: _paces(track), FINISH: _finishes(track)}
    seasons = {
        name: season(_labelled(each, [motor_of(run) for run in each.runs]), len(motors))
        for name, each in beside.items()
    }
    watts = drawn.power.watts
    power = 100 * (watts / watts.mean(axis=1, keepdims=True) - 1)
    bench = np.column_stack([power.mean(axis=0), *(drawn.values[name].mean(axis=0) for name in BENCH if name != POWER)])
    scale = {name: each.scale for name, each in beside.items()}
    return Linked(seasons, scale, np.where(_known(drawn), bench, np.nan), power)


def _known(drawn: Drawn) -> Bools:
    """Which figures readings carry [motors × BENCH]; power, which is compared in percent, needs no winding read."""
    as_power = {POWER: "speed_per_amp"}
    return np.array(
        [[drawn.known(as_power.get(name, name), at) for name in BENCH] for at in range(drawn.asked.n_motors)]
    )


@dataclass(frozen=True)
class _Runs:
    """Rows with how far each lies beside its day or event [n] and its weight, in percent; noise and scale as above."""

    runs: Sequence[Row] = ()
    value: Floats = field(default_factory=lambda: np.zeros(0))
    weight: Floats = field(default_factory=lambda: np.zeros(0))
    noise: float = 1.0
    scale: float = 1.0


def _labelled(of: _Runs, motor: Sequence[int | None]) -> Beside:
    """Runs in columns, those of other motors and those that were not used left out."""
    told = [(at, place) for at, place in enumerate(motor) if place is not None and of.weight[at] > 0]
    rows = [at for at, _ in told]
    events: dict[str, int] = {}
    days: dict[tuple[str, str], int] = {}
    event = [events.setdefault(event_of(of.runs[at]), len(events)) for at in rows]
    day = [days.setdefault((event_of(of.runs[at]), of.runs[at]["started_at"][:10]), len(days)) for at in rows]
    return Beside([place for _, place in told], day, event, of.value[rows], of.weight[rows], of.noise)


def _paces(track: "TrackEvidence") -> _Runs:
    """By how much each run was slower than its day gave, percent of a lap."""
    found = track.pace.pace
    if found is None:
        return _Runs()
    return _Runs(track.pace.rows, *found.beside_its_day(), found.noise, found.lap_s / 100)


def _finishes(track: "TrackEvidence") -> _Runs:
    """By how much each run finished hotter than its event gave, percent of the rise of the can."""
    heat = track.heat
    if not heat.runs:
        return _Runs()
    value, weight, noise = heat.fit_for(1.0).beside_its_event()
    rise = np.asarray(heat.columns.finish_c) - np.asarray(heat.columns.ambient_c)
    used = weight > 0
    return _Runs(heat.runs, 100 * value, weight, 100 * noise, float(rise[used].mean()) / 100 if used.any() else 1.0)
