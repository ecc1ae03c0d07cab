"""The card for the main: motor, gears, timing, forecast, how sure, what speaks against it, what changes from last time.

Words only what the ranking, the forecast and the last run say already.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.desk.answers import RankAnswer, RankedMotor
from pitbench.records.numbers import shown
from pitbench.records.rounds import round_text
from pitbench.records.spoken import capital, gears_text, number_word
from pitbench.records.stamps import friendly
from pitbench.records.team import Team
from pitbench.records.units import Units
from pitbench.words.forecast import between
from pitbench.words.ranking import FLAGS, VERDICTS, chance_number, in_100, what_next
from pitbench.words.temperature import estimate_words, flag_words, more_than, start_words

if TYPE_CHECKING:
    from pitbench.desk.forecasting.forecast import Planned
    from pitbench.desk.forecasting.next_start import Start
    from pitbench.desk.forecasting.temperature import LastRun, Standing
    from pitbench.desk.forecasting.temperature_plan import PlanAnswer

MUCH = 0.10
"""More than this chance over the limit speaks against a plan."""
DOUBTS = ("something_changed", "delay_unknown", "rollout_outside", "length_outside")
"""Flags of the forecast that speak against trusting it on the day."""


@dataclass(frozen=True)
class MainCard:
    """Facts are (label, text) in the order of the pits; against, changes and tests are sentences, maybe none."""

    title: str
    motor: str
    facts: list[tuple[str, str]]
    against: list[str]
    changes: list[str]
    tests: list[str]


def main_card(
    rank: RankAnswer,
    last: "LastRun | None",
    start: "Start",
    standing: "Standing | None",
    plan: "Planned | None",
    planned: "PlanAnswer | None",
    team: Team,
    units: Units,
) -> MainCard | None:
    """The card of the ranking's leader; None where nothing is ranked. Plan and forecast may be missing."""
    if rank.leader is None:
        return None
    leader = rank.motors[0]
    when = f"   {start_words(start)}" if start.told else ""
    facts = [("motor", f"{leader.motor}, {_chance(rank, leader)}")]
    if plan is not None:
        facts += _plan_facts(plan, units)
    if plan is not None and planned is not None:
        facts.append(("comes in at", _forecast(planned, team.ceiling_c, units)))
    if standing is not None and standing.run is not None:
        facts.append(("now", _now(standing, units)))
    return MainCard(
        title=f"CARD FOR THE MAIN{when}",
        motor=leader.motor,
        facts=facts,
        against=list(_against(rank, leader, start, standing, plan, planned)),
        changes=list(_changes(leader, last, plan, units)),
        tests=[capital(text.removeprefix("Next: ")) for text in _tests(rank, team)],
    )


def _tests(rank: RankAnswer, team: Team) -> Iterator[str]:
    if text := what_next(rank, team.test_minutes, another_day=False):
        yield text


def _chance(rank: RankAnswer, leader: RankedMotor) -> str:
    verdict = VERDICTS[rank.verdict or "open"]
    of = number_word(len(rank.motors))
    return f"{verdict}: {chance_number(leader.chance_best)} in 100 that it is the best of {of}"


def _plan_facts(plan: "Planned", units: Units) -> list[tuple[str, str]]:
    unit = units.unit("max_rollout_mm")
    rollout = f"{units.short('max_rollout_mm', plan.rollout_mm)} {unit}"
    tyre = f"tyre {units.short('tyre_diameter_mm', plan.tyre_diameter_mm)} {unit}"
    facts = [("gears", f"{shown(plan.pinion)}/{shown(plan.spur)}, rollout {rollout}, {tyre}")]
    if plan.timing_mark_deg is not None:
        esc = f", ESC {shown(plan.esc_timing_deg)}°" if plan.esc_timing_deg else ""
        facts.append(("timing", f"mark {shown(plan.timing_mark_deg)}°{esc}"))
    return facts


def _forecast(planned: "PlanAnswer", ceiling_c: float, units: Units) -> str:
    here = planned.here
    nine = between(here.finish.low90, here.finish.high90, units)
    over = f"{in_100(here.chance_over)} over {units.degrees(ceiling_c)}"
    return f"about {units.degrees(here.finish.median)}, nine in ten {nine}; {over}"


def _now(standing: "Standing", units: Units) -> str:
    if standing.now is None:
        return "not known: it was run without an ambient"
    if not standing.told:
        return "not known: read it again"
    cool = f", cool by {standing.cool_at:%H:%M} nine times in ten" if standing.cool_at else ", cool"
    return f"{estimate_words(standing.now, units)}{cool}{', hot can' if standing.hot else ''}"


def _against(
    rank: RankAnswer,
    leader: RankedMotor,
    start: "Start",
    standing: "Standing | None",
    plan: "Planned | None",
    planned: "PlanAnswer | None",
) -> Iterator[str]:
    """What a racer would want to be told before bolting it in."""
    if rank.verdict != "clear" and len(rank.motors) > 1:
        second = rank.motors[1]
        chance = chance_number(second.chance_best)
        yield f"{chance} in 100 that {second.motor} is the best."
    if rank.bench.leader not in (None, leader.motor):
        yield f"Better on the bench, without load: {rank.bench.leader}."
    told = [FLAGS[flag] for flag in leader.flags if flag != "check_motor"]
    if told:
        yield f"{leader.motor}: {', '.join(told)}."
    if plan is None:
        yield "No plan: no track run tells gears, tyre and ambient."
    elif planned is not None:
        if more_than(planned.here.chance_over, MUCH):
            chance = in_100(planned.here.chance_over)
            yield f"{capital(chance)} that it passes your limit."
        if planned.here.illegal:
            yield f"Not legal by the class sheet: {planned.here.illegal}."
        if not planned.same_motor:
            yield f"{leader.motor} has no track run with a reading: the forecast is from other motors."
        yield from (f"{capital(flag_words(planned, flag))}." for flag in planned.flags if flag in DOUBTS)
    if standing is not None and standing.cool_at is not None and standing.cool_at > start.at:
        yield f"It may not be cool before {standing.cool_at:%H:%M}."


def _changes(leader: RankedMotor, last: "LastRun | None", plan: "Planned | None", units: Units) -> Iterator[str]:
    """Against the newest run of the class: motor, gears, tyre, timing."""
    if last is None:
        return
    if last.motor != leader.motor:
        yield f"motor {last.motor} to {leader.motor}"
    if plan is None:
        return
    gears = gears_text(last.run)
    now = f"{shown(plan.pinion)}/{shown(plan.spur)}"
    if gears and gears != now:
        yield f"gears {gears} to {now}"
    for field, label in (("tyre_diameter_mm", "tyre"), ("timing_mark_deg", "mark")):
        value = getattr(plan, field)
        if field in last.run and value is not None and value != last.run[field]:
            before = last.run[field]
            if field == "timing_mark_deg":
                yield f"{label} {shown(before)} to {shown(value)}°"
            else:
                yield f"{label} {units.short(field, before)} to {units.short(field, value)} {units.unit(field)}"


def last_run_words(last: "LastRun | None", now: datetime) -> str:
    """Which run the changes are counted from."""
    if last is None:
        return ""
    where = f" at {last.event}" if last.event else ""
    return f"{round_text(last.run) or 'the run'}{where}, {friendly(last.run['started_at'], now)}"
