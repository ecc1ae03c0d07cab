"""What is possible and yet unlikely in a track run or a cooling reading. Nothing is refused here.

Besides its likely range a number is held against the others of its run and against the event. The form and `load` both
ask here. Tolerances are ours (common practice, no source) and stand with their reasons.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from pitbench.desk.entry.suspects import RunSuspect, one_a_field, unlikely, worded
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row
from pitbench.records.numbers import shown

ROUNDING_S = 0.05
"""Half of the last place a lap time is written down with when a tenth is enough."""
DAYS_BEFORE, DAYS_AFTER = 2, 7
"""A run belongs to an event from two days before its first date (practice) to a week after it."""
HOT = ("finish_reading_c", "esc_temp_c")


def track_suspects(run: Row, event: Row | None) -> list[RunSuspect]:
    """Suspects of a track run as stored (or as typed so far) of that event, at most one a field, in their order."""
    own = (*_event(run, event), *_gears(run), *_sum_of_laps(run), *_laps(run), *_temperatures(run))
    return one_a_field([*own, *unlikely(run)])


def cooling_suspects(reading: Row, run: Row) -> list[RunSuspect]:
    """Suspects of a cooling reading after that track run."""
    found = {suspect.column: suspect for suspect in unlikely(reading)}
    below = _below(reading, "temp_c", run.get("ambient_c"), "below the ambient")
    return list({**found, **{suspect.column: suspect for suspect in below}}.values())


def _event(run: Row, event: Row | None) -> Iterable[RunSuspect]:
    if event is None or "started_at" not in run:
        return
    days = (date.fromisoformat(run["started_at"][:10]) - date.fromisoformat(event["date"][:10])).days
    if not -DAYS_BEFORE <= days <= DAYS_AFTER:
        why = f"Start {run['started_at'][:10]}: {event['name']} began on {event['date'][:10]}."
        yield RunSuspect("started_at", float(days), why, "event")


def _gears(run: Row) -> Iterable[RunSuspect]:
    pinion, spur = run.get("pinion"), run.get("spur")
    if pinion is not None and spur is not None and pinion > spur:
        yield worded("pinion", pinion, f"larger than the spur, {shown(spur)}", "gears", "the two swapped")


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
