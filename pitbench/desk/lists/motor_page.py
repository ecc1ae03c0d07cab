"""One motor whole: what it is, how it stands, its lines, and how KV and current moved. Lines are in `motor_lines`."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import TYPE_CHECKING

from pitbench.desk import run_figures
from pitbench.desk.answered import answered, counting
from pitbench.desk.answers import RankAnswer
from pitbench.desk.builds import BuildHistory, parts_said
from pitbench.desk.lists.motor_lines import MotorLines, lines_of
from pitbench.desk.lists.motors import Raced, raced_of
from pitbench.desk.lists.since_work import SinceWork, since_work
from pitbench.desk.run_figures import Measure, at_one_voltage
from pitbench.desk.sessions import sessions, timely
from pitbench.desk.states import stands_since
from pitbench.records.kinds import Row, Source
from pitbench.records.units import Units, units_of

if TYPE_CHECKING:
    from pitbench.desk.comparing.track_evidence import TrackEvidence
    from pitbench.desk.comparing.worn import FigureWear, MotorWear
    from pitbench.figures.pace import Against

TREND_LENGTH = 24
IN_SIGHT = 20
"""Lines worked out with the page; the others when they come in sight."""


@dataclass(frozen=True)
class Trend:
    """A figure, oldest first: with `wear` by sessions, moods and conditions taken out; else run by run, as read."""

    label: str
    unit: str
    decimals: int
    values: tuple[float, ...]
    wear: "FigureWear | None" = None


@dataclass(frozen=True)
class MotorAnswer:
    """What the motor page shows. since: when its parts were fitted; days: on how many it was on the bench; worked_on:
    the last work on it that a bench run came after.

    resistance_known: ever measured; corrected: KV is brought to 25 °C; against: its pace against that of the others;
    wear: whether it gets slower, None before bench sessions and track minutes tell; lacks: kinds of part it lacks;
    worked: what it ran since its last work.
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
        trends=_trends(counted, kv, wear),
        units=units_of(snapshot),
        raced=raced_of(snapshot, motor_id),
        against=track.pace.of_build(build["id"] if build else None) if track else None,
        wear=wear,
        lacks=lacks,
        worked_on=stands_since(snapshot, {motor_id: runs[-1]["taken_at"]} if runs else {}).get(motor_id),
        worked=since_work(snapshot, motor_id),
    )


def _trends(counted: Sequence[Row], kv_of: Measure, wear: "MotorWear | None") -> list[Trend]:
    at_voltage, worn = at_one_voltage(counted), wear.figures if wear else {}
    made = [
        _trend("power", (), _current, 1, "%", worn.get("load_power_w")),
        _trend("KV", at_voltage, kv_of, 0, "rpm/V", worn.get("kv_rpm_per_v")),
        _trend("current", at_voltage, _current, 2, "A", worn.get("no_load_current_a")),
    ]
    return [trend for trend in made if trend is not None]


def _current(run: Row) -> float | None:
    found: float | None = run.get("no_load_current_a")
    return found


def _trend(
    label: str, runs: Sequence[Row], measure: Measure, decimals: int, unit: str, wear: "FigureWear | None"
) -> Trend | None:
    """Only the sessions or runs that are shown are worked out."""
    if wear is not None:
        return Trend(label, unit, decimals, wear.levels[-TREND_LENGTH:], wear)
    last = _first_known(map(measure, reversed(runs)), TREND_LENGTH)[::-1]
    return Trend(label, unit, decimals, tuple(last)) if len(last) > 1 else None


def _first_known(values: Iterable[float | None], count: int) -> list[float]:
    return list(islice((value for value in values if value is not None), count))
