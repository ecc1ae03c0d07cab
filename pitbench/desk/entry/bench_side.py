"""What stands beside the form of a bench run: what the typed figures come to, and this motor's earlier runs.

Answers while typing, so it reads plain rows and does nothing that grows with more than one motor's runs.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import partial

from pitbench.desk import run_figures
from pitbench.desk.answered import counting
from pitbench.desk.entry.bench_entry import Entry, Reading, read_entry, tested_build
from pitbench.desk.entry.foreseen_bench import ForeseenBench, foreseen_in
from pitbench.desk.entry.suspects import RunSuspect, made_alike, not_in_fahrenheit, said
from pitbench.desk.entry.suspects_bench import bench_suspects
from pitbench.desk.entry.suspects_waiting import with_waiting
from pitbench.desk.entry.typed_texts import typed_texts
from pitbench.desk.entry.waiting import Kept, unchanged, waits_of
from pitbench.desk.run_figures import Measure
from pitbench.desk.sessions import in_time
from pitbench.figures.criteria import MEASURED
from pitbench.figures.earlier import Usual, usual_range
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row
from pitbench.records.names import clean_text
from pitbench.records.spoken import capital
from pitbench.records.stamps import friendly, shown_stamp, stamp_of
from pitbench.records.typed import Label, Texts, label_of, sentences
from pitbench.records.units import Units, units_of
from pitbench.store.logbook import Snapshot

FAR = 1000
"""A difference of more digits says no more than that it is far off, and has no room beside the fields."""
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


@dataclass(frozen=True)
class Derived:
    """One figure the typed numbers come to; `remark` compares it with this motor's earlier runs."""

    label: str
    value: str
    remark: str
    doubtful: bool = False


@dataclass(frozen=True)
class FieldSuspect:
    """A typed number that is unlikely: why, and what it may have been meant to be.

    column: of the record. puts: what F4 puts, in words that have room; empty: what is suggested. other: the field whose
    text it was swapped with. waits: whether it is in no figure until somebody has answered for it.
    """

    typed: str
    sentence: str
    suggested: str
    column: str = ""
    waits: bool = False
    puts: str = ""
    other: str = ""


@dataclass(frozen=True)
class Side:
    """All a form shows beside its fields; `problems` are sentences by field, `when` is the hour of a new run."""

    nth: str
    when: str
    conditions: str
    comes_to: list[Derived]
    earlier_title: str
    earlier: list[tuple[str, str]]
    suspects: dict[str, FieldSuspect] = field(default_factory=dict)
    problems: dict[str, str] = field(default_factory=dict)


def side_of(entry: Entry, snapshot: Snapshot, now: datetime, slope: float | None = None) -> Side:
    """The side of the form for what has been typed so far; slope: of KV on warmth, as the ranking learned it."""
    reading = read_entry(entry, snapshot, now)
    motor, others = reading.motor, _other_runs(snapshot, reading.motor, entry.edits)
    typed = _typed_run(entry, reading, snapshot, now)
    alike = [*counting(made_alike(typed, others))]
    units = units_of(snapshot)
    found = _suspects(typed, others, entry, snapshot, motor) if reading.numbers else []
    found = not_in_fahrenheit(found, {name for name in reading.numbers if units.unit(name) == "°F"})
    warm = run_figures.all_warm(alike)
    return Side(
        nth=_nth(others, entry, reading, now),
        when=_when(entry, reading),
        conditions=_conditions(entry, reading, units),
        comes_to=_comes_to(typed, alike, motor, _kv(motor, slope, warm and "motor_temp_c" in typed)),
        earlier_title=_title(motor, len(alike), len(others), entry.edits is not None),
        earlier=_earlier(alike, _kv(motor, slope, warm)),
        suspects={suspect.column: field_suspect(entry.texts, suspect, units) for suspect in found},
        problems=problems_typed(entry.texts, reading.problems),
    )


