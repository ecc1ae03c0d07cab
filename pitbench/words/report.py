"""A race day on paper, in words: cells of its tables, facts, what speaks against the plan, and the cautions.

Words only what the answer holds; how a document is written stands in the room `paper`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pitbench.records.laps import laps_text, time_text
from pitbench.records.numbers import shown
from pitbench.records.rounds import round_text
from pitbench.records.spoken import GEARING, capital, counted_words, gears_text, listed, number_word
from pitbench.records.stamps import friendly, moment
from pitbench.records.typed import label_of
from pitbench.words.cautions import BENCH, HOT_CAN, SWAP, TRACK
from pitbench.words.changes import brought_words, offered
from pitbench.words.forecast import between
from pitbench.words.load_log import told
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
from pitbench.words.temperature import against_words, longest_sets_words, more_than
from pitbench.words.waiting import asks, waits_words

if TYPE_CHECKING:
    from pitbench.desk.answers import RankAnswer, RankedMotor, Temperatures
    from pitbench.desk.forecasting.next_start import Start
    from pitbench.desk.forecasting.temperature_plan import PlanLine
    from pitbench.desk.race_day import DayChange, DayClass, DayRun, RaceDay
    from pitbench.records.kinds import Row
    from pitbench.records.units import Units

MUCH = 0.10
"""More than this chance over the limit speaks against a plan."""
CAUTIONS = (
    HOT_CAN,
    *BENCH.short,
    " ".join(TRACK.short[1:]),
    *SWAP.short,
    "Chances, forecasts and limits come from what was typed in. None says that a motor is safe, legal or fit for more.",
)
"""The short lines of all hazards: on paper none is folded away."""
MARGINS = "± holds the true figure nine times in ten. Minus in pace: quicker than usual that day."


def under_words(day: RaceDay) -> list[str]:
    """Where and when it was, and what was noted of it."""
    event = day.event
    where = [event.get(name, "") for name in ("track", "surface")]
    starts = f"starts: {event['start_times']}" if "start_times" in event else ""
    note = [event["note"]] if "note" in event else []
    first = capital("; ".join(text for text in (", ".join(filter(None, where)), starts) if text))
    return [text for text in (first, *note) if text]


def class_words(name: str) -> str:
    """A class as a heading says it."""
    return name or "no class named"


def runs_words(day: RaceDay) -> str:
    """How many track runs, or that there was none."""
    if not day.runs:
        return "No track run is written down for this event."
    motors = len({run.motor for run in day.runs})
    return f"{counted_words(len(day.runs), 'track run')} of {counted_words(motors, 'motor')}."


def benched_words(day: RaceDay) -> str:
    """What was run on the bench on the days of the event."""
    each = [f"{name} {counted_words(count, 'run')}" for name, count in day.benched.items()]
    return f"On the bench on its days: {', '.join(each)}." if each else ""


def run_heads(units: Units) -> list[str]:
    """Heads of `run_cells`; the places of those that are numbers follow from them."""
    heat, length = f"°{units.temperature}", units.length
    return [
        "start",
        "round",
        "motor",
        "pinion",
        "spur",
        f"rollout {length}",
        "mark °",
        "laps/time",
        "lap s",
        "pace s",
        f"ambient {heat}",
        f"read {heat}",
        f"finish {heat}",
        "besides",
    ]


RUN_NUMBERS = frozenset((0, *range(3, 13)))
"""Which columns are set to the right."""


def run_cells(run: DayRun, day: RaceDay) -> list[str]:
    """A track run in one row: as typed, the finish one minute after it, and all that is to be said besides."""
    row, units = run.row, day.units
    return [
        when_words(row["started_at"], day),
        round_text(row),
        run.motor,
        shown(row["pinion"]) if "pinion" in row else "·",
        shown(row["spur"]) if "spur" in row else "·",
        units.short("max_rollout_mm", run.rollout_mm),
        shown(row["timing_mark_deg"]) if "timing_mark_deg" in row else "·",
        laps_text(row.get("laps"), row.get("run_time_s")) or "·",
        "·" if run.average_lap_s is None else f"{run.average_lap_s:.2f}",
        pace_words(run),
        units.short("ambient_c", row.get("ambient_c"), 0),
        _read(row, units),
        finish_words(run, units),
        "; ".join(_besides(run, units)),
    ]


def when_words(stamp: str, day: RaceDay) -> str:
    """The time of day, with the day where the event has several."""
    when, clock = moment(stamp), "T" in stamp
    days = {each.row["started_at"][:10] for each in day.runs} | {each.row["written_at"][:10] for each in day.changes}
    one = days <= {day.event["date"][:10]}
    told = [] if one and clock else [f"{when.day} {when:%b}"]
    return " ".join([*told, *([f"{when:%H:%M}"] if clock else [])])


def finish_words(run: DayRun, units: Units) -> str:
    """The can one minute after the finish, without its unit; a dot where no reading tells."""
    return units.give_or_take(run.finish.value, run.finish.half).rpartition(" ")[0] if run.finish else "·"


def pace_words(run: DayRun) -> str:
    """Seconds a lap against its day; a dot where nothing tells."""
    return f"{run.pace.value:+z.2f} ±{run.pace.half:.2f}" if run.pace else "·"


def run_words(run: DayRun) -> str:
    """A run by its motor and round."""
    kind = str(run.row.get("round_kind", ""))
    short = kind if kind == "main" or "round" not in run.row else f"{kind[:1].upper()}{run.row['round']}"
    return " ".join(text for text in (run.motor, short, run.row.get("round", "") if kind == "main" else "") if text)


def _read(row: Row, units: Units) -> str:
    """What the thermometer said, and how many seconds after the finish."""
    if "finish_reading_c" not in row:
        return "·"
    after = f" at {row['finish_reading_after_s']:.0f} s" if "finish_reading_after_s" in row else ""
    return f"{units.warmth(row['finish_reading_c']):.0f}{after}"


def _besides(run: DayRun, units: Units) -> Iterator[str]:
    """What counts against the run first, then what came of it, then what it was run with."""
    row = run.row
    if "excluded_why" in row:
        yield f"! left out: {row['excluded_why']}"
    if "waits" in row:
        yield f"! waits for your answer: {listed([label_of(name) for name in row['waits']])}"
    if "kept" in row:
        yield f"! kept as typed: {listed([label_of(name) for name in row['kept']])}"
    if "incident" in row:
        yield f"! {row['incident']}"
    yield from (str(row[name]) for name in ("result", "note") if name in row)
    if run.later:
        yield "then " + ", ".join(
            f"{units.degrees(each['temp_c'])} at {time_text(round(each['after_s']))}" for each in run.later
        )
    if "esc_temp_c" in row:
        yield f"ESC {units.degrees(row['esc_temp_c'])}"
    if "charge_used_mah" in row:
        yield f"{shown(row['charge_used_mah'])} mAh"
    if "tyre" in row:
        yield str(row["tyre"])
    yield from (f"load log: {told(log)}" for log in run.logs)


CHANGE_HEADS = ("written", "motor, car", "what", "was", "now", "why", "outcome", "what it brought")


def change_cells(change: DayChange, day: RaceDay) -> list[str]:
    """An entry of the setup log in one row."""
    row, of = change.row, change.judged.change
    offer = offered(change.judged) if "outcome" not in row else ""
    return [
        when_words(row["written_at"], day),
        ", ".join(text for text in (of.motor or "", change.car) if text),
        row["what"],
        row.get("was", "·"),
        row.get("now", "·"),
        row.get("why", ""),
        row.get("outcome", f"open; offered: {offer}" if offer else "open"),
        " ".join(brought_words(change.judged, day.units)),
    ]


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


def basis_words(answer: RankAnswer) -> list[str]:
    """What the ranking stands on, and who cannot be told apart."""
    newest = f", newest run {friendly(answer.as_of, None)}" if answer.as_of else ""
    first = f"{capital(GEARING[answer.gearing_limit])}; {conditions(answer)}{newest}."
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
    unit = units.length
    rollout = f"rollout {units.short('max_rollout_mm', plan.rollout_mm)} {unit}"
    tyre = f"tyre {units.short('tyre_diameter_mm', plan.tyre_diameter_mm)} {unit}"
    facts.append(("gears", f"{shown(plan.pinion)}/{shown(plan.spur)}, {rollout}, {tyre}"))
    if plan.timing_mark_deg is not None:
        esc = f", ESC {shown(plan.esc_timing_deg)}°" if plan.esc_timing_deg else ""
        facts.append(("timing", f"mark {shown(plan.timing_mark_deg)}°{esc}"))
    start = "at ambient" if plan.start_c is None else units.degrees(plan.start_c)
    facts.append(("run", f"{time_text(plan.length_s)}, ambient {units.degrees(plan.ambient_c)}, started {start}"))
    if each.planned is not None:
        here = each.planned.here
        facts.append(("comes in at", f"{_comes_in(here.finish, units)}; {_over(here, day)}"))
        facts.append(("how far", longest_sets_words(each.planned, units)))
    return [*facts, *_since(each)]


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
    if each.plan is None:
        yield "No plan: no track run tells gears, tyre and ambient."
    elif planned is None:
        yield f"No forecast: your limit of {day.units.degrees(day.team.ceiling_c)} is not above the ambient."
    else:
        if more_than(planned.here.chance_over, MUCH):
            yield f"{capital(in_100(planned.here.chance_over))} that it passes your limit."
        if planned.here.illegal:
            yield f"Not legal by the class sheet: {planned.here.illegal}."
        if not planned.same_motor:
            yield f"{leader.motor} has no track run with a reading: the forecast is from other motors."
        yield from against_words(planned)


def main_words(each: DayClass, day: RaceDay) -> list[str]:
    """What to test yet, who is better on the bench, what the ranking stands on; or why nothing is ranked."""
    answer = each.answer
    if answer.leader is None:
        return headline(answer)
    return [*headline(answer, day.team.test_minutes)[1:], *basis_words(answer)]


def _since(each: DayClass) -> list[tuple[str, str]]:
    """What changes from the last run of the class at the event to the plan."""
    last, plan = each.last, each.plan
    if last is None or plan is None:
        return []
    said = [] if last.motor == each.answer.leader else [f"motor {last.motor} to {each.answer.leader}"]
    gears, now = gears_text(last.row), f"{shown(plan.pinion)}/{shown(plan.spur)}"
    said += [f"gears {gears} to {now}"] if gears and gears != now else []
    mark = last.row.get("timing_mark_deg")
    if mark is not None and plan.timing_mark_deg not in (None, mark):
        said.append(f"mark {shown(mark)}° to {shown(plan.timing_mark_deg or 0.0)}°")
    return [(f"since {round_text(last.row) or 'the last run'}", ", ".join(said) or "same motor, gears and mark")]


def set_words(line: PlanLine, spur: float, units: Units) -> str:
    """A set of gears as its bar is called; marked where it is the planned one, or not legal."""
    mark = "! " if line.illegal else "▸ " if line.planned else ""
    return f"{mark}{shown(line.pinion)}/{shown(spur)} {units.short('max_rollout_mm', line.rollout_mm)} {units.length}"


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


def last_words(day: RaceDay) -> list[str]:
    """Numbers that wait, how to read it, and the cautions: none is ever left out."""
    waits = waits_words(day.waiting, f"{asks()} in the app")
    return [*([f"! {waits}"] if waits else []), MARGINS, *CAUTIONS]
