"""A class on paper, in words: its ranking, the plan for its main and what speaks against it.

Words only what the answer holds; the race day around it stands in `report`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pitbench.records.laps import time_text
from pitbench.records.numbers import shown
from pitbench.records.rounds import round_text
from pitbench.records.spoken import GEARING, capital, number_word
from pitbench.records.stamps import friendly
from pitbench.words.forecast import between
from pitbench.words.main_card import changes, gears, mark, plan_doubts, rollout_and_tyre
from pitbench.words.ranking import (
    FLAGS,
    VERDICTS,
    cannot_be_told,
    chance_number,
    conditions,
    headline,
    in_100,
    not_ranked_words,
    odd_run_words,
    rank_cells,
    score_name,
)
from pitbench.words.temperature import against_words, longest_sets_words

if TYPE_CHECKING:
    from pitbench.desk.answers import RankAnswer, RankedMotor, Temperatures
    from pitbench.desk.forecasting.next_start import Start
    from pitbench.desk.forecasting.temperature_plan import PlanLine
    from pitbench.desk.race_day import DayClass, RaceDay
    from pitbench.records.units import Units


def class_words(name: str) -> str:
    """A class as a heading says it."""
    return name or "no class named"


def rank_heads(answer: RankAnswer) -> list[str]:
    """Heads of `rank_row`."""
    return [
        "place",
        "motor",
        f"{score_name(answer)} %",
        "KV rpm/V",
        "current A",
        "winding mΩ",
        "bench runs",
        "best, in 100",
        "besides",
    ]


RANK_NUMBERS = frozenset((0, *range(2, 8)))


def rank_row(answer: RankAnswer, motor: RankedMotor) -> list[str]:
    """A ranked motor in one row."""
    return [*rank_cells(answer, motor), _flags(motor)]


def _flags(motor: RankedMotor) -> str:
    """What is to be said of a motor; a mark where it is a doubt."""
    doubts = [FLAGS[flag] for flag in motor.flags if flag != "check_motor"]
    check = [FLAGS["check_motor"]] if "check_motor" in motor.flags else []
    return "; ".join([*check, *([f"! {', '.join(doubts)}"] if doubts else [])])


def basis_words(answer: RankAnswer, units: Units) -> list[str]:
    """What the ranking stands on, and who cannot be told apart."""
    newest = f", newest run {friendly(answer.as_of, None)}" if answer.as_of else ""
    first = f"{capital(GEARING[answer.gearing_limit])}; {conditions(answer, units)}{newest}."
    return [first, *cannot_be_told(answer)]


def rank_warnings(each: DayClass) -> list[str]:
    """Odd runs, and motors that are not ranked."""
    odd = [odd_run_words(run, None) for run in each.odd_runs if run.plain]
    return [*odd, *(f"{m.motor} is not ranked: {not_ranked_words(m.why)}." for m in each.answer.not_ranked)]


def plan_facts(each: DayClass, day: RaceDay) -> list[tuple[str, str]]:
    """Motor, start, gears, timing, length, and what it should come in at."""
    answer, plan, units = each.answer, each.plan, day.units
    if answer.leader is None:
        return []
    leader = answer.motors[0]
    sure = f"{VERDICTS[answer.verdict or 'open']}: {in_100(leader.chance_best)}"
    facts = [("motor", f"{leader.motor}, {sure} to be the best of {number_word(len(answer.motors))}")]
    if day.to_come:
        facts.append(("to come", ", ".join(_start(start, day) for start in day.to_come)))
    if plan is None:
        return facts
    facts.append(("gears", f"{gears(plan)}, {rollout_and_tyre(plan, units)}"))
    facts += [("timing", mark(plan))] if mark(plan) else []
    start = "at ambient" if plan.start_c is None else units.degrees(plan.start_c)
    facts.append(("run", f"{time_text(plan.length_s)}, ambient {units.degrees(plan.ambient_c)}, started {start}"))
    if each.planned is not None:
        here = each.planned.here
        facts.append(("comes in at", f"{_comes_in(here.finish, units)}; {_over(here, day)}"))
        facts.append(("how far", longest_sets_words(each.planned, units)))
    return [*facts, *_since(each, leader.motor, units)]


def _start(start: Start, day: RaceDay) -> str:
    on = "" if start.at.date() == day.at.date() else f"{start.at.day} {start.at:%b}"
    return " ".join(text for text in (start.round, on, f"{start.at:%H:%M}") if text)


def _comes_in(finish: Temperatures, units: Units) -> str:
    half, nine = between(finish.low50, finish.high50, units), between(finish.low90, finish.high90, units)
    return f"about {units.degrees(finish.median)} at one minute, half of them {half}, nine in ten {nine}"


def _over(here: PlanLine, day: RaceDay) -> str:
    return f"{in_100(here.chance_over)} over {day.units.degrees(day.team.ceiling_c)}"


def plan_against(each: DayClass, day: RaceDay) -> Iterator[str]:
    """All that speaks against bolting it in."""
    answer, planned = each.answer, each.planned
    if answer.leader is None:
        return
    leader = answer.motors[0]
    if answer.verdict != "clear":
        second = answer.motors[1]
        yield f"{chance_number(second.chance_best)} in 100 that {second.motor} is the best."
    yield from (f"{leader.motor}: {FLAGS[flag]}." for flag in leader.flags if flag != "check_motor")
    yield from plan_doubts(each.plan, planned, leader.motor, day.units.degrees(day.team.ceiling_c))
    yield from against_words(planned) if planned else ()


def main_words(each: DayClass, day: RaceDay) -> list[str]:
    """What to test yet, who is better on the bench, what the ranking stands on; the page begins with who leads, or with
    why nobody can."""
    basis = basis_words(each.answer, day.units) if each.answer.leader else []
    return [*headline(each.answer, day.team.test_minutes)[1:], *basis]


def _since(each: DayClass, motor: str, units: Units) -> list[tuple[str, str]]:
    """What the plan changes from the last run of the class at the event."""
    last = each.last
    if last is None or each.plan is None:
        return []
    said = ", ".join(changes(each.plan, motor, last.motor, last.row, units)) or "same motor, gears, mark, tyres"
    return [(f"since {round_text(last.row) or 'the last run'}", said)]


def set_words(line: PlanLine, spur: float, units: Units) -> str:
    """A set of gears as its bar is called; marked where it is the planned one, or not legal."""
    sign = "! " if line.illegal else "▸ " if line.planned else ""
    return f"{sign}{shown(line.pinion)}/{shown(spur)} {units.short('max_rollout_mm', line.rollout_mm)} {units.length}"


def set_said(line: PlanLine, units: Units) -> str:
    """What is said behind that bar."""
    return f"{units.degrees(line.finish.median)}, {chance_number(line.chance_over)}"


PLAN_HEADS = ("pinion", "rollout", "comes in at", "half of them", "nine in ten", "over the limit", "")
PLAN_NUMBERS = frozenset(range(6))


def plan_cells(line: PlanLine, units: Units) -> list[str]:
    """A pinion of the plan in one row."""
    finish = line.finish
    said = ["planned"] if line.planned else []
    said += [] if line.owned else ["not yours"]
    said += [f"! not legal by the class sheet: {line.illegal}"] if line.illegal else []
    return [
        shown(line.pinion),
        f"{units.short('max_rollout_mm', line.rollout_mm)} {units.length}",
        units.degrees(finish.median),
        between(finish.low50, finish.high50, units),
        between(finish.low90, finish.high90, units),
        in_100(line.chance_over),
        ", ".join(said),
    ]