def _suspects(typed: Row, others: list[Row], entry: Entry, snapshot: Snapshot, motor: Row | None) -> list[RunSuspect]:
    """What is doubtful, and what of it waits: of a stored run also what does already, and not what was kept."""
    texts = typed_texts(entry.texts, units_of(snapshot))
    if motor is None:
        return bench_suspects(typed, ForeseenBench((), {}), None, typed=texts)
    run, kept = {**typed, "motor_id": motor["id"]}, Kept(others)
    old = snapshot.row("bench_run", entry.edits) if entry.edits else None
    known = foreseen_in(snapshot, motor["id"], entry.edits)
    stand = unchanged(old, run, "kept")
    found = [s for s in bench_suspects(run, known, motor, kept, texts) if s.column not in stand]
    far = [s.column for s in found if s.far]
    waits = waits_of({**run, "kept": stand}, kept, far, unchanged(old, run, "waits"))
    return with_waiting(found, run, waits)


def _typed_run(entry: Entry, reading: Reading, snapshot: Snapshot, now: datetime) -> Row:
    """The typed numbers as a run of the build they would be stored with, and their tester."""
    said = (*QUANTITIES, "tester", "session")
    typed: Row = {name: reading.row[name] for name in said if name in reading.row}
    typed["taken_at"] = reading.taken_at or stamp_of(now)
    if reading.motor is not None:
        old = snapshot.row("bench_run", entry.edits) if entry.edits else None
        typed["build_id"] = tested_build(snapshot, reading.motor["id"], reading.taken_at or stamp_of(now), old)
    return typed


def problems_typed(texts: Texts, problems: Texts, label: Label = label_of) -> dict[str, str]:
    """Of fields that are not blank: a blank one is being filled in."""
    typed = {name: why for name, why in problems.items() if clean_text(texts.get(name, ""))}
    return sentences(texts, typed, label)


def field_suspect(texts: Mapping[str, str], suspect: RunSuspect, units: Units) -> FieldSuspect:
    """A suspect as a form shows it: what is usual and what is suggested stand in the unit that is typed."""
    name, typed = suspect.column, clean_text(texts.get(suspect.column, ""))
    suggested = "" if suspect.suggested is None else units.typed(name, suspect.suggested)
    words = suspect.sentence
    if suspect.ends and units.unit(name) != QUANTITIES[name].unit:
        low, high = (units.typed(name, round(end, 6)) for end in suspect.ends)
        clause = said(suspect.says, low, high, units.unit(name))
        words = f"{capital(label_of(name))} {typed}: {clause}.{suspect.asks}"
    elif suspect.against and units.unit(name) != QUANTITIES[name].unit:
        why, bound = suspect.against
        words = f"{capital(label_of(name))} {typed}: {why}, {units.degrees(bound)}."
    puts = "" if suspect.other is None else "both right"
    return FieldSuspect(texts.get(name, ""), words, suggested, name, suspect.waits, puts, suspect.other or "")


def _other_runs(snapshot: Snapshot, motor: Row | None, edits: str | None) -> list[Row]:
    if motor is None:
        return []
    rows = (r for r in snapshot.rows("bench_run") if r["motor_id"] == motor["id"] and r["id"] != edits)
    return sorted(rows, key=in_time)


def _nth(others: list[Row], entry: Entry, reading: Reading, now: datetime) -> str:
    if entry.edits:
        return "a run that is stored already"
    day = (reading.taken_at or stamp_of(now))[:10]
    before = sum(1 for run in others if run["taken_at"][:10] == day)
    when = friendly(day, now)
    when = when if when == "today" else f"on {when}"
    return f"{ORDINALS[before]} run on the bench {when}" if before < len(ORDINALS) else f"bench run {before + 1} {when}"


def _when(entry: Entry, reading: Reading) -> str:
    """Of a stored run the day too; of a new one `_nth` says it. What was typed may be `2 min ago`."""
    if reading.taken_at is None:
        return entry.texts.get("taken_at", "")
    day, _, hour = shown_stamp(reading.taken_at).partition(" ")
    return f"{day} {hour}".rstrip() if entry.edits else hour


def _title(motor: Row | None, alike: int, others: int, edits: bool) -> str:
    """Whose runs the usual ranges come from: all but this one, or those made under the same conditions."""
    which = "RUN LIKE THIS" if alike < others else "OTHER RUN" if edits else "EARLIER RUN"
    plural = which if alike == 1 else which.replace("RUN", "RUNS")
    return f"{motor['name'].upper() if motor else ''}'S {alike} {plural}, nine in ten"


