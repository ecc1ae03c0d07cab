"""Which motor for the main, and how sure: from a snapshot of the logbook to the answer other programs rely on."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from pitbench.desk import run_figures
from pitbench.desk.answered import motors_waiting
from pitbench.desk.answers import (
    Basis,
    BenchLead,
    FigureBasis,
    NextTest,
    OddRun,
    RankAnswer,
    RankedMotor,
    Settle,
    Spread,
    WouldTell,
)
from pitbench.desk.comparing.drawing import basis_of, drawn_of, figure_of, track_of
from pitbench.desk.comparing.gather import Gathered, as_of, gather
from pitbench.desk.comparing.minutes import minutes_of
from pitbench.desk.comparing.odd_runs import odd_runs
from pitbench.desk.comparing.worn import MotorWear
from pitbench.figures import next_test, ranking
from pitbench.figures.comparison import Drawn
from pitbench.figures.criteria import UNSEEN_PCT
from pitbench.figures.link import LEAST_MOTORS, LEAST_RUNS
from pitbench.figures.ranking import Placed, Ranking, margins_of, weights_of
from pitbench.records.kinds import Row
from pitbench.records.spoken import FIGURES
from pitbench.records.team import Team
from pitbench.store.logbook import Snapshot

if TYPE_CHECKING:
    from pitbench.desk.comparing.link import Linked
    from pitbench.desk.comparing.track_evidence import TrackEvidence

Tried = Mapping[str, float] | None
"""Weights or margins by figure name; None: as the team set them."""


@dataclass(frozen=True)
class WeightOrder:
    """Motors best first with the weight of one figure halved, and with it doubled."""

    halved: list[str]
    doubled: list[str]


@dataclass(frozen=True)
class Compared:
    """One comparison, drawn once: weights and margins are tried as often as the user likes without drawing anew.

    track: what the track runs of the class say; None without any. link: whether the bench told how they came out.
    waiting: ids of motors with a number that waits. swap: the swap of parts that tells most; see `swap_test`. hours: on
    the track before every bench run, empty where nothing was.
    """

    gathered: Gathered
    settings: Team
    drawn: Drawn | None
    track: "TrackEvidence | None" = None
    waiting: Collection[str] = ()
    swap: NextTest | None = None
    hours: Sequence[float] = ()
    link: "Linked | None" = None

    @property
    def warmth_slope(self) -> float | None:
        """Percent of KV per kelvin of measured temperature as learned; the form and the motor page use it too."""
        learned = self.drawn.warmth_slope if self.drawn else None
        return learned[0] if learned else None

    @cached_property
    def odd_runs(self) -> list[OddRun]:
        """Runs to look at again: they are flagged, and named on the screens."""
        return odd_runs(self.gathered, self.drawn) if self.drawn else []

    @cached_property
    def wear(self) -> Mapping[str, MotorWear]:
        """Whether motors get slower, by name; of those with bench sessions and track minutes enough."""
        if self.drawn is None or not any(self.hours):
            return {}
        from pitbench.desk.comparing.wearing import wear_of

        margin = margins_of(self._margins(None))["load_power_w"]
        return wear_of(self.gathered, self.drawn, self.hours, margin)

    def answer(self, weights: Tried = None, margins: Tried = None) -> RankAnswer:
        """The ranking with these weights and margins."""
        weights, margins = self._weights(weights), self._margins(margins)
        if self.drawn is None:
            return _nothing_ranked(self.gathered, self.settings, weights, margins)
        minutes, session = minutes_of(self.settings), newest_session(self.gathered, self.drawn)
        return _answer(self, self.drawn, ranking.rank(self.drawn, weights, margins, minutes, session))

    def leader(self, weights: Tried = None, margins: Tried = None) -> str | None:
        """Who leads with these weights and margins; None where fewer than two motors compare."""
        if self.drawn is None or len(self.gathered.motors) < 2:
            return None
        best = ranking.best_of(self.drawn, self._weights(weights), self._margins(margins))
        return str(self.gathered.motors[best]["name"])

    def weights_order(self, weights: Tried = None, margins: Tried = None) -> dict[str, WeightOrder]:
        """For every figure that has weight: the order with that weight halved and doubled."""
        if self.drawn is None:
            return {}
        names = [motor["name"] for motor in self.gathered.motors]
        orders = ranking.weights_order(self.drawn, self._weights(weights), self._margins(margins))
        return {
            figure: WeightOrder([names[motor] for motor in halved], [names[motor] for motor in doubled])
            for figure, (halved, doubled) in orders.items()
        }

    def _weights(self, given: Tried) -> dict[str, float]:
        found = self.settings.weights if given is None else given
        return {name: value for name, value in found.items() if name in FIGURES}

    def _margins(self, given: Tried) -> dict[str, float]:
        found = self.settings.margins if given is None else given
        return {name: value for name, value in found.items() if name in FIGURES and value > 0}


def compare(
    snapshot: Snapshot,
    class_name: str | None = None,
    gearing_limit: str | None = None,
    leave_out: Collection[str] = (),
    settings: Team | None = None,
) -> Compared:
    """Gather and draw one class by name, or NO_CLASS (None: that of the newest bench run); Refusal for an unknown one.

    leave_out: ids of runs left out for this question only; settings: asked instead of the team's. The same records
    always give the same numbers, in whatever order they came in.
    """
    gathered, settings = gather(snapshot, class_name, gearing_limit, leave_out), settings or snapshot.team()
    track, waiting = track_of(snapshot, gathered, leave_out), frozenset(motors_waiting(snapshot))
    if not gathered.motors:
        return Compared(gathered, settings, None, track, waiting)
    drawn, link = drawn_of(snapshot, gathered, settings, track)
    swap = _swap(snapshot, gathered, class_name, leave_out, drawn.unseen_pct)
    return Compared(gathered, settings, drawn, track, waiting, swap, _hours(snapshot, gathered), link)


def unseen_pct_of(snapshot: Snapshot, class_name: str | None) -> float:
    """What the bench cannot see of a class, as its ranking has it; a season too short for a link pays nothing."""
    gathered = gather(snapshot, class_name)
    motors = {motor["id"] for motor in gathered.motors}
    raced = [run["motor_id"] for run in snapshot.rows("track_run") if run["motor_id"] in motors]
    if len({*raced}) < LEAST_MOTORS or len(raced) < LEAST_RUNS:
        return UNSEEN_PCT
    return drawn_of(snapshot, gathered, snapshot.team(), track_of(snapshot, gathered, ()))[0].unseen_pct


def _hours(snapshot: Snapshot, gathered: Gathered) -> Sequence[float]:
    """What a motor was on the track; a logbook without track runs pays nothing for it."""
    if not snapshot.rows("track_run"):
        return ()
    from pitbench.desk.comparing.wearing import track_hours

    return track_hours(snapshot, gathered)


def _swap(
    snapshot: Snapshot, gathered: Gathered, class_name: str | None, leave_out: Collection[str], unseen_pct: float
) -> NextTest | None:
    """A question of its own, asked of the logbook as it stands."""
    if leave_out or len(gathered.motors) < 2:
        return None
    from pitbench.desk.comparing.swap_test import swap_test

    return swap_test(snapshot, class_name, snapshot.team(), unseen_pct)


def rank(snapshot: Snapshot, class_name: str | None = None, gearing_limit: str | None = None) -> RankAnswer:
    """The ranking of one class with the team's weights and margins; see `compare`."""
    return compare(snapshot, class_name, gearing_limit).answer()


