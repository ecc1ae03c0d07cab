"""The race day as a document: the answer first, then the plan, the ranking, what was run, what was changed."""

from typing import TYPE_CHECKING

from pitbench.paper.document import Bar, Document, Part, Picture, Table
from pitbench.records.spoken import capital
from pitbench.words import report as words
from pitbench.words import report_class as of_class
from pitbench.words.ranking import chance_number, headline, score_name

if TYPE_CHECKING:
    from pitbench.desk.answers import RankAnswer, Temperatures
    from pitbench.desk.race_day import DayClass, GiveOrTake, RaceDay
    from pitbench.records.units import Units

HALF_OF_NINETY = 0.6745 / 1.6449
"""The 75 % point of a normal by its 95 % point (any table of the normal distribution)."""
MOST_BARS = 24
"""Runs in the picture, the newest: it must leave room on the page. All stand in the table."""


def document_of(day: "RaceDay") -> Document:
    """Everything on it."""
    return Document(
        title=f"Race day: {day.name}",
        under=words.under_words(day),
        lead=[_lead(each, len(day.classes) > 1) for each in day.classes],
        parts=[*(_main(each, day) for each in day.classes), _runs(day), _changes(day)],
        last=words.last_words(day),
    )


def _lead(each: "DayClass", several: bool) -> str:
    said = headline(each.answer)[0]
    return f"{capital(of_class.class_words(each.name))}. {said}" if several else said


def _main(each: "DayClass", day: "RaceDay") -> Part:
    """The ranking and the plan of a class."""
    answer, lines = each.answer, each.planned.lines if each.planned else ()
    rows = [of_class.rank_row(answer, motor) for motor in answer.motors]
    plan = [of_class.plan_cells(line, day.units) for line in lines]
    ranked = [_scores(answer)] if len(answer.motors) > 1 else []
    return Part(
        title=f"For the main, {of_class.class_words(each.name)}",
        sentences=of_class.main_words(each, day),
        facts=of_class.plan_facts(each, day),
        warnings=[*of_class.plan_against(each, day), *of_class.rank_warnings(each)],
        pictures=[*ranked, *([_pinions(each, day)] if lines else [])],
        table=Table(of_class.rank_heads(answer), rows, of_class.RANK_NUMBERS) if rows else None,
        in_numbers=Table(of_class.PLAN_HEADS, plan, of_class.PLAN_NUMBERS) if plan else None,
    )


def _scores(answer: "RankAnswer") -> Picture:
    points = ("score_low90", "score_low50", "score_pct", "score_high50", "score_high90")
    bars = [
        Bar(motor.motor, [getattr(motor, name) for name in points], chance_number(motor.chance_best))
        for motor in answer.motors
    ]
    return Picture(capital(f"{score_name(answer)}, %"), "best, in 100", bars)


def _pinions(each: "DayClass", day: "RaceDay") -> Picture:
    assert each.plan is not None and each.planned is not None
    spur, units = each.plan.spur, day.units
    bars = [
        Bar(of_class.set_words(line, spur, units), _warm(line.finish, units), of_class.set_said(line, units))
        for line in each.planned.lines
    ]
    limit = day.units.degrees(day.team.ceiling_c)
    return Picture("Comes in at", f"over {limit}, in 100", bars, day.units.warmth(day.team.ceiling_c), f"your {limit}")


def _warm(found: "Temperatures", units: "Units") -> list[float]:
    points = (found.low90, found.low50, found.median, found.high50, found.high90)
    return [units.warmth(point) for point in points]


def _runs(day: "RaceDay") -> Part:
    """The runs in a table, finish temperature and pace as pictures beside each other."""
    runs, units = day.runs[-MOST_BARS:], day.units
    finishes = [
        Bar(
            words.run_words(run), [units.warmth(point) for point in _normal(run.finish)], words.finish_words(run, units)
        )
        for run in runs
        if run.finish
    ]
    paces = [Bar(words.run_words(run), _normal(run.pace), words.pace_words(run)) for run in runs if run.pace]
    limit = units.degrees(day.team.ceiling_c)
    heat = Picture(
        "Finish temperature",
        f"°{units.temperature} at one minute",
        finishes,
        units.warmth(day.team.ceiling_c),
        f"your {limit}",
    )
    pace = Picture("Pace against its day", "s a lap", paces)
    return Part(
        title="What was run",
        sentences=[text for text in (words.runs_words(day), words.benched_words(day)) if text],
        pictures=[picture for picture in (heat, pace) if picture.bars],
        table=Table(words.run_heads(units), [words.run_cells(run, day) for run in day.runs], words.RUN_NUMBERS)
        if day.runs
        else None,
    )


def _normal(found: "GiveOrTake") -> list[float]:
    """Its five points, as those of a normal."""
    fifty = found.half * HALF_OF_NINETY
    return [found.value + each for each in (-found.half, -fifty, 0.0, fifty, found.half)]


def _changes(day: "RaceDay") -> Part:
    rows = [words.change_cells(change, day) for change in day.changes]
    return Part(
        title="What was changed, and what it brought",
        sentences=[] if rows else ["No change is written down for this event."],
        table=Table(words.CHANGE_HEADS, rows, frozenset((0,))) if rows else None,
    )
