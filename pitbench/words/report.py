"""A race day on paper, in words: what was run and changed, cell by cell, and the cautions.

Words only what the answer holds. What is said of a class, its ranking and its plan stands in `report_class`; how a
document is written, in the room `paper`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pitbench.records.laps import laps_text, time_text
from pitbench.records.numbers import shown
from pitbench.records.rounds import round_text
from pitbench.records.spoken import capital, counted_words, listed
from pitbench.records.stamps import moment
from pitbench.records.typed import label_of
from pitbench.words.cautions import BENCH, HOT_CAN, SWAP, TRACK
from pitbench.words.changes import brought_words, offered
from pitbench.words.load_log import told
from pitbench.words.waiting import asks, waits_words

if TYPE_CHECKING:
    from pitbench.desk.race_day import DayChange, DayRun, RaceDay
    from pitbench.records.kinds import Row
    from pitbench.records.units import Units

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


def last_words(day: RaceDay) -> list[str]:
    """Numbers that wait, how to read it, and the cautions: none is ever left out."""
    waits = waits_words(day.waiting, f"{asks()} in the app")
    return [*([f"! {waits}"] if waits else []), MARGINS, *CAUTIONS]