def newest_session(gathered: Gathered, drawn: Drawn) -> int:
    """The session of the newest run, as the comparison numbers them."""
    newest = as_of(gathered.runs)
    place = next(i for i, run in enumerate(gathered.runs) if run["taken_at"] == newest)
    return int(drawn.asked.runs.session[place])


def _answer(compared: Compared, drawn: Drawn, found: Ranking) -> RankAnswer:
    gathered = compared.gathered
    names = [motor["name"] for motor in gathered.motors]
    runs = _runs_by_motor(gathered)
    apart = {odd.motor for odd in compared.odd_runs if odd.why == "apart"}
    motors = [_ranked(compared, placed, runs, apart) for placed in found.motors]
    bench = found.bench_leader
    return RankAnswer(
        as_of=as_of(gathered.runs),
        class_=_class_name(gathered),
        gearing_limit=gathered.gearing_limit,
        test_voltage_v=gathered.test_voltage,
        basis=basis_of(drawn, compared.track),
        verdict=found.verdict,
        leader=motors[0].motor if found.verdict else None,
        lead_pct=Spread(found.lead.mean, found.lead.low90, found.lead.high90) if found.lead else None,
        settle=Settle(found.settle.runs, found.settle.why) if found.settle else Settle(),
        bench=BenchLead(names[bench[0]], bench[1]) if bench else BenchLead(),
        next_test=_sooner(_next_test(names, found.next_test), compared.swap) if found.verdict else None,
        would_tell_most=_would_tell(names, found.would_tell_most),
        figures=_figure_bases(found.repeatability, found.weights, found.margins),
        motors=motors,
        not_ranked=gathered.not_ranked,
    )


