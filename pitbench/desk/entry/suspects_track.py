"""What is possible and yet unlikely in a track run or a cooling reading. Nothing is refused here.

Besides its likely range a number is held against the others of its run, the event, and what the runs nearest in time
lead to expect (`foreseen_track`). The form and `load` both ask here. Tolerances are ours (common practice, no source)
and stand with their reasons.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from math import exp, inf, log
from statistics import median

from pitbench.desk.entry.foreseen_track import ForeseenTrack
from pitbench.desk.entry.mistyped import Doubted, Typed, doubted
from pitbench.desk.entry.mistyped_alone import Alone
from pitbench.desk.entry.slips import FIELDS_SWAPPED
from pitbench.desk.entry.suspects import (
    EXPECTED,
    RunSuspect,
    asked,
    cause_of,
    one_a_field,
    out_of_range,
    spanned,
    unlikely,
    with_cause,
    worded,
)
from pitbench.desk.entry.waiting import Kept
from pitbench.figures.foreseen import Normal
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row
from pitbench.records.numbers import shown

ROUNDING_S = 0.05
"""Half of the last place a lap time is written down with when a tenth is enough."""
DAYS_BEFORE, DAYS_AFTER = 2, 7
"""A run belongs to an event from two days before its first date (practice) to a week after it."""
ENOUGH_LAPS = 5
LAPS_APART, TOO_FAST, TOO_SLOW = 2.0, 0.88, 1.9
"""Percent by which laps differ at least, and how many times the usual lap is faster, or slower, than any."""
FALLS_S = 700.0
"""Seconds in which a can in still air falls by two thirds."""
HOT = ("finish_reading_c", "esc_temp_c")


def track_suspects(
    run: Row,
    event: Row | None,
    known: ForeseenTrack | None = None,
    kept: Kept | None = None,
    typed: Mapping[str, Typed] | None = None,
) -> list[RunSuspect]:
    """Suspects of a track run as stored (or as typed so far) of that event, at most one a field, in their order.

    known: the runs it is held against. Not what is near a number of its motor that was kept. typed: its texts.
    """
    found: dict[str, Doubted] = {}
    if known is not None and "excluded_why" not in run:
        values = {name: run[name] for name in run if name in QUANTITIES and isinstance(run[name], int | float)}
        found = doubted(values, typed or {}, known.blocks(run))
    laps = (*_odd_lap(run), *_sum_of_laps(run), *_laps(run))  # one odd lap makes the sum wrong as well: it tells why
    ruled = (*_event(run, event), *_gears(run, found), *laps, *_temperatures(run))
    every = [
        *(with_cause(each, found.get(each.column)) for each in ruled),
        *(_expected(name, run[name], each) for name, each in found.items()),
        *unlikely(run, typed),
    ]
    if kept is not None and "motor_id" in run:
        every = [each for each in every if not kept.near(run["motor_id"], each.column, _numbers(run, each.column))]
    return one_a_field(every)


def _numbers(run: Row, column: str) -> list[float]:
    value = run.get(column)
    return [*value] if isinstance(value, list | tuple) else [value] if isinstance(value, int | float) else [inf]


def _expected(name: str, value: float, judged: Doubted) -> RunSuspect:
    low, high = QUANTITIES[name].likely
    if not low <= value <= high:
        return out_of_range(name, value, judged)
    places = QUANTITIES[name].decimals
    return spanned(name, value, EXPECTED, (round(judged.low, places), round(judged.high, places)), "foreseen", judged)


def cooling_suspects(reading: Row, run: Row, typed: Mapping[str, Typed] | None = None) -> list[RunSuspect]:
    """Suspects of a cooling reading after that track run."""
    found = {suspect.column: suspect for suspect in unlikely(reading, typed)}
    should = _cooled(reading, run)
    judged = None
    if should is not None:
        alone = Alone("temp_c", reading["temp_c"], should)
        judged = doubted({"temp_c": reading["temp_c"]}, typed or {}, [alone]).get("temp_c")
    if judged is not None:
        found["temp_c"] = _expected("temp_c", reading["temp_c"], judged)
    below = [with_cause(each, judged) for each in _below(reading, "temp_c", run.get("ambient_c"), "below the ambient")]
    return list({**found, **{suspect.column: suspect for suspect in below}}.values())


def _cooled(reading: Row, run: Row) -> Normal | None:
    """About where a can stands by then: it falls towards the air."""
    air, hot, after = run.get("ambient_c"), run.get("finish_reading_c"), reading.get("after_s")
    if air is None or hot is None or after is None or "temp_c" not in reading or hot <= air:
        return None
    rise = (hot - air) * exp(-max(0.0, after - run.get("finish_reading_after_s", 60.0)) / FALLS_S)
    return Normal(air + rise, (4.0 + 0.25 * rise) ** 2)


def _event(run: Row, event: Row | None) -> Iterable[RunSuspect]:
    if event is None or "started_at" not in run:
        return
    days = (date.fromisoformat(run["started_at"][:10]) - date.fromisoformat(event["date"][:10])).days
    if not -DAYS_BEFORE <= days <= DAYS_AFTER:
        why = f"Start {run['started_at'][:10]}: {event['name']} began on {event['date'][:10]}."
        yield RunSuspect("started_at", float(days), why, "event")


def _gears(run: Row, found: Mapping[str, Doubted]) -> Iterable[RunSuspect]:
    """A pinion larger than the spur: swapped, unless one of them is the likelier slip."""
    pinion, spur = run.get("pinion"), run.get("spur")
    slipped = any(name in found and found[name].cause != FIELDS_SWAPPED for name in ("pinion", "spur"))
    if pinion is not None and spur is not None and pinion > spur and not slipped:
        larger = worded("pinion", pinion, f"larger than the spur, {shown(spur)}", "gears", "the two swapped")
        yield replace(larger, suggested=spur, other="spur")
        smaller = worded("spur", spur, f"smaller than the pinion, {shown(pinion)}", "gears", "the two swapped")
        yield replace(smaller, suggested=pinion, other="pinion")


def _sum_of_laps(run: Row) -> Iterable[RunSuspect]:
    """The laps against the run time. They need not sum to it: when time is up during a lap, that lap is still driven to
    its end, so they may exceed the run time by up to the last lap; one broken off is not counted, so they may fall
    short by less than the fastest. A lap missed or typed twice lies beyond both.
    """
    time, laps = run.get("run_time_s"), list(run.get("lap_times_s") or ())
    if time is None:
        return
    if laps:
        total, last, fastest, what = sum(laps), laps[-1], min(laps), f"{len(laps)} laps"
    elif run.get("laps") and "average_lap_s" in run:
        last = fastest = run["average_lap_s"]
        total, what = run["laps"] * last, f"{shown(run['laps'])} laps of {shown(last)} s"
    else:
        return
    if -fastest + ROUNDING_S < total - time <= last + ROUNDING_S:
        return
    why = f"{what} make {shown(round(total, 2))} s, the run time is {shown(time)} s"
    column = "lap_times_s" if laps else "laps"
    yield RunSuspect(column, total, f"{QUANTITIES[column].label.capitalize()}: {why}.", "laps")


def _laps(run: Row) -> Iterable[RunSuspect]:
    """Number of laps, best and average against each other and against the lap times."""
    times, best, average = list(run.get("lap_times_s") or ()), run.get("best_lap_s"), run.get("average_lap_s")
    if times and "laps" in run and run["laps"] != len(times):
        yield worded("laps", run["laps"], f"{len(times)} lap times are given", "laps")
    if times and best is not None and abs(best - min(times)) > ROUNDING_S:
        yield worded("best_lap_s", best, f"the fastest of the lap times is {shown(min(times))} s", "laps")
    fastest = best if best is not None else min(times, default=None)
    if average is not None and fastest is not None and average < fastest - ROUNDING_S:
        yield worded("average_lap_s", average, f"faster than the best lap, {shown(fastest)} s", "laps")
    yield from _best_against_time(run)
    low, high = QUANTITIES["lap_times_s"].likely
    odd = next(((place, lap) for place, lap in enumerate(times, 1) if not low <= lap <= high), None)
    if odd is not None:
        why = f"Lap {odd[0]}, {shown(odd[1])}: {shown(low)} to {shown(high)} s is usual."
        yield RunSuspect("lap_times_s", odd[1], why, "range")


def _odd_lap(run: Row) -> Iterable[RunSuspect]:
    """A lap faster than any car, or one so slow that a slip explains it better than what happens on a track."""
    times = list(run.get("lap_times_s") or ())
    if len(times) < ENOUGH_LAPS:
        return
    usual = median(times)
    spread = max(LAPS_APART, 148.26 * median(abs(log(lap / usual)) for lap in times))
    should = Normal(100 * log(usual), spread**2)
    for place, lap in enumerate(times):
        if TOO_FAST * usual <= lap <= TOO_SLOW * usual:
            continue
        judged = doubted({"lap_times_s": lap}, {}, [Alone("lap_times_s", lap, should)]).get("lap_times_s")
        if judged is None or (lap > usual and judged.meant is None):
            continue
        low, high = (shown(round(end, 1)) for end in (judged.low, judged.high))
        question = asked(cause_of(judged) or "misread")
        said = f"Lap {place + 1}, {shown(lap)}: {low} to {high} s would be expected.{question}"
        yield RunSuspect(
            "lap_times_s", lap, said, "laps", cause_of(judged) or "unknown", judged.meant, round(judged.chance, 4),
            asks=question, place=place,
        )  # fmt: skip
        return


def _best_against_time(run: Row) -> Iterable[RunSuspect]:
    """So many laps cannot all be slower than the best; the last of them may end after the time is up."""
    laps, best, time = run.get("laps"), run.get("best_lap_s"), run.get("run_time_s")
    if laps and best is not None and time is not None and (laps - 1) * (best - ROUNDING_S) > time:
        yield worded("best_lap_s", best, f"{shown(laps)} laps in {shown(time)} s are faster on average", "laps")


def _temperatures(run: Row) -> Iterable[RunSuspect]:
    for name in HOT:
        yield from _below(run, name, run.get("ambient_c"), "below the ambient")
    yield from _below(run, "finish_reading_c", run.get("start_temp_c"), "colder than at the start")


def _below(row: Row, name: str, bound: float | None, words: str) -> Iterable[RunSuspect]:
    if bound is not None and name in row and row[name] < bound:
        suspect = worded(name, row[name], f"{words}, {shown(round(bound, 1))} °C", "warmth")
        yield replace(suspect, against=(words, bound))
