"""Which motor for the main, and how sure: from a snapshot of the logbook to the answer other programs rely on."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from pitbench.desk import run_figures
from pitbench.desk.answers import (
    NAMES,
    Basis,
    BenchLead,
    FigureBasis,
    FigureOf,
    RankAnswer,
    RankedMotor,
    Settle,
    Spread,
    WouldTell,
)
from pitbench.desk.gather import Gathered, Row, as_of, gather
from pitbench.desk.readings import comparison_of

if TYPE_CHECKING:
    from pitbench.figures.comparison import Drawn
    from pitbench.figures.intervals import Interval
    from pitbench.figures.ranking import Placed, Ranking
    from pitbench.records.models import Settings
    from pitbench.store.logbook import Snapshot


def rank(snapshot: "Snapshot", class_name: str | None = None, gearing_limit: str | None = None) -> RankAnswer:
    """The ranking of one class (None: that of the newest bench run); raises Refusal for an unknown class or limit.

    The same records always give the same numbers, in whatever order they came in.
    """
    from pitbench.figures import comparison, ranking

    gathered, settings = gather(snapshot, class_name, gearing_limit), snapshot.settings()
    weights = {name: value for name, value in settings.weights.items() if name in NAMES}
    margins = {name: value for name, value in settings.margins.items() if name in NAMES and value > 0}
    if not gathered.motors:
        return _nothing_ranked(gathered, settings, weights, margins)
    drawn = comparison.draw(comparison_of(gathered, settings.volts_per_cell, settings.leads_mohm))
    return _answer(gathered, drawn, ranking.rank(drawn, weights, margins))


def _answer(gathered: Gathered, drawn: "Drawn", found: "Ranking") -> RankAnswer:
    names = [motor["name"] for motor in gathered.motors]
    runs = _runs_by_motor(gathered)
    motors = [_ranked(gathered, placed, runs) for placed in found.motors]
    bench, telling = found.bench_leader, found.would_tell_most
    return RankAnswer(
        as_of=as_of(gathered.runs),
        class_=_class_name(gathered),
        gearing_limit=gathered.gearing_limit,
        test_voltage_v=gathered.test_voltage,
        basis=_basis(drawn),
        verdict=found.verdict,
        leader=motors[0].motor if found.verdict else None,
        lead_pct=Spread(found.lead.mean, found.lead.low90, found.lead.high90) if found.lead else None,
        settle=Settle(found.settle.runs, found.settle.why) if found.settle else Settle(None, None),
        bench=BenchLead(names[bench[0]], bench[1]) if bench else BenchLead(None, None),
        would_tell_most=WouldTell(
            names[telling.motor],
            telling.figure,
            "too_few_readings" if telling.measured_before else "not_measured",
            telling.chance_now,
            telling.chance_expected,
        )
        if telling
        else None,
        figures=_figure_bases(found.repeatability, found.weights, found.margins),
        motors=motors,
        not_ranked=gathered.not_ranked,
    )


def _basis(drawn: "Drawn") -> Basis:
    from pitbench.figures.criteria import UNSEEN_PCT

    load = drawn.asked.load
    return Basis(
        voltage_v=load.voltage,
        leads_mohm=load.leads * 1000,
        unseen_pct=UNSEEN_PCT,
        current_a=drawn.power.current,
        timing_deg=drawn.timing.timing_deg,
        motor_temp_c=drawn.warmth.motor_temp_c,
        rollout_mm=None,
        minutes=None,
        ambient_c=None,
    )


def _runs_by_motor(gathered: Gathered) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {motor["id"]: [] for motor in gathered.motors}
    for run in gathered.runs:
        found[run["motor_id"]].append(run)
    return found


def _ranked(gathered: Gathered, placed: "Placed", runs: Mapping[str, list[Row]]) -> RankedMotor:
    return RankedMotor(
        motor=gathered.motors[placed.motor]["name"],
        place=placed.place,
        chance_best=placed.chance_best,
        score_pct=placed.score.mean,
        score_low50=placed.low50,
        score_high50=placed.high50,
        score_low90=placed.score.low90,
        score_high90=placed.score.high90,
        group=placed.group,
        figures={name: _figure(placed.figures[name], placed.runs[name]) for name in NAMES},
        flags=_flags(gathered, placed, runs),
    )


def _figure(interval: "Interval | None", runs: int) -> FigureOf:
    if interval is None:
        return FigureOf(None, None, None, runs)
    return FigureOf(interval.mean, interval.low90, interval.high90, runs)


def _flags(gathered: Gathered, placed: "Placed", runs_of: Mapping[str, list[Row]]) -> list[str]:
    motor = gathered.motors[placed.motor]
    runs = runs_of[motor["id"]]
    raised = {
        "no_resistance": not placed.runs["resistance_mohm"],
        "one_run": len(runs) == 1,
        "no_timing": all(run_figures.timing_of(run) is None for run in runs),
        "check_motor": bool(motor.get("check_motor")),
        "run_does_not_fit": placed.does_not_fit,
        "voltage_assumed": motor["id"] in gathered.voltage_assumed,
    }
    return [flag for flag, up in raised.items() if up]


def _figure_bases(
    repeatability: Mapping[str, float | None], weights: Mapping[str, float], margins: Mapping[str, float]
) -> dict[str, FigureBasis]:
    return {name: FigureBasis(repeatability[name], weights[name], margins[name]) for name in NAMES}


def _class_name(gathered: Gathered) -> str | None:
    return gathered.class_row["name"] if gathered.class_row else None


def _nothing_ranked(
    gathered: Gathered, settings: "Settings", weights: Mapping[str, float], margins: Mapping[str, float]
) -> RankAnswer:
    """The answer when no motor can be ranked: every key, nothing known."""
    from pitbench.figures.ranking import margins_of, weights_of

    unknown = dict.fromkeys(NAMES)
    return RankAnswer(
        as_of=None,
        class_=_class_name(gathered),
        gearing_limit=gathered.gearing_limit,
        test_voltage_v=None,
        basis=Basis(None, settings.leads_mohm, None, None, None, None, None, None, None),
        verdict=None,
        leader=None,
        lead_pct=None,
        settle=Settle(None, None),
        bench=BenchLead(None, None),
        would_tell_most=None,
        figures=_figure_bases(unknown, weights_of(weights), margins_of(margins)),
        motors=[],
        not_ranked=gathered.not_ranked,
    )