def _sooner(test: NextTest | None, swap: NextTest | None) -> NextTest | None:
    """What tells more a minute; what takes another day comes last."""
    if swap is None or test is None or test.test == "session":
        return swap or test
    return max(test, swap, key=lambda each: (each.chance_expected - each.chance_now) / each.minutes)


def _next_test(names: Sequence[str], test: next_test.NextTest | None) -> NextTest | None:
    if test is None:
        return None
    motors = [names[motor] for motor in test.motors]
    return NextTest(test.test, motors, test.count, test.minutes, test.chance_now, test.chance_expected)


def _would_tell(names: Sequence[str], telling: ranking.WouldTell | None) -> WouldTell | None:
    if telling is None:
        return None
    why = "too_few_readings" if telling.measured_before else "not_measured"
    return WouldTell(names[telling.motor], telling.figure, why, telling.chance_now, telling.chance_expected)


def _runs_by_motor(gathered: Gathered) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {motor["id"]: [] for motor in gathered.motors}
    for run in gathered.runs:
        found[run["motor_id"]].append(run)
    return found


def _ranked(compared: Compared, placed: Placed, runs: Mapping[str, list[Row]], apart: Collection[str]) -> RankedMotor:
    return RankedMotor(
        motor=compared.gathered.motors[placed.motor]["name"],
        place=placed.place,
        chance_best=placed.chance_best,
        score_pct=placed.score.mean,
        score_low50=placed.low50,
        score_high50=placed.high50,
        score_low90=placed.score.low90,
        score_high90=placed.score.high90,
        group=placed.group,
        figures={name: figure_of(placed.figures[name], placed.runs[name]) for name in FIGURES},
        flags=_flags(compared, placed, runs, apart),
    )


def _flags(compared: Compared, placed: Placed, runs_of: Mapping[str, list[Row]], apart: Collection[str]) -> list[str]:
    """apart: names of motors with a run so far off that the engine, with few runs, takes it for their noise."""
    gathered = compared.gathered
    motor = gathered.motors[placed.motor]
    runs = runs_of[motor["id"]]
    logs = compared.drawn.asked.logs if compared.drawn else None
    in_log = logs is not None and placed.motor in logs.motor
    raised = {
        "no_resistance": not placed.runs["resistance_mohm"] and not in_log,
        "resistance_from_log": not placed.runs["resistance_mohm"] and in_log,
        "one_run": len(runs) == 1,
        "no_timing": all(run_figures.timing_of(run) is None for run in runs),
        "check_motor": bool(motor.get("check_motor")),
        "run_does_not_fit": placed.does_not_fit or motor["name"] in apart,
        "voltage_assumed": motor["id"] in gathered.voltage_assumed,
        "number_waits": motor["id"] in compared.waiting,
        "drift": motor["name"] in compared.wear and compared.wear[motor["name"]].drifts,
    }
    return [flag for flag, up in raised.items() if up]


def _figure_bases(
    repeatability: Mapping[str, float | None], weights: Mapping[str, float], margins: Mapping[str, float]
) -> dict[str, FigureBasis]:
    return {name: FigureBasis(repeatability[name], weights[name], margins[name]) for name in FIGURES}


def _class_name(gathered: Gathered) -> str | None:
    return gathered.class_row["name"] if gathered.class_row else None


def _nothing_ranked(
    gathered: Gathered, settings: Team, weights: Mapping[str, float], margins: Mapping[str, float]
) -> RankAnswer:
    """The answer when no motor can be ranked: every key, nothing known."""
    unknown = dict.fromkeys(FIGURES)
    return RankAnswer(
        class_=_class_name(gathered),
        gearing_limit=gathered.gearing_limit,
        basis=Basis(leads_mohm=settings.leads_mohm),
        figures=_figure_bases(unknown, weights_of(weights), margins_of(margins)),
        not_ranked=gathered.not_ranked,
    )
