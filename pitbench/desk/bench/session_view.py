"""The newest bench session: how well the tester repeats itself now, and its check motor against the sessions before."""

from dataclasses import dataclass
from datetime import datetime
from statistics import fmean
from typing import TYPE_CHECKING, Any

from pitbench.desk.bench.tester import READ, RecentBench, readings_of, recent_bench
from pitbench.desk.words import FIGURES, counted_words, listed
from pitbench.records.fields import QUANTITIES
from pitbench.records.names import name_key
from pitbench.records.stamps import friendly

if TYPE_CHECKING:
    from pitbench.figures.tester import CheckMotor, Readings, Scatter
    from pitbench.store.logbook import Snapshot

CHECKED = ("kv_rpm_per_v", "no_load_current_a")
WHERE_TO_LOOK = "pack, leads, pole setting, how warm it was"


@dataclass(frozen=True)
class FigureScatter:
    """σ of one reading, in the figure's unit, with its 5 and 95 % points: in this session and in those before it.

    limit: two readings of one motor differ by less nineteen times in twenty. shares: of the scatter among the motors of
    one class, in percent: motors, sessions, one reading. None where no repeat says anything.
    """

    name: str
    unit: str
    sigma: float | None
    low90: float | None
    high90: float | None
    limit: float | None
    repeats: int
    sigma_before: float | None
    repeats_before: int
    shares: tuple[float, float, float] | None
    noisier: bool


@dataclass(frozen=True)
class CheckLine:
    """One figure of one check motor: newest session less the mean of the `sessions` before, in percent, and its limit.

    drift: the same of the moving average; means: of every session against the mean of those before, for a plot.
    """

    motor: str
    name: str
    sessions: int
    shift_pct: float
    shift_limit_pct: float
    drift_pct: float
    drift_limit_pct: float
    means_pct: tuple[float, ...]
    off: bool
    drifting: bool


@dataclass(frozen=True)
class SessionAnswer:
    """The newest session in words, what is wrong with it (empty: nothing), and the numbers behind both."""

    title: str
    words: list[str]
    warnings: list[str]
    figures: list[FigureScatter]
    checks: list[CheckLine]


def session_answer(snapshot: "Snapshot", now: datetime) -> SessionAnswer | None:
    """How the tester is doing; None without any bench run. The same records always give the same numbers."""
    bench = recent_bench(snapshot)
    if bench is None:
        return None
    figures, checks = [], []
    for name in READ:
        found = readings_of(bench, name)
        if found is not None:
            figures.append(_scatter(found[0]))
            if name in CHECKED:
                checks += _checks(bench, *found)
    return SessionAnswer(
        title=_title(bench, now),
        words=[line for line in (_repeats(figures), _in_line(checks), *_missing(bench, checks)) if line],
        warnings=[*filter(None, map(_off, checks)), *filter(None, map(_noisy, figures))],
        figures=figures,
        checks=checks,
    )


def check_motors(bench: RecentBench) -> list[dict[str, Any]]:
    """Check motors in use, by name."""
    found = [dict(row) for row in bench.motors.values() if row.get("check_motor") and row.get("in_use", True)]
    return sorted(found, key=lambda row: name_key(row["name"]))


def _title(bench: RecentBench, now: datetime) -> str:
    first = bench.whole[0]
    who, called = first.get("tester", "Bench"), f", {first['session']}" if "session" in first else ""
    motors = len({run["motor_id"] for run in bench.whole})
    counted = f"{counted_words(len(bench.whole), 'run')} of {counted_words(motors, 'motor')}"
    return f"{who}, {friendly(first['taken_at'], now)}{called}: {counted}"


def _scatter(readings: "Readings") -> FigureScatter:
    from pitbench.figures import tester
    from pitbench.figures.criteria import MEASURED

    found = tester.scatter(readings)
    newest = max(readings.session)
    shown = zip(readings.value, readings.session, readings.alike, strict=True)
    level = fmean(value for value, session, alike in shown if alike and session == newest)
    scale = level / 100 if MEASURED[readings.name].relative else 1.0
    now, before = found.now, found.before
    return FigureScatter(
        name=readings.name,
        unit=QUANTITIES[readings.name].unit if readings.name in QUANTITIES else "°",
        sigma=now.sd * scale if now else None,
        low90=now.low90 * scale if now else None,
        high90=now.high90 * scale if now else None,
        limit=now.limit * scale if now else None,
        repeats=now.freedom if now else 0,
        sigma_before=before.sd * scale if before else None,
        repeats_before=before.freedom if before else 0,
        shares=_percent(found),
        noisier=found.noisier,
    )


