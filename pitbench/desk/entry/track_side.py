"""What stands beside and above a track run's form: what laps and gears come to, the last runs, what is doubtful.

Answers while typing, so it reads plain rows and does nothing that grows with more than the track runs.
"""

from dataclasses import dataclass, field, replace
from datetime import datetime

from pitbench.desk.builds import in_order
from pitbench.desk.carried import OnCar
from pitbench.desk.entry.bench_side import FieldSuspect, field_suspect, problems_typed
from pitbench.desk.entry.foreseen_track import track_foreseen_in
from pitbench.desk.entry.suspects import RunSuspect, not_in_fahrenheit
from pitbench.desk.entry.suspects_track import track_suspects
from pitbench.desk.entry.suspects_waiting import with_waiting
from pitbench.desk.entry.track_fields import SAID_IN, form_label
from pitbench.desk.entry.track_reading import TrackEntry, TrackReading, read_track
from pitbench.desk.entry.typed_texts import typed_texts
from pitbench.desk.entry.waiting import Kept, unchanged, waits_of
from pitbench.desk.named import named
from pitbench.desk.told import TELLING, goes_with_motor
from pitbench.desk.track_figures import average_lap_of, rollout_of
from pitbench.figures.gearing import final_drive_ratio
from pitbench.figures.laps import better_half_mean
from pitbench.records.fields import QUANTITIES
from pitbench.records.keys import key_for
from pitbench.records.kinds import Row, Source
from pitbench.records.laps import laps_text, time_text
from pitbench.records.names import clean_text
from pitbench.records.numbers import shown
from pitbench.records.rounds import round_text
from pitbench.records.spoken import gears_text
from pitbench.records.stamps import friendly
from pitbench.records.units import Units, units_of
from pitbench.store.logbook import Snapshot

MOST_RUNS = 4
SHOWN_AS_READ = ("tyre_diameter_mm", "timing_mark_deg", "esc_timing_deg")
"""What was typed may be `2.46in`."""
SHORT = {"practice": "P", "qualifier": "Q", "main": "main "}
"""Kinds of round where a line has no room for the word."""


@dataclass(frozen=True)
class TrackSide:
    """All a form shows beside its fields; suspects and problems by field, in the order of the form."""

    reading: TrackReading
    where: str
    on_car: str
    comes_to: list[tuple[str, str]]
    earlier_title: str
    earlier: list[tuple[str, str]]
    suspects: dict[str, FieldSuspect] = field(default_factory=dict)
    problems: dict[str, str] = field(default_factory=dict)
    doubted: tuple[str, ...] = ()
    """Columns of the record whose values are doubtful, to be kept if they are saved so."""
    waits: tuple[str, ...] = ()
    """Those of them that wait unless somebody answers for them."""


def track_side(entry: TrackEntry, snapshot: Snapshot, now: datetime) -> TrackSide:
    """The side of the form for what has been typed so far."""
    reading, units = read_track(entry, snapshot, now), units_of(snapshot)
    title, earlier = _earlier(entry, reading, snapshot, now, units)
    found = _suspects(entry, reading, snapshot, units)
    return TrackSide(
        reading=reading,
        where=", ".join(text for text in (_event_name(entry, reading), round_text(reading.row)) if text),
        on_car=_on_car(entry, reading.row, units),
        comes_to=_comes_to(reading.row, units),
        earlier_title=title,
        earlier=earlier,
        suspects={SAID_IN.get(s.column, s.column): _shown(entry, reading.row, s, units) for s in found},
        doubted=tuple(suspect.column for suspect in found),
        waits=tuple(suspect.column for suspect in found if suspect.waits),
        problems=problems_typed(entry.texts, reading.problems, form_label),
    )


def _event_name(entry: TrackEntry, reading: TrackReading) -> str:
    return str(reading.event["name"]) if reading.event else entry.texts.get("event", "") or entry.texts.get("track", "")


def _suspects(entry: TrackEntry, reading: TrackReading, snapshot: Snapshot, units: Units) -> list[RunSuspect]:
    """What is doubtful, and what of it waits: of a stored run also what does already, and not what was kept."""
    run = dict(reading.row)
    if reading.time is not None:
        run["started_at"] = reading.time.start(run.get("run_time_s"))
    in_fahrenheit = {name for name in run if name in QUANTITIES and units.unit(name) == "°F"}
    typed = typed_texts(entry.texts, units)
    if reading.event is not None:
        run["event_id"] = reading.event["id"]
    car = named(snapshot, "car", entry.texts.get("car", ""))
    run |= {"car_id": car["id"]} if car else {}
    if reading.motor is None:
        found = track_suspects(run, reading.event, typed=typed)
    else:
        own = [row for row in snapshot.rows("track_run") if row["motor_id"] == reading.motor["id"]]
        old = snapshot.row("track_run", entry.edits) if entry.edits else None
        judged = {**run, "motor_id": reading.motor["id"], "kept": unchanged(old, run, "kept")}
        kept = Kept(row for row in own if row["id"] != entry.edits)
        known = track_foreseen_in(snapshot, entry.edits)
        found = track_suspects(judged, reading.event, known, kept, typed)
        found = [each for each in found if each.column not in judged["kept"]]
        found = with_waiting(found, judged, waits_of(judged, kept, said=unchanged(old, run, "waits")))
    return not_in_fahrenheit(found, in_fahrenheit)


