"""How warm each motor is: what it came in at, what it is now, when it is cool, and what it will be at the next start.

Asked every few seconds with another `now`, on a `Heat` that was worked out once.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import isnan
from typing import TYPE_CHECKING

from pitbench.desk import track_figures
from pitbench.desk.answers import Temperatures
from pitbench.desk.builds import in_order
from pitbench.desk.classes import takes_part
from pitbench.desk.forecasting.forecast import Planned, asked_of, temperatures
from pitbench.desk.forecasting.heat import Heat
from pitbench.desk.named import name_of
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.rounds import round_text
from pitbench.records.stamps import moment

if TYPE_CHECKING:
    from pitbench.figures.cooling import Finish

HOT_C = 55.0
"""Bare metal can burn within about 10 s from here (ISO 13732-1, recalled, not verified); for wording only."""
NINETY = 3.29
"""Width of a normal's middle nine tenths, in standard deviations."""


@dataclass(frozen=True)
class Standing:
    """One motor between rounds. run: id of today's last run, None without; guessed: nobody read its finish, its
    load log or a forecast stands in; told: false where the readings tell nothing. now, at_start None: at ambient.
    cool_at: by when it is cool nine times in ten; None: it is."""

    motor_id: str
    motor: str
    run: str | None = None
    round: str = ""
    ended: datetime | None = None
    finish_c: float | None = None
    finish_pm_k: float | None = None
    guessed: bool = False
    told: bool = True
    now: Temperatures | None = None
    cool_at: datetime | None = None
    at_start: Temperatures | None = None

    @property
    def hot(self) -> bool:
        """Whether touching the can may hurt."""
        return self.now is not None and self.now.high90 >= HOT_C


def standings(source: Source, heat: Heat, class_id: str | None, now: datetime, start: datetime) -> list[Standing]:
    """Every motor in use of the class, the one run last on top."""
    motors = [m for m in source.rows("motor") if m.get("class_id") == class_id and takes_part(m)]
    last = {run["motor_id"]: place for place, run in enumerate(heat.runs)}
    motors.sort(key=lambda motor: (-last.get(motor["id"], -1), name_key(motor["name"])))
    return [_standing(heat, motor, now, start) for motor in motors]


def _standing(heat: Heat, motor: Row, now: datetime, start: datetime) -> Standing:
    run = last_today(heat, motor["id"], now)
    ended = track_figures.finished_at(run) if run else None
    if run is None or ended is None:
        return Standing(motor["id"], motor["name"])
    finish, guessed = finish_or_guess(heat, run)
    base = Standing(motor["id"], motor["name"], run["id"], round_text(run), ended, guessed=guessed)
    if finish is None:
        return base
    from pitbench.figures.clock import can_at, ready_after

    seconds = [max((at - ended).total_seconds(), 0.0) for at in (now, start)]
    at_now, at_start = (temperatures(spread) for spread in can_at(finish, seconds))
    cool_at = ended + timedelta(seconds=ready_after(finish))
    return replace(
        base,
        finish_c=finish.temp_c,
        finish_pm_k=NINETY / 2 * finish.doubt_k,
        told=finish.told or guessed,
        now=at_now,
        cool_at=cool_at if cool_at > now else None,
        at_start=at_start,
    )


def last_today(heat: Heat, motor_id: str, now: datetime) -> Row | None:
    """The motor's last run today that is over."""
    today = [run for run in heat.of_motor(motor_id) if run["started_at"][:10] == f"{now:%Y-%m-%d}"]
    over = [run for run in today if (ended := track_figures.finished_at(run)) is not None and ended <= now]
    return over[-1] if over else None


def finish_or_guess(heat: Heat, run: Row) -> "tuple[Finish | None, bool]":
    """How a run ended: from its readings, else guessed from its load log or what the others say; None where its ambient
    is unknown."""
    finish = heat.finishes[run["id"]]
    if finish is not None:
        return finish, run["id"] in heat.by_log
    at = heat.runs.index(run)
    ambient, length = heat.columns.ambient_c[at], heat.columns.length_s[at]
    rollout = heat.columns.rollout_mm[at]
    if isnan(ambient) or isnan(rollout):
        return None, True
    from pitbench.figures.cooling import guessed
    from pitbench.figures.forecast import Plan, forecast
    from pitbench.figures.heating import USUAL_LENGTH_S

    start, timing = heat.columns.start_c[at], heat.columns.timing_deg[at]
    plan = Plan(
        motor=heat.motors[run["motor_id"]],
        event=heat.columns.event[at],
        rollout_mm=rollout,
        length_s=USUAL_LENGTH_S if isnan(length) else length,
        ambient_c=ambient,
        timing_deg=None if isnan(timing) else timing,
        start_c=None if isnan(start) else start,
    )
    found = forecast(heat.fit_for(rollout), plan).finish
    doubt = (found.high90 - found.low90) / NINETY
    return guessed(found.median, doubt, ambient, heat.rest[heat.fans[run["id"]]]), True


def warm_start(standing: Standing | None) -> float | None:
    """Can temperature at the planned start, from the cooling clock; None: not run today, at ambient then."""
    return standing.at_start.median if standing and standing.at_start else None


@dataclass(frozen=True)
class Curve:
    """A line with its middle nine tenths: seconds, °C at the median, the 5 and the 95 % points."""

    seconds: tuple[float, ...]
    median: tuple[float, ...]
    low90: tuple[float, ...]
    high90: tuple[float, ...]


def heating_curve(heat: Heat, plan: Planned, points: int = 12) -> Curve:
    """The can over the planned run, at one minute after a run of each length."""
    from pitbench.figures.forecast import forecasts

    lengths = [plan.length_s * nth / points for nth in range(1, points + 1)]
    plans = [asked_of(heat, replace(plan, length_s=length)) for length in lengths]
    return _curve(lengths, [temperatures(each.finish) for each in forecasts(heat.fit_for(plan.rollout_mm), plans)])


def cooling_curve(finish: "Finish", until_s: float, points: int = 24) -> Curve:
    """The can at rest, from a minute after the finish."""
    from pitbench.figures.clock import can_at

    seconds = [60.0 + (until_s - 60.0) * nth / points for nth in range(points + 1)]
    return _curve(seconds, [temperatures(each) for each in can_at(finish, seconds)])


def _curve(seconds: Sequence[float], found: Sequence[Temperatures]) -> Curve:
    return Curve(
        tuple(seconds), tuple(f.median for f in found), tuple(f.low90 for f in found), tuple(f.high90 for f in found)
    )


@dataclass(frozen=True)
class LastRun:
    """A track run as stored, with the names of its motor and event; empty where it has none."""

    run: Row
    motor: str
    event: str


def last_run(source: Source, heat: Heat, now: datetime) -> LastRun | None:
    """The newest track run of the class that has started, whatever motor it was."""
    begun = [run for run in heat.runs if moment(run["started_at"]) <= now]
    if not begun:
        return None
    run = max(begun, key=in_order)
    return LastRun(run, name_of(source, "motor", run["motor_id"]), name_of(source, "event", run.get("event_id")))
