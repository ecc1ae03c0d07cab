"""The card for the main: motor, gears, timing, how sure, what speaks against it, what changes from last time, and what
can still be tested.

Words only what the ranking, the forecast and the last run say already.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.desk.answers import NextTest, OddRun, RankAnswer, RankedMotor
from pitbench.records.numbers import shown
from pitbench.records.rounds import round_text
from pitbench.records.spoken import capital, gears_text, number_word
from pitbench.records.stamps import friendly
from pitbench.records.team import Team
from pitbench.records.units import Units
from pitbench.words.ranking import FLAGS, VERDICTS, chance_number, in_100, test_words, what_is_odd, what_next
from pitbench.words.temperature import estimate_words, flag_words, more_than, start_words

if TYPE_CHECKING:
    from pitbench.desk.forecasting.forecast import Planned
    from pitbench.desk.forecasting.next_start import Start
    from pitbench.desk.forecasting.temperature import LastRun, Standing
    from pitbench.desk.forecasting.temperature_plan import PlanAnswer
    from pitbench.records.kinds import Row

MUCH = 0.10
"""More than this chance over the limit speaks against a plan."""
DOUBTS = ("something_changed", "delay_unknown", "rollout_outside", "length_outside")
"""Flags of the forecast that speak against trusting it on the day."""
HOURS_FROM = 90
"""Minutes to the start from which they are said in hours."""
CAUTION = "Hot can: no fingers. Pack cool before charging; charging watched. Makers first."


@dataclass(frozen=True)
class CardFor:
    """What a card is about: the ranking with its odd runs, the next start, and where its leader and its plan stand."""

    rank: RankAnswer
    odd_runs: Sequence[OddRun]
    start: "Start"
    now: datetime
    standing: "Standing | None"
    plan: "Planned | None"
    planned: "PlanAnswer | None"
    team: Team
    units: Units

    @property
    def leader(self) -> RankedMotor:
        return self.rank.motors[0]

    @property
    def minutes(self) -> int:
        """Until the start."""
        return max(0, int((self.start.at - self.now).total_seconds() // 60))


def title(card: CardFor) -> str:
    """When it is for, and how long until then."""
    minutes = card.minutes
    until = f"{minutes} min" if minutes < HOURS_FROM else f"{minutes / 60:.0f} h"
    main = card.start.told and card.start.round.casefold().startswith("main")
    at = f" at {card.start.at:%H:%M}" if main else f"   {start_words(card.start)}"
    return f"CARD FOR THE MAIN{at}, in {until}"


def gears(plan: "Planned") -> str:
    """Pinion and spur."""
    return f"{shown(plan.pinion)}/{shown(plan.spur)}"


def mark(plan: "Planned") -> str:
    """The timing mark, and what the speed control adds; empty where no run tells it."""
    if plan.timing_mark_deg is None:
        return ""
    return f"mark {shown(plan.timing_mark_deg)}°{f', ESC {shown(plan.esc_timing_deg)}°' if plan.esc_timing_deg else ''}"


def rollout_and_tyre(plan: "Planned", units: Units) -> str:
    """How far the car goes in a turn of the motor, and on what tyre."""
    rollout = f"{units.short('max_rollout_mm', plan.rollout_mm)} {units.unit('max_rollout_mm')}"
    tyre = f"tyre {units.short('tyre_diameter_mm', plan.tyre_diameter_mm)} {units.unit('tyre_diameter_mm')}"
    return f"rollout {rollout}, {tyre}"


def sure(card: CardFor) -> str:
    """How sure it is, and where its can stands if it was run today."""
    if card.rank.verdict is None:
        return "alone in its class: nothing to compare it with"
    of = number_word(len(card.rank.motors))
    said = f"{VERDICTS[card.rank.verdict]}: {in_100(card.leader.chance_best)} to be the best of {of}"
    now = _now(card.standing, card.units) if card.standing is not None and card.standing.run is not None else ""
    return f"{said}   now {now}" if now else said


def _now(standing: "Standing", units: Units) -> str:
    if standing.now is None:
        return "not known: it was run without an ambient"
    if not standing.told:
        return "not known: read it again"
    cool = f", cool by {standing.cool_at:%H:%M}" if standing.cool_at else ", cool"
    return f"{estimate_words(standing.now, units)}{cool}{', hot can' if standing.hot else ''}"


def against(card: CardFor) -> list[str]:
    """What a racer would want to be told before bolting it in, maybe nothing."""
    return [*_against_motor(card), *_against_plan(card)]


def _against_motor(card: CardFor) -> Iterator[str]:
    rank, leader = card.rank, card.leader.motor
    if rank.bench.leader not in (None, leader):
        yield f"{rank.bench.leader} is better on the bench, without load."
    odd = [each for each in card.odd_runs if each.motor == leader]
    said = {"check_motor", *(["run_does_not_fit"] if odd else [])}
    yield from (f"{leader}'s {what_is_odd(each, card.now)}." for each in odd[:1])
    told = [FLAGS[flag] for flag in card.leader.flags if flag not in said]
    if told:
        yield f"{leader}: {', '.join(told)}."
    if card.standing is not None and card.standing.cool_at is not None and card.standing.cool_at > card.start.at:
        yield f"It may not be cool before {card.standing.cool_at:%H:%M}."


def _against_plan(card: CardFor) -> Iterator[str]:
    planned, limit = card.planned, card.units.degrees(card.team.ceiling_c)
    yield from plan_doubts(card.plan, planned, card.leader.motor, limit)
    if planned is not None:
        yield from (f"{capital(flag_words(planned, flag))}." for flag in planned.flags if flag in DOUBTS)


def plan_doubts(plan: "Planned | None", planned: "PlanAnswer | None", motor: str, limit: str) -> Iterator[str]:
    """What speaks against a plan of a motor besides flags of its forecast; planned: what is forecast for it."""
    if plan is None:
        yield "No plan: no track run tells gears, tyre and ambient."
    elif planned is None:
        yield f"Your temperature limit, {limit}, is not above the ambient: no forecast."
    else:
        if more_than(planned.here.chance_over, MUCH):
            yield f"{capital(in_100(planned.here.chance_over))} that it passes {limit}."
        if planned.here.illegal:
            yield f"Not legal by the class sheet: {planned.here.illegal}."
        if not planned.same_motor:
            yield f"{motor} has no track run with a reading: the forecast is from other motors."


def since(card: CardFor, last: "LastRun | None", came_in: float | None) -> str:
    """The newest run of the class, what it came in at and how it went, and what is another since."""
    if last is None:
        return ""
    said = [card.units.degrees(came_in) if came_in is not None else "", last.run.get("result", "")]
    came = ", ".join(filter(None, said))
    head = f"SINCE {round_text(last.run) or 'the run'}, {friendly(last.run['started_at'], card.now)}"
    changed = list(changes(card.plan, card.leader.motor, last.motor, last.run, card.units))
    same = "Same motor, gears, mark, tyres." if not changed else f"{capital(', '.join(changed))}."
    return f"{head}{f': {came}' if came else ''}. {same}"


def changes(plan: "Planned | None", motor: str, motor_before: str, run: "Row", units: Units) -> Iterator[str]:
    """What a plan changes from a run that was made with a motor before: motor, gears, tyre, timing."""
    if motor_before != motor:
        yield f"motor {motor_before} to {motor}"
    if plan is None:
        return
    before = gears_text(run)
    if before and before != gears(plan):
        yield f"gears {before} to {gears(plan)}"
    for field, label in (("tyre_diameter_mm", "tyre"), ("timing_mark_deg", "mark")):
        value, was = getattr(plan, field), run.get(field)
        if was is not None and value is not None and value != was:
            if field == "timing_mark_deg":
                yield f"{label} {shown(was)} to {shown(value)}°"
            else:
                yield f"{label} {units.short(field, was)} to {units.short(field, value)} {units.unit(field)}"


def to_test(card: CardFor, minutes: float, test: NextTest | None) -> str:
    """What can still be tested in so many minutes; `test` is the one that tells most for them."""
    if card.rank.verdict is None:
        return ""
    head = f"IN {'' if minutes < card.team.test_minutes else 'YOUR '}{minutes:.0f} MINUTES: "
    if card.rank.verdict == "clear":
        return f"{head}nothing more to test, it is clear."
    if minutes == 0:
        return f"IN {card.minutes} MINUTES: no time to test anything."
    if test is None or test.test == "session":
        said = what_next(replace(card.rank, next_test=test), minutes, another_day=False)
        return f"{head}{said[:1].lower()}{said[1:]}"
    what = test_words(test).removeprefix("Next: ")
    return f"{head}{what}: {chance_number(test.chance_now)} now, {in_100(test.chance_expected)} expected."


def shares(rank: RankAnswer, most: int) -> list[tuple[str, float]]:
    """Chance of being best of the leader and the likeliest others, and of all the rest together."""
    leader, *others = rank.motors
    others.sort(key=lambda each: -each.chance_best)
    told = [(each.motor, each.chance_best) for each in (leader, *others)]
    if len(told) <= most + 1:
        return told
    rest = told[most:]
    return [*told[:most], (f"{number_word(len(rest))} more", sum(chance for _, chance in rest))]


def chance_over_words(chance: float) -> str:
    """A chance over the limit in a cell, marked where it is more than allowed."""
    return f"{'! ' if more_than(chance, MUCH) else ''}{chance_number(chance)}"
