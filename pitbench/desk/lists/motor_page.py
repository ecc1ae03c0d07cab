"""One motor whole: what it is, how it stands, its lines, and whether it gets slower. Lines are in `motor_lines`."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.desk import run_figures
from pitbench.desk.answered import answered, counting
from pitbench.desk.answers import RankAnswer
from pitbench.desk.builds import BuildHistory, parts_said
from pitbench.desk.lists.motor_lines import MotorLines, lines_of
from pitbench.desk.lists.motors import Raced, raced_of
from pitbench.desk.lists.since_work import SinceWork, since_work
from pitbench.desk.sessions import sessions, timely
from pitbench.desk.states import stands_since
from pitbench.figures.criteria import WEAR_SESSIONS
from pitbench.records.kinds import Row, Source
from pitbench.records.stamps import time_key
from pitbench.records.units import Units, units_of

if TYPE_CHECKING:
    from pitbench.desk.comparing.track_evidence import TrackEvidence
    from pitbench.desk.comparing.worn import FigureWear, MotorWear
    from pitbench.figures.pace import Against

TREND_LENGTH = 24
POWER = "power"
IN_SIGHT = 20
"""Lines worked out with the page; the others when they come in sight."""


@dataclass(frozen=True)
class Trend:
    """A figure by sessions, oldest first, moods and conditions taken out, and how it moved."""

    label: str
    unit: str
    decimals: int
    values: tuple[float, ...]
    wear: "FigureWear"


@dataclass(frozen=True)
class ShortOf:
    """What is missing before anything can be said of wear: bench sessions, and whether it was raced between them."""

    sessions: int
    raced: bool


@dataclass(frozen=True)
class MotorAnswer:
    """What the motor page shows. since: when its parts were fitted; days: on how many it was on the bench; worked_on:
    the last work on it that a bench run came after.

    resistance_known: ever measured; corrected: KV is brought to 25 °C; against: its pace against that of the others;
    wear: whether it gets slower, None before bench sessions and track minutes tell; short_of: what is missing for
    that; lacks: kinds of part it lacks; worked: what it ran since its last work.
    """

    name: str
    turns: float | None
    parts: str
    since: str | None
    check_motor: bool
    rank: RankAnswer | None
    runs: int
    days: int
    last_on: str | None
    left_out: int
    resistance_known: bool
    corrected: bool
    lines: MotorLines
    trends: list[Trend]
    units: Units
    raced: Raced | None
    against: "Against | None"
    wear: "MotorWear | None"
    short_of: ShortOf | None = None
    lacks: Sequence[str] = ()
    worked_on: Row | None = None
    worked: Sequence[SinceWork] = ()


def motor_answer(
    snapshot: Source,
    motor_id: str,
    rank: RankAnswer | None,
    now: datetime,
    warmth_slope: float | None = None,
    track: "TrackEvidence | None" = None,
    wear: "MotorWear | None" = None,
    brought: Mapping[str, str] | None = None,
) -> MotorAnswer | None:
    """Everything known of one motor; None when it is gone. warmth_slope, track, wear: as the ranking of its class has
    them; brought: what each change did, in short, by the id of its entry."""
    motor = snapshot.row("motor", motor_id)
    if motor is None or "binned_at" in motor:
        return None
    every = snapshot.rows("bench_run")
    runs = timely(r for r in every if r["motor_id"] == motor_id)
    counted = [*counting(runs)]
    corrected = bool(counted) and run_figures.all_warm(counted)
    kv = run_figures.kv_measure(motor, corrected, warmth_slope)
    history = BuildHistory(snapshot.rows("build"))
    build, lacks = history.in_force(motor_id), history.missing(motor_id)
    lines = lines_of(snapshot, motor, runs, sessions(every), kv, now, track, brought or {})
    for place in range(min(IN_SIGHT, len(lines))):
        lines.line(place)
    return MotorAnswer(
        name=motor["name"],
        turns=motor.get("turns"),
        parts=parts_said(snapshot, build, lacks),
        since=(build or {}).get("since"),
        check_motor=bool(motor.get("check_motor")),
        rank=rank,
        runs=len(runs),
        days=len({r["taken_at"][:10] for r in runs}),
        last_on=runs[-1]["taken_at"] if runs else None,
        left_out=sum("excluded_why" in run for run in runs),
        resistance_known="resistance_mohm" in answered(motor) or any("resistance_mohm" in r for r in counted),
        corrected=corrected,
        lines=lines,
        trends=trends_of(wear) if wear else [],
        units=units_of(snapshot),
        raced=raced_of(snapshot, motor_id),
        against=track.pace.of_build(build["id"] if build else None) if track else None,
        wear=wear,
        short_of=None if wear else short_of(snapshot, motor_id),
        lacks=lacks,
        worked_on=stands_since(snapshot, {motor_id: runs[-1]["taken_at"]} if runs else {}).get(motor_id),
        worked=since_work(snapshot, motor_id),
    )


def trends_of(wear: "MotorWear") -> list[Trend]:
    """Of the figures that were read often enough."""
    shown = (
        (POWER, "%", 1, "load_power_w"),
        ("KV", "rpm/V", 0, "kv_rpm_per_v"),
        ("current", "A", 2, "no_load_current_a"),
    )
    return [
        Trend(label, unit, decimals, found.levels[-TREND_LENGTH:], found)
        for label, unit, decimals, name in shown
        if (found := wear.figures.get(name)) is not None
    ]


def short_of(snapshot: Source, motor_id: str) -> ShortOf | None:
    """None where all is there, be it that the ranking has not spoken. Of its build, as the ranking takes it."""
    history = BuildHistory(snapshot.rows("build"))
    build = history.in_force(motor_id)
    now = history.one(build["id"]) if build else None
    every = snapshot.rows("bench_run")
    told = [
        run
        for run in counting(timely(run for run in every if run["motor_id"] == motor_id))
        if "kv_rpm_per_v" in run and "no_load_current_a" in run and now in (None, history.one(run["build_id"]))
    ]
    times, session_of = [time_key(run["taken_at"]) for run in told], sessions(every)
    raced = any(
        run["motor_id"] == motor_id and times[0] < time_key(run["started_at"]) < times[-1]
        for run in (snapshot.rows("track_run") if times else ())
    )
    missing = max(0, WEAR_SESSIONS - len({session_of[run["id"]] for run in told}))
    return ShortOf(missing, raced) if missing or not raced else None