def _shown(entry: TrackEntry, row: Row, suspect: RunSuspect, units: Units) -> FieldSuspect:
    """Laps and run time stand in one field: what is suggested for one of them keeps the other."""
    made = field_suspect(entry.texts, suspect, units)
    if suspect.place is not None and suspect.suggested is not None:
        times = [*row.get("lap_times_s", ())]
        times[suspect.place] = suspect.suggested
        puts = f"{shown(suspect.suggested)} as lap {suspect.place + 1}"
        return replace(made, suggested=" ".join(map(shown, times)), puts=puts)
    if suspect.column not in ("laps", "run_time_s"):
        return made
    suggested = ""
    if suspect.suggested is not None:
        both = {**row, suspect.column: suspect.suggested}
        suggested = laps_text(both.get("laps"), both.get("run_time_s"))
    return replace(made, typed=entry.texts.get("laps", ""), suggested=suggested)


def _on_car(entry: TrackEntry, row: Row, units: Units) -> str:
    """Car, gears, tyre, timing, fan and pack in one line."""
    texts = {name: clean_text(text) for name, text in entry.texts.items()}
    texts |= {name: units.in_words(name, row[name]) for name in SHOWN_AS_READ if name in row}
    tyre = (
        texts.get("tyre", ""),
        f"{texts['tyre_diameter_mm']} {units.unit('tyre_diameter_mm')}" if texts.get("tyre_diameter_mm") else "",
    )
    parts = (
        texts.get("car", ""),
        "/".join(texts.get(name) or "?" for name in ("pinion", "spur")) if texts.get("pinion") else "",
        " ".join(part for part in tyre if part),
        f"mark {texts['timing_mark_deg']}°" if texts.get("timing_mark_deg") else "",
        f"ESC {texts['esc_timing_deg']}°" if texts.get("esc_timing_deg", "0") not in ("", "0") else "",
        {"y": "fan", "n": "no fan"}.get(texts.get("fan", "")[:1].casefold(), ""),
        texts.get("pack", ""),
    )
    return "   ".join(part for part in parts if part) or f"{key_for('edit-conditions')} writes down car, gears and tyre"


def also_on_car(entry: TrackEntry, source: Source) -> str:
    """What the setup log says is on the car and no field of a run does, what was changed last first; no motor work."""
    car = named(source, "car", entry.texts.get("car", ""))
    if car is None and clean_text(entry.texts.get("car", "")):
        return ""
    found = OnCar(source, car["id"] if car else None).newest_first()
    mine = (each for each in found if each.thing not in TELLING and not goes_with_motor({"car_id": "", **each.by}))
    return ", ".join(f"{each.what} {each.now}" for each in mine)


def _comes_to(row: Row, units: Units) -> list[tuple[str, str]]:
    lines = []
    times = row.get("lap_times_s", ())
    if times:
        lines.append(("laps typed", f"{len(times)} in {time_text(round(sum(times), 3))}"))
        lines.append(("best, average", f"{min(times):.2f}   {sum(times) / len(times):.2f} s"))
        lines.append(("better half", f"{better_half_mean(times):.2f} s"))
    elif row.get("laps") and "run_time_s" in row:
        lines.append(("average lap", f"{row['run_time_s'] / row['laps']:.2f} s"))
    if "pinion" in row and "spur" in row:
        fdr = final_drive_ratio(row["spur"], row["pinion"], row.get("internal_ratio", 1.0))
        lines.append(("FDR", f"{fdr:.2f}" if "internal_ratio" in row else f"{fdr:.2f} without the gearbox"))
        length = rollout_of(row) if "internal_ratio" in row else None
        if length is not None:
            lines.append(("rollout", f"{units.short('max_rollout_mm', length)} {units.length}"))
    return lines


def _earlier(
    entry: TrackEntry, reading: TrackReading, snapshot: Snapshot, now: datetime, units: Units
) -> tuple[str, list[tuple[str, str]]]:
    """The motor's last runs: when, gears, finish reading, average lap."""
    if reading.motor is None:
        return "", []
    motor_id = reading.motor["id"]
    runs = (r for r in snapshot.rows("track_run") if r["motor_id"] == motor_id and r["id"] != entry.edits)
    last = sorted(runs, key=in_order)[-MOST_RUNS:][::-1]
    return f"{reading.motor['name'].upper()}'S LAST RUNS", [_run_line(run, now, units) for run in last]


def _run_line(run: Row, now: datetime, units: Units) -> tuple[str, str]:
    gears = gears_text(run)
    hot = units.degrees(run["finish_reading_c"]) if "finish_reading_c" in run else ""
    average = average_lap_of(run)
    texts = (f"{gears:<6}", f"{hot:>6}", "" if average is None else f"{average:.2f} s")
    day, kind = friendly(run["started_at"][:10], now), round_text(run)
    short = f"{day} {SHORT.get(run.get('round_kind', ''), '')}{run.get('round', '')}".strip()
    return (kind if day == "today" and kind else short), " ".join(texts)
