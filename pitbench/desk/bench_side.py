"""What stands beside the form of a bench run: what the typed figures come to, and this motor's earlier runs.

Answers while typing, so it reads plain rows and does nothing that grows with more than one motor's runs.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from pitbench.desk import run_figures
from pitbench.desk.bench_entry import Entry, Reading, motor_named, read_entry
from pitbench.desk.earlier import Usual, usual_range
from pitbench.desk.suspects import RunSuspect, suspects_of
from pitbench.records.numbers import shown
from pitbench.records.quantities import QUANTITIES
from pitbench.records.stamps import moment

if TYPE_CHECKING:
    from pitbench.store.logbook import Snapshot

Row = dict[str, Any]
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
    """A typed number that is unlikely: why, and what it may have been meant to be."""

    typed: str
    sentence: str
    suggested: str


@dataclass(frozen=True)
class Side:
    """All a form shows beside its fields; `problems` are sentences by field."""

    nth: str
    conditions: str
    comes_to: list[Derived]
    earlier_title: str
    earlier: list[tuple[str, str]]
    suspects: dict[str, FieldSuspect] = field(default_factory=dict)
    problems: dict[str, str] = field(default_factory=dict)


def side_of(entry: Entry, snapshot: "Snapshot", now: datetime) -> Side:
    """The side of the form for what has been typed so far."""
    reading = read_entry(entry, snapshot, now)
    motor = motor_named(snapshot, entry.texts.get("motor", ""))
    runs = _earlier_runs(snapshot, motor, entry.edits)
    typed: Row = dict(reading.numbers)
    found = {s.column: s for s in suspects_of(typed, runs, motor)} if typed else {}
    name = motor["name"] if motor else ""
    return Side(
        nth=_nth(runs, entry, now),
        conditions=_conditions(entry),
        comes_to=_comes_to(typed, runs, motor),
        earlier_title=f"{name.upper()}'S {len(runs)} EARLIER RUN{'' if len(runs) == 1 else 'S'}, nine in ten",
        earlier=_earlier(runs, motor) if runs else [],
        suspects={column: _field_suspect(entry, suspect) for column, suspect in found.items() if column in entry.texts},
        problems=_problems(entry, reading),
    )


def _problems(entry: Entry, reading: Reading) -> dict[str, str]:
    shown_fields = {name: why for name, why in reading.problems.items() if entry.texts.get(name, "").strip()}
    return {name: f"{_label(name)} {entry.texts[name]} {why}." for name, why in shown_fields.items()}


def _field_suspect(entry: Entry, suspect: RunSuspect) -> FieldSuspect:
    suggested = "" if suspect.suggested is None else shown(suspect.suggested)
    return FieldSuspect(entry.texts.get(suspect.column, ""), suspect.sentence, suggested)


def _earlier_runs(snapshot: "Snapshot", motor: Row | None, edits: str | None) -> list[Row]:
    if motor is None:
        return []
    rows = (r for r in snapshot.rows("bench_run") if r["motor_id"] == motor["id"] and r["id"] != edits)
    return sorted((r for r in rows if "excluded_why" not in r), key=lambda r: str(r["taken_at"]))


def _nth(runs: list[Row], entry: Entry, now: datetime) -> str:
    if entry.edits:
        return "a run that is stored already"
    today = sum(1 for r in runs if moment(r["taken_at"]).date() == now.date())
    word = ORDINALS[today] if today < len(ORDINALS) else f"{today + 1}th"
    return f"{word} run on the bench today"


def _conditions(entry: Entry) -> str:
    texts = entry.texts
    parts = [
        f"{texts['test_voltage_v']} V" if texts.get("test_voltage_v") else "no test voltage",
        f"{texts['poles_assumed']} poles" if texts.get("poles_assumed") else "",
        f"timing mark {texts['timing_mark_deg']}°" if texts.get("timing_mark_deg") else "",
        f"ambient {texts['ambient_c']} °C" if texts.get("ambient_c") else "",
        texts.get("tester", ""),
    ]
    return "   ".join(part for part in parts if part)


Measure = Callable[[Row], float | None]


def _kv25(motor: Row | None) -> Measure:
    from pitbench.figures.warmth import kv_at_reference

    def kv(run: Row) -> float | None:
        value = run_figures.kv_of(run, motor)
        if value is None or "motor_temp_c" not in run:
            return None
        return kv_at_reference(value, run["motor_temp_c"])

    return kv


def _comes_to(typed: Row, runs: list[Row], motor: Row | None) -> list[Derived]:
    from pitbench.figures.criteria import MEASURED

    noise = MEASURED["kv_rpm_per_v"].noise
    kv25, plain_kv = _kv25(motor), lambda run: run_figures.kv_of(run, motor)
    corrected = kv25(typed) is not None
    label, measure = ("KV at 25 °C", kv25) if corrected else ("KV as read", plain_kv)
    amp_noise = (noise**2 + MEASURED["no_load_current_a"].noise ** 2) ** 0.5
    spread, mean = run_figures.sensor_spread_of(typed), run_figures.mean_timing_of(typed)
    return [
        _derived(label, measure, typed, runs, noise, 0, relative=True),
        _derived("speed per amp", lambda r: run_figures.speed_per_amp_of(r, motor), typed, runs, amp_noise, 0, True),
        _plain("idle power", run_figures.idle_power_of(typed), 1, "W"),
        _mean_timing(mean, typed.get("timing_deg")),
        _sensor_spread(spread, runs),
    ]


def _derived(
    label: str, measure: Measure, typed: Row, runs: list[Row], noise: float, decimals: int, relative: bool
) -> Derived:
    value = measure(typed)
    if value is None:
        return Derived(label, "·", "")
    usual = usual_range([v for run in runs if (v := measure(run)) is not None], noise, relative)
    remark = f"{value - usual.mean:+.{decimals}f} from its mean" if usual else "its first"
    return Derived(label, f"{value:.{decimals}f}", remark)


def _plain(label: str, value: float | None, decimals: int, unit: str) -> Derived:
    return Derived(label, "·" if value is None else f"{value:.{decimals}f}", "" if value is None else unit)


def _mean_timing(mean: float | None, total: float | None) -> Derived:
    from pitbench.figures.timing import TOTAL_TOLERANCE_DEG

    if mean is None:
        return Derived("mean timing", "·", "")
    off = total is not None and abs(mean - total) > TOTAL_TOLERANCE_DEG
    return Derived("mean timing", f"{mean:.1f}", f"total says {total:.1f}" if off else "°", off)


def _sensor_spread(spread: float | None, runs: list[Row]) -> Derived:
    if spread is None:
        return Derived("sensor spread", "·", "")
    usual = _usual("sensor_spread_deg", [v for run in runs if (v := run_figures.sensor_spread_of(run)) is not None])
    if usual is None:
        return Derived("sensor spread", f"{spread:.1f}", "°")
    remark = f"usual {max(0.0, usual.low):.1f} to {usual.high:.1f}"
    return Derived("sensor spread", f"{spread:.1f}", remark, spread > usual.high)


def _usual(name: str, values: list[float]) -> Usual | None:
    from pitbench.figures.criteria import MEASURED

    return usual_range(values, MEASURED[name].noise, MEASURED[name].relative)


def _earlier(runs: list[Row], motor: Row | None) -> list[tuple[str, str]]:
    kv25 = _kv25(motor)
    measures: tuple[tuple[str, str, Measure, int], ...] = (
        ("KV at 25 °C", "kv_rpm_per_v", kv25, 0),
        ("current", "no_load_current_a", lambda r: r.get("no_load_current_a"), 2),
        ("imbalance", "pole_imbalance_pct", lambda r: r.get("pole_imbalance_pct"), 1),
    )
    rows = []
    for label, name, measure, decimals in measures:
        usual = _usual(name, [v for run in runs if (v := measure(run)) is not None])
        if usual:
            rows.append((label, f"{max(0.0, usual.low):.{decimals}f} to {usual.high:.{decimals}f}"))
    return rows


def _label(name: str) -> str:
    label = QUANTITIES[name].label if name in QUANTITIES else name.replace("_", " ")
    return label[0].upper() + label[1:]