def _percent(found: "Scatter") -> tuple[float, float, float] | None:
    parts = found.shares
    return (100 * parts.motors, 100 * parts.sessions, 100 * parts.reading) if parts else None


def _checks(bench: RecentBench, readings: "Readings", known: list[tuple[Any, ...]]) -> list[CheckLine]:
    from pitbench.figures import tester

    lines = []
    for motor in check_motors(bench):
        newest = len(bench.sessions) - 1
        shown = zip(bench.whose, bench.session, strict=True)
        own = [whose for whose, session in shown if whose[0] == motor["id"] and session == newest]
        number = known.index(own[-1]) if own and own[-1] in known else None
        found = None if number is None else tester.check_motor(readings, number)
        if found is not None:
            lines.append(_check_line(motor["name"], readings.name, found))
    return lines


def _check_line(motor: str, name: str, found: "CheckMotor") -> CheckLine:
    centre = fmean(found.means[:-1])
    return CheckLine(
        motor=motor,
        name=name,
        sessions=found.sessions,
        shift_pct=found.shift,
        shift_limit_pct=found.shift_limit,
        drift_pct=found.drift,
        drift_limit_pct=found.drift_limit,
        means_pct=tuple(mean - centre for mean in found.means),
        off=found.off,
        drifting=found.drifting,
    )


def _repeats(figures: list[FigureScatter]) -> str:
    """What two readings of one motor differ by through luck alone."""
    by_name = {figure.name: figure for figure in figures if figure.limit is not None}
    kv, current = (by_name.get(name) for name in CHECKED)
    parts = [f"KV by up to {kv.limit:.0f} rpm/V"] if kv and kv.limit is not None else []
    parts += [f"current by up to {current.limit:.2f} A"] if current and current.limit is not None else []
    if not parts:
        return "No motor was run twice in this session: run one again, and the scatter of the tester shows."
    return f"Two runs of one motor differ by luck alone: {listed(parts)}, nineteen times in twenty."


def _in_line(checks: list[CheckLine]) -> str:
    """Check motors that read as before."""
    quiet = [check for check in checks if not check.off and not check.drifting]
    if not quiet:
        return ""
    first = quiet[0]
    parts = [f"{FIGURES[c.name]} {c.shift_pct:+.1f} %" for c in quiet if c.motor == first.motor]
    return f"{first.motor} reads as in the {counted_words(first.sessions, 'session')} before: {listed(parts)}."


def _missing(bench: RecentBench, checks: list[CheckLine]) -> list[str]:
    motors = check_motors(bench)
    if not motors:
        return ["No check motor yet: mark one that is never opened and run it first and last in every session."]
    name = motors[0]["name"]
    run_now = [m for m in motors if any(run["motor_id"] == m["id"] for run in bench.runs if bench.in_newest(run))]
    if not run_now:
        return [f"{name}, the check motor, has no run in this session: without one nothing ties it to the others."]
    if not checks:
        return [f"{run_now[0]['name']}, the check motor, has no session before this one to be held against."]
    return []


def _off(check: CheckLine) -> str:
    figure, sessions = FIGURES[check.name], counted_words(check.sessions, "session")
    if check.off:
        way = "higher" if check.shift_pct > 0 else "lower"
        return (
            f"This session is off: {check.motor} reads {figure} {abs(check.shift_pct):.1f} % {way} than in the "
            f"{sessions} before; up to {check.shift_limit_pct:.1f} % would be usual. Look at {WHERE_TO_LOOK}; until "
            "then compare motors within this session only."
        )
    if check.drifting:
        way = "up" if check.drift_pct > 0 else "down"
        return (
            f"The tester drifts, or {check.motor} does: its {figure} has gone {way} over the last sessions, "
            f"{check.shift_pct:+.1f} % by now. Look at {WHERE_TO_LOOK}."
        )
    return ""


def _noisy(figure: FigureScatter) -> str:
    if not figure.noisier or figure.sigma is None or not figure.sigma_before:
        return ""
    return (
        f"{FIGURES[figure.name][0].upper()}{FIGURES[figure.name][1:]} scatters more than before: repeats differ "
        f"{figure.sigma / figure.sigma_before:.1f} times as much. A loose lead, or a motor that had not cooled?"
    )
