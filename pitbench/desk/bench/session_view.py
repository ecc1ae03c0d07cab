"""The newest bench session: how well the tester repeats itself now, and its check motor against the sessions before."""

from dataclasses import dataclass, field
from operator import itemgetter
from statistics import fmean
from typing import TYPE_CHECKING, Any

from pitbench.desk.bench.tester import READ, RecentBench, readings_of, recent_bench
from pitbench.desk.states import stands_since
from pitbench.figures.criteria import MEASURED
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key

if TYPE_CHECKING:
    from pitbench.figures.tester import BenchReadings, CheckMotor


CHECKED = ("kv_rpm_per_v", "no_load_current_a")


@dataclass(frozen=True)
class FigureScatter:
    """σ of one reading, in the figure's unit, with its 5 and 95 % points: in this session and in those before it.

    clamping: how far clampings of one motor lie apart, with its 5 and 95 % points. limit: two readings of one motor
    differ by less nineteen times in twenty; clamped_anew: the same, clips off and on between them. shares: of the
    scatter among the motors of one class, in percent: motors, sessions, one reading. None where nothing says it.
    """

    name: str
    unit: str
    sigma: float | None
    low90: float | None
    high90: float | None
    limit: float | None
    clamping: float | None
    clamping_low90: float | None
    clamping_high90: float | None
    clamped_anew: float | None
    repeats: int
    sigma_before: float | None
    shares: tuple[float, float, float] | None
    noisier: bool


@dataclass(frozen=True)
class CheckLine:
    """One figure of one check motor, and what its newest session says against those before, in percent.

    means_pct: of every session against the mean of those before the newest, for a plot.
    """

    motor: str
    name: str
    found: "CheckMotor"
    means_pct: tuple[float, ...]


@dataclass(frozen=True)
class SessionAnswer:
    """The newest session: who made it, when it began, how many runs of how many motors, and what its numbers say.

    check_motors: names of those in use; run_now: of those with a run in this session. since: motors of it that were
    worked on before their last run, with that work: repeats before it and after it are kept apart.
    """

    tester: str | None
    name: str | None
    began: str
    runs: int
    motors: int
    figures: list[FigureScatter]
    checks: list[CheckLine]
    check_motors: list[str]
    run_now: list[str]
    since: list[tuple[str, Row]] = field(default_factory=list)


def session_answer(snapshot: Source) -> SessionAnswer | None:
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
    first, read_now = bench.whole[0], {run["motor_id"] for run in bench.runs if bench.in_newest(run)}
    return SessionAnswer(
        tester=first.get("tester"),
        name=first.get("session"),
        began=first["taken_at"],
        runs=len(bench.whole),
        motors=len({run["motor_id"] for run in bench.whole}),
        figures=figures,
        checks=checks,
        check_motors=[motor["name"] for motor in check_motors(bench)],
        run_now=[motor["name"] for motor in check_motors(bench) if motor["id"] in read_now],
        since=_since(snapshot, bench),
    )


def _since(snapshot: Source, bench: RecentBench) -> list[tuple[str, Row]]:
    """By name."""
    last_on = {run["motor_id"]: run["taken_at"] for run in bench.whole}
    found = stands_since(snapshot, last_on).items()
    return sorted(((bench.motors[key]["name"], work) for key, work in found if key in bench.motors), key=itemgetter(0))


def check_motors(bench: RecentBench) -> list[dict[str, Any]]:
    """Check motors in use, by name."""
    found = [row for row in bench.motors.values() if row.get("check_motor") and row.get("in_use", True)]
    return sorted(found, key=lambda row: name_key(row["name"]))


def _scatter(readings: "BenchReadings") -> FigureScatter:
    from pitbench.figures import tester

    found = tester.scatter(readings)
    newest = max(readings.session)
    shown = zip(readings.value, readings.session, readings.alike, strict=True)
    level = fmean(value for value, session, alike in shown if alike and session == newest)
    scale = level / 100 if MEASURED[readings.name].relative else 1.0
    now, before, apart, parts = found.now, found.before, found.clampings, found.shares
    return FigureScatter(
        name=readings.name,
        unit=QUANTITIES[readings.name].unit if readings.name in QUANTITIES else "°",
        sigma=now.sd * scale if now else None,
        low90=now.low90 * scale if now else None,
        high90=now.high90 * scale if now else None,
        limit=now.limit * scale if now else None,
        clamping=apart.sd * scale if apart else None,
        clamping_low90=apart.low90 * scale if apart else None,
        clamping_high90=apart.high90 * scale if apart else None,
        clamped_anew=apart.limit(now.sd) * scale if apart and now else None,
        repeats=now.freedom if now else 0,
        sigma_before=before.sd * scale if before else None,
        shares=(100 * parts.motors, 100 * parts.sessions, 100 * parts.reading) if parts else None,
        noisier=found.noisier,
    )


def _checks(bench: RecentBench, readings: "BenchReadings", known: list[tuple[Any, ...]]) -> list[CheckLine]:
    from pitbench.figures import tester

    lines = []
    for motor in check_motors(bench):
        newest = len(bench.sessions) - 1
        shown = zip(bench.whose, bench.session, strict=True)
        own = [whose for whose, session in shown if whose[0] == motor["id"] and session == newest]
        number = known.index(own[-1]) if own and own[-1] in known else None
        found = None if number is None else tester.check_motor(readings, number)
        if found is not None:
            centre = fmean(found.means[:-1])
            means = tuple(mean - centre for mean in found.means)
            lines.append(CheckLine(motor["name"], readings.name, found, means))
    return lines
