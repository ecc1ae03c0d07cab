"""The bench plan for tonight: which motors, in what order, how often, so that the session bias cannot fool anyone.

Motors in turn, every other round backwards: over two rounds every motor stands at the same place on average, so that a
tester or a room that drifts evenly moves all of them alike. The check motor comes first, between the rounds and last:
it shows the drift, and no motor runs twice in a row still warm. Source: the order ABBA of weighing (drift-eliminating
designs, NIST/SEMATECH e-Handbook 2.3.3, recalled).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from pitbench.desk.answers import NextTest, RankAnswer
from pitbench.desk.bench.tester import readings_of, recent_bench
from pitbench.desk.classes import motors_of, takes_part
from pitbench.desk.named import named
from pitbench.figures.criteria import MEASURED
from pitbench.figures.repeats import runs_to_tell
from pitbench.records.kinds import Row
from pitbench.records.names import name_key
from pitbench.records.team import Team
from pitbench.store.logbook import Snapshot

MOST = 12


@dataclass(frozen=True)
class BenchPlan:
    """order: names of the motors, one a run; rounds: the same without the check motor; minutes: what they take,
    have: what there is; names: all motors to be run but the check motor; next_test: what tells most for its minutes.

    repeats: runs of every motor; enough: how many would tell a margin of KV (in percent), None beyond 32, by how this
    tester repeats itself (own) or testers usually do; unmeasured: motors whose winding resistance is not known.
    """

    class_: str | None
    check_motor: str | None
    repeats: int
    enough: int | None
    rounds: list[list[str]]
    order: list[str]
    minutes: float
    have: float
    names: list[str]
    margin_pct: float
    own: bool
    unmeasured: list[str]
    next_test: NextTest | None


def bench_plan(snapshot: Snapshot, ranked: RankAnswer) -> BenchPlan:
    """A plan for the motors in use of a ranking's class, two runs of each at least, more as the team's time allows.

    More go to the two leaders where the ranking says that runs settle it; to all, until a margin of KV is told, where
    nothing is ranked yet.
    """
    rows = [row for row in snapshot.rows("motor") if takes_part(row)]
    sheet = named(snapshot, "class_sheet", ranked.class_ or "")
    of_class = sorted(filter(takes_part, motors_of(snapshot, sheet)), key=lambda row: name_key(row["name"]))
    check = _check_motor(rows, of_class)
    names = [row["name"] for row in of_class if row["name"] != check]
    scatter, own = _scatter_of_kv(snapshot)
    team = snapshot.team()
    margin = team.margins.get("kv_rpm_per_v") or MEASURED["kv_rpm_per_v"].margin
    enough = runs_to_tell(margin / scatter)
    rounds = _rounds(_wanted(ranked, names, enough), check, team) if names else []
    order = _order(rounds, check)
    repeats = sum(len(lot) == len(names) for lot in rounds)
    unmeasured = [motor.motor for motor in ranked.motors if {"no_resistance", "resistance_from_log"} & {*motor.flags}]
    return BenchPlan(
        class_=ranked.class_,
        check_motor=check,
        repeats=repeats,
        enough=enough,
        rounds=rounds,
        order=order,
        minutes=_took(order, team),
        have=team.test_minutes,
        names=names,
        margin_pct=margin,
        own=own,
        unmeasured=unmeasured,
        next_test=None if ranked.verdict == "clear" else ranked.next_test,
    )


def _check_motor(rows: Sequence[Row], of_class: Sequence[Row]) -> str | None:
    """The check motor of the class, else any other."""
    marked = [row["name"] for row in of_class if row.get("check_motor")]
    others = sorted((row["name"] for row in rows if row.get("check_motor")), key=name_key)
    return next(iter([*marked, *others]), None)


def _scatter_of_kv(snapshot: Snapshot) -> tuple[float, bool]:
    """How far one KV reading lies off in percent, the motor clamped anew for each; whether σ is this tester's own."""
    from pitbench.figures.tester import scatter

    bench, usual = recent_bench(snapshot), MEASURED["kv_rpm_per_v"]
    found = readings_of(bench, "kv_rpm_per_v") if bench else None
    known = scatter(found[0]) if found else None
    sigma = known.now.sd if known and known.now else usual.noise
    apart = known.clampings.sd if known and known.clampings else usual.clamping_sd
    return hypot(sigma, apart), bool(known and known.now)


def _wanted(ranked: RankAnswer, names: list[str], enough: int | None) -> list[list[str]]:
    """Who runs, pair of rounds by pair of rounds, the most needed first."""
    leaders = [name for name in names if ranked.verdict and name in [motor.motor for motor in ranked.motors[:2]]]
    if ranked.settle.runs and leaders:
        return [names] + [leaders] * (_even(ranked.settle.runs) // 2 - 1)
    return [names] * (1 if ranked.verdict else _even(enough or MOST) // 2)


def _even(runs: int) -> int:
    """There and back is one pair."""
    return min(MOST, runs + runs % 2)


def _rounds(pairs: list[list[str]], check: str | None, team: Team) -> list[list[str]]:
    """Rounds there and back while time lasts; the first pair always."""
    rounds: list[list[str]] = []
    for lot in pairs:
        longer = [*rounds, lot, lot[::-1]]
        if rounds and _took(_order(longer, check), team) > team.test_minutes:
            break
        rounds = longer
    return rounds


def _order(rounds: list[list[str]], check: str | None) -> list[str]:
    if check is None or not rounds:
        return [name for lot in rounds for name in lot]
    return [check, *(name for lot in rounds for name in [*lot, check])]


def _took(order: list[str], team: Team) -> float:
    """Minutes of these runs in a session of their own, counted as those of a next test are: the two must agree."""
    return len(order) * team.run_minutes + len(set(order)) * team.clips_minutes
