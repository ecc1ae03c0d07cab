"""One motor whole: what it is, how it stands, its lines, and how KV and current moved. Lines are in `motor_lines`."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from statistics import fmean
from typing import TYPE_CHECKING, Any

from pitbench.desk import run_figures
from pitbench.desk.answers import RankAnswer
from pitbench.desk.bench.sessions import sessions, timely
from pitbench.desk.builds import BuildHistory, parts_text
from pitbench.desk.lists.motor_lines import Measure, MotorLines, at_one_voltage, motor_lines
from pitbench.desk.lists.motor_track import track_words
from pitbench.desk.units import Units, units_of
from pitbench.desk.words import VERDICTS, chance_number, counted_words, not_ranked_words
from pitbench.records.numbers import shown
from pitbench.records.stamps import friendly

if TYPE_CHECKING:
    from pitbench.desk.comparing.track_evidence import TrackEvidence
    from pitbench.store.logbook import Snapshot

Row = Mapping[str, Any]
TREND_LENGTH = 24
IN_SIGHT = 20
"""Lines worked out with the page; the others when they come in sight."""


@dataclass(frozen=True)
class Trend:
    """A figure over the runs, oldest first, and the change in words."""

    label: str
    values: tuple[float, ...]
    words: str


@dataclass(frozen=True)
class MotorAnswer:
    """What the motor page shows. corrected: KV is brought to 25 °C; raced: it has track runs."""

    name: str
    title: str
    standing: str
    words: list[str]
    corrected: bool
    lines: MotorLines
    trends: list[Trend]
    units: Units
    raced: bool


def motor_answer(
    snapshot: "Snapshot",
    motor_id: str,
    rank: RankAnswer | None,
    now: datetime,
    warmth_slope: float | None = None,
    track: "TrackEvidence | None" = None,
) -> MotorAnswer | None:
    """Everything known of one motor; None when it is gone. warmth_slope, track: as the ranking of its class has it."""
    motor = snapshot.row("motor", motor_id)
    if motor is None or "binned_at" in motor:
        return None
    every = snapshot.rows("bench_run")
    runs = timely(r for r in every if r["motor_id"] == motor_id)
    counted = [r for r in runs if "excluded_why" not in r]
    corrected = bool(counted) and all("motor_temp_c" in r for r in counted)
    kv = _kv(motor, corrected, warmth_slope)
    lines = motor_lines(snapshot, motor, runs, sessions(every), kv, now, track)
    for place in range(min(IN_SIGHT, len(lines))):
        lines.line(place)
    return MotorAnswer(
        name=motor["name"],
        title=_title(snapshot, motor, now),
        standing=_standing(rank, motor["name"]) if rank else "",
        words=[*_words(runs, counted, motor, now), *track_words(snapshot, motor_id, track, now)],
        corrected=corrected,
        lines=lines,
        trends=_trends(counted, kv),
        units=units_of(snapshot),
        raced=any(entry.run for entry in lines.entries),
    )


def _standing(rank: RankAnswer, name: str) -> str:
    """How the motor stands in its class."""
    other = next((n for n in rank.not_ranked if n.motor == name), None)
    ranked = next((m for m in rank.motors if m.motor == name), None)
    if other:
        return f"not ranked: {not_ranked_words(other.why)}"
    if ranked is None or rank.verdict is None:
        return ""
    chance = f"{chance_number(ranked.chance_best)} in 100"
    if ranked.place == 1:
        return f"leads, {VERDICTS[rank.verdict]}: {chance}"
    return f"place {ranked.place} of {len(rank.motors)}: {chance} to be the best"


def _title(snapshot: "Snapshot", motor: Row, now: datetime) -> str:
    history = BuildHistory(snapshot.rows("build"))
    build = history.in_force(motor["id"])
    since = f" since {friendly(build['since'], now)}" if build and "since" in build else ""
    parts = parts_text(snapshot, build)
    facts = [
        motor["name"],
        f"{shown(motor['turns'])}T" if "turns" in motor else "",
        f"{parts}{since}" if parts else "its own parts",
        "check motor" if motor.get("check_motor") else "",
    ]
    return "   ".join(fact for fact in facts if fact)


def _words(runs: Sequence[Row], counted: Sequence[Row], motor: Row, now: datetime) -> list[str]:
    if not runs:
        return ["Not on the bench yet. b logs its first run."]
    days = len({r["taken_at"][:10] for r in runs})
    last = friendly(runs[-1]["taken_at"], now)
    left_out = len(runs) - len(counted)
    words = f"{counted_words(len(runs), 'bench run')} on {counted_words(days, 'day')}, last {last}."
    if left_out:
        words += f" {left_out} left out of every figure."
    resistance = [r for r in counted if "resistance_mohm" in r]
    if not resistance and "resistance_mohm" not in motor:
        words += " Its winding resistance was never measured: no missing figure tells more about power at load."
    return [words]


def _kv(motor: Row, corrected: bool, slope: float | None) -> Measure:
    """KV of a run, brought to 25 °C when every run of this motor has a temperature: all are corrected or none."""
    if corrected:
        return lambda run: run_figures.kv25_of(run, motor, slope)
    return lambda run: run_figures.kv_of(run, motor)


def _trends(counted: Sequence[Row], kv_of: Measure) -> list[Trend]:
    at_voltage = at_one_voltage(counted)
    made = [
        _trend("KV", at_voltage, kv_of, 0, "rpm/V"),
        _trend("current", at_voltage, lambda run: run.get("no_load_current_a"), 2, "A"),
    ]
    return [trend for trend in made if trend is not None]


def _trend(label: str, runs: Sequence[Row], measure: Measure, decimals: int, unit: str) -> Trend | None:
    """Last three runs against the first three, from six runs on, so that none counts twice; before, first and last.

    Only the runs that are shown or counted are worked out.
    """
    last = _first_known(map(measure, reversed(runs)), TREND_LENGTH)[::-1]
    if len(last) < 2:
        return None
    if len(last) < 6:
        words = f"{last[0]:.{decimals}f} first, {last[-1]:.{decimals}f} last, in {unit}"
    else:
        change = fmean(last[-3:]) - fmean(_first_known(map(measure, runs), 3))
        words = f"{change:+z.{decimals}f} {unit}, last three runs against first three"
    return Trend(label, tuple(last), words)


def _first_known(values: Iterable[float | None], count: int) -> list[float]:
    return list(islice((value for value in values if value is not None), count))