def _conditions(entry: Entry, reading: Reading, units: Units) -> str:
    """As they were read: what was typed may be `86F`."""
    read = reading.numbers

    def said(name: str, before: str, unit: str) -> str:
        return f"{before}{units.in_words(name, read[name])}{unit}" if name in read else ""

    parts = [
        said("test_voltage_v", "", " V") or "no test voltage",
        said("poles_assumed", "", " poles"),
        said("timing_mark_deg", "timing mark ", "°"),
        said("ambient_c", "ambient ", f" {units.unit('ambient_c')}"),
        entry.texts.get("tester", ""),
    ]
    return "   ".join(part for part in parts if part)


def _kv(motor: Row | None, slope: float | None, warm: bool) -> tuple[str, Measure]:
    """What KV is called, and how it is worked out."""
    return "KV at 25 °C" if warm else "KV as read", run_figures.kv_measure(motor, warm, slope)


def _comes_to(typed: Row, runs: list[Row], motor: Row | None, speed: tuple[str, Measure]) -> list[Derived]:
    noise = MEASURED["kv_rpm_per_v"].noise
    amp_noise = (noise**2 + MEASURED["no_load_current_a"].noise ** 2) ** 0.5
    per_amp = partial(run_figures.speed_per_amp_of, motor=motor)
    return [
        _compared(*speed, typed, runs, noise),
        _compared("speed per amp", per_amp, typed, runs, amp_noise),
        _plain("idle power", run_figures.idle_power_of(typed), "W"),
        _mean_timing(typed),
        _sensor_spread(run_figures.sensor_spread_of(typed), runs),
    ]


def _compared(label: str, measure: Measure, typed: Row, runs: list[Row], noise: float) -> Derived:
    value = measure(typed)
    if value is None:
        return Derived(label, "·", "")
    usual = usual_range(_values(measure, runs), noise, relative=True)
    if usual is None:
        return Derived(label, f"{value:.0f}", "its first")
    off = value - usual.mean
    far = "from mean" if abs(off) >= 100 else "from its mean"  # as much as has room at 80 columns
    remark = f"{off:+z.0f} {far}" if abs(off) < FAR else "far from its mean"
    return Derived(label, f"{value:.0f}", remark)


def _plain(label: str, value: float | None, unit: str) -> Derived:
    return Derived(label, "·", "") if value is None else Derived(label, f"{value:.1f}", unit)


def _mean_timing(typed: Row) -> Derived:
    off = run_figures.total_disagrees_in(typed)
    remark = f"total says {typed['timing_deg']:.1f}" if off else "°"
    made = _plain("mean timing", run_figures.mean_timing_of(typed), remark)
    return replace(made, doubtful=off)


def _values(measure: Measure, runs: list[Row]) -> list[float]:
    return [value for run in runs if (value := measure(run)) is not None]


def _sensor_spread(spread: float | None, runs: list[Row]) -> Derived:
    usual = _usual("sensor_spread_deg", _values(run_figures.sensor_spread_of, runs))
    if spread is None or usual is None:
        return _plain("sensor spread", spread, "°")
    remark = f"usual {max(0.0, usual.low):.1f} to {usual.high:.1f}"
    return Derived("sensor spread", f"{spread:.1f}", remark, spread > usual.high)


def _usual(name: str, values: list[float]) -> Usual | None:
    return usual_range(values, MEASURED[name].noise, MEASURED[name].relative)


def _earlier(runs: list[Row], speed: tuple[str, Measure]) -> list[tuple[str, str]]:
    label, kv = speed
    measures: tuple[tuple[str, str, Measure, int], ...] = (
        (label, "kv_rpm_per_v", kv, 0),
        ("current", "no_load_current_a", lambda run: run.get("no_load_current_a"), 2),
        ("imbalance", "pole_imbalance_pct", lambda run: run.get("pole_imbalance_pct"), 1),
    )
    found = [(label, decimals, _usual(name, _values(measure, runs))) for label, name, measure, decimals in measures]
    return [
        (label, f"{max(0.0, usual.low):.{decimals}f} to {usual.high:.{decimals}f}")
        for label, decimals, usual in found
        if usual is not None
    ]
