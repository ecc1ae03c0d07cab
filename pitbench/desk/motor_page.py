"""One motor whole: its bench sessions with their figures, its builds over time, and how KV and current moved."""

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import fmean
from typing import TYPE_CHECKING, Any

from pitbench.desk import run_figures
from pitbench.desk.answers import RankAnswer
from pitbench.desk.builds import BuildHistory, parts_text
from pitbench.desk.earlier import mean_range
from pitbench.desk.gather import same_voltage
from pitbench.desk.sessions import in_time, sessions
from pitbench.desk.words import VERDICTS, chance_number, counted_words, not_ranked_words
from pitbench.records.numbers import shown
from pitbench.records.stamps import friendly

if TYPE_CHECKING:
    from pitbench.store.logbook import Snapshot

Row = dict[str, Any]
Measure = Callable[[Row], float | None]
TREND_LENGTH = 24


@dataclass(frozen=True)
class SessionLine:
    """One bench session of the motor; `day` finds its runs. A figure that was not read is None."""

    day: str
    when: str
    runs: int
    left_out: int
    kv: float | None
    kv_pm: float | None
    current: float | None
    timing: float | None
    spread: float | None
    resistance: float | None
    builds: tuple[str, ...]


@dataclass(frozen=True)
class Trend:
    """A figure over the runs, oldest first, and the change in words."""

    label: str
    values: tuple[float, ...]
    words: str


@dataclass(frozen=True)
class MotorAnswer:
    """What the motor page shows."""

    name: str
    title: str
    standing: str
    words: list[str]
    corrected: bool
    sessions: list[SessionLine]
    trends: list[Trend]


def motor_answer(
    snapshot: "Snapshot", motor_id: str, rank: RankAnswer | None, now: datetime, slope: float | None = None
) -> MotorAnswer | None:
    """Everything known of one motor; None when it is gone. slope: of KV on warmth, as the ranking learned it."""
    motor = snapshot.row("motor", motor_id)
    if motor is None or "binned_at" in motor:
        return None
    every = snapshot.rows("bench_run")
    runs = sorted((r for r in every if r["motor_id"] == motor_id), key=in_time)
    counted = [r for r in runs if "excluded_why" not in r]
    corrected = bool(counted) and all("motor_temp_c" in r for r in counted)
    kv = _kv(motor, corrected, slope)
    return MotorAnswer(
        name=motor["name"],
        title=_title(snapshot, motor, now),
        standing=_standing(rank, motor["name"]) if rank else "",
        words=_words(runs, counted, motor, now),
        corrected=corrected,
        sessions=_sessions(snapshot, motor, every, runs, kv, now),
        trends=_trends(counted, kv),
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


def _words(runs: list[Row], counted: list[Row], motor: Row, now: datetime) -> list[str]:
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


def _at_one_voltage(runs: list[Row]) -> list[Row]:
    """Runs at the test voltage of the last of them: speed and current at other voltages are other figures."""
    voltage = next((r["test_voltage_v"] for r in reversed(runs) if "test_voltage_v" in r), None)
    return [r for r in runs if same_voltage(r.get("test_voltage_v"), voltage)]


def _sessions(
    snapshot: "Snapshot", motor: Row, every: list[Row], runs: list[Row], kv: Measure, now: datetime
) -> list[SessionLine]:
    """Newest first; a build that came into force since the session before is named on its line."""
    session_of = sessions(every)
    by_session: dict[Any, list[Row]] = defaultdict(list)
    for run in runs:
        by_session[session_of[run["id"]]].append(run)
    fitted = BuildHistory(snapshot.rows("build")).of(motor["id"])
    lines: list[SessionLine] = []
    before = ""
    for own in sorted(by_session.values(), key=lambda group: in_time(group[0])):
        until = own[-1]["taken_at"]
        came = [b for b in fitted if before < b.get("since", "") <= until]
        builds = tuple(f"{friendly(b['since'], now)}: {parts_text(snapshot, b)} fitted" for b in came)
        before = until
        lines.append(_session(own, kv, builds, now))
    return lines[::-1]


def _session(own: list[Row], kv: Measure, builds: tuple[str, ...], now: datetime) -> SessionLine:
    from pitbench.figures.criteria import MEASURED

    counted = [r for r in own if "excluded_why" not in r]
    at_voltage = _at_one_voltage(counted)
    kvs = _known(map(kv, at_voltage))
    noise = MEASURED["kv_rpm_per_v"].noise
    return SessionLine(
        day=own[0]["taken_at"][:10],
        when=friendly(own[0]["taken_at"][:10], now),
        runs=len(own),
        left_out=len(own) - len(counted),
        kv=_mean(kvs),
        kv_pm=mean_range(kvs, noise, relative=True),
        current=_mean(_known(r.get("no_load_current_a") for r in at_voltage)),
        timing=_mean(_known(run_figures.timing_of(r) for r in counted)),
        spread=_mean(_known(run_figures.sensor_spread_of(r) for r in counted)),
        resistance=_mean(_known(r.get("resistance_mohm") for r in counted)),
        builds=builds,
    )


def _known(values: Any) -> list[float]:
    return [value for value in values if value is not None]


def _mean(values: Sequence[float]) -> float | None:
    return fmean(values) if values else None


def _trends(counted: list[Row], kv_of: Measure) -> list[Trend]:
    at_voltage = _at_one_voltage(counted)
    kv = _known(map(kv_of, at_voltage))
    current = _known(r.get("no_load_current_a") for r in at_voltage)
    made = [_trend("KV", kv, 0, "rpm/V"), _trend("current", current, 2, "A")]
    return [trend for trend in made if trend is not None]


def _trend(label: str, values: list[float], decimals: int, unit: str) -> Trend | None:
    """Last three runs against the first three, from six runs on, so that none counts twice; before, first and last."""
    if len(values) < 2:
        return None
    if len(values) < 6:
        words = f"{values[0]:.{decimals}f} first, {values[-1]:.{decimals}f} last, in {unit}"
    else:
        change = fmean(values[-3:]) - fmean(values[:3])
        words = f"{change:+z.{decimals}f} {unit}, last three runs against first three"
    return Trend(label, tuple(values[-TREND_LENGTH:]), words)
