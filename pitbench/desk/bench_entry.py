"""A new bench run in seconds: what is filled in already, what the typed figures come to, and the record they make.

Texts are as typed; `records` reads them. A form shows what stands here and knows nothing else.
"""

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from pitbench.desk.builds import build_in_force
from pitbench.records.names import clean_text, name_key, nearest
from pitbench.records.numbers import Unreadable, read_number, shown
from pitbench.records.quantities import QUANTITIES
from pitbench.records.refusal import Refusal
from pitbench.records.stamps import UnreadableTime, moment, read_stamp, shown_stamp, stamp_of

if TYPE_CHECKING:
    from pitbench.records.models import BenchRun
    from pitbench.store.logbook import Logbook, Snapshot

Row = dict[str, Any]

FIGURE_FIELDS = (
    "kv_rpm_per_v",
    "no_load_current_a",
    "motor_temp_c",
    "timing_deg",
    "timing_a_deg",
    "timing_b_deg",
    "timing_c_deg",
    "pole_imbalance_pct",
    "hall_level_spread_pct",
    "resistance_mohm",
    "resistance_temp_c",
)
CONDITION_NUMBERS = ("test_voltage_v", "poles_assumed", "spin_s", "timing_mark_deg", "ambient_c")
CONDITION_FIELDS = ("motor", "taken_at", "tester", "session", *CONDITION_NUMBERS, "sensored")
FIGURES = frozenset(FIGURE_FIELDS) - {"motor_temp_c", "resistance_temp_c"} | {"rpm", "erpm"}


@dataclass
class Entry:
    """A bench run being written down: texts by field, and the record it edits, if any."""

    fields: tuple[str, ...]
    texts: dict[str, str] = field(default_factory=dict)
    edits: str | None = None


def figure_fields(snapshot: "Snapshot", last: Row | None) -> tuple[str, ...]:
    """Fields of the form in the order of the user's own tester, without the hidden ones."""
    settings = next(iter(snapshot.rows("settings")), {})
    order = tuple(settings.get("entry_line", ())) or FIGURE_FIELDS
    if last and "kv_rpm_per_v" not in last and "entry_line" not in settings:
        spoken = next((name for name in ("rpm", "erpm") if name in last), "kv_rpm_per_v")
        order = tuple(spoken if name == "kv_rpm_per_v" else name for name in order)
    hidden = set(settings.get("hidden_fields", ()))
    return (*(name for name in order if name in QUANTITIES and name not in hidden), "note")


def newest_run(snapshot: "Snapshot", motor_id: str | None = None) -> Row | None:
    """The newest bench run, of one motor if named."""
    runs = [r for r in snapshot.rows("bench_run") if motor_id is None or r["motor_id"] == motor_id]
    return max(runs, key=lambda r: (r["taken_at"], r.get("edited_at", "")), default=None)


def new_entry(snapshot: "Snapshot", now: datetime, motor_id: str | None = None) -> Entry:
    """An entry with motor and conditions filled in from the last run; the timing mark from that motor's own last."""
    last = newest_run(snapshot)
    motors = snapshot.rows("motor")
    if motor_id is None:
        motor_id = last["motor_id"] if last else next((m["id"] for m in motors), None)
    motor = snapshot.row("motor", motor_id) if motor_id else None
    own = newest_run(snapshot, motor_id) if motor_id else None
    texts = {"motor": motor["name"] if motor else "", "taken_at": shown_stamp(stamp_of(now))}
    if last:
        texts |= _conditions(last)
        same_day = moment(last["taken_at"]).date() == now.date()
        if not same_day:
            texts.pop("session", None)
    texts.pop("timing_mark_deg", None)
    if own and "timing_mark_deg" in own:
        texts["timing_mark_deg"] = shown(own["timing_mark_deg"])
    return Entry(figure_fields(snapshot, last), texts)


def entry_of_draft(snapshot: "Snapshot", draft: Row | None, motor_id: str | None) -> Entry | None:
    """The half-filled form kept for this motor, if there is one that can still be read."""
    texts = (draft or {}).get("texts")
    if not isinstance(texts, dict) or not all(isinstance(k, str) and isinstance(v, str) for k, v in texts.items()):
        return None
    motor = motor_named(snapshot, texts.get("motor", ""))
    if motor is None or (motor_id is not None and motor["id"] != motor_id):
        return None
    fields = tuple(name for name in (draft or {}).get("fields", ()) if name in QUANTITIES)
    return Entry((*fields, "note"), texts) if fields else None


def edit_entry(snapshot: "Snapshot", run_id: str) -> Entry:
    """An entry that edits a stored run."""
    row = snapshot.row("bench_run", run_id)
    assert row is not None
    motor = snapshot.row("motor", row["motor_id"]) or {}
    fields = figure_fields(snapshot, row)
    missing = tuple(name for name in (*FIGURE_FIELDS, "rpm", "erpm") if name in row and name not in fields)
    texts = {"motor": motor.get("name", ""), "taken_at": shown_stamp(row["taken_at"]), **_conditions(row)}
    texts |= {name: shown(row[name]) for name in (*fields, *missing) if name in row and name != "note"}
    texts["note"] = row.get("note", "")
    return Entry((*fields[:-1], *missing, "note"), texts, edits=run_id)


def _conditions(run: Row) -> dict[str, str]:
    texts = {name: shown(run[name]) for name in CONDITION_NUMBERS if name in run}
    texts |= {name: run[name] for name in ("tester", "session") if name in run}
    if "sensored" in run:
        texts["sensored"] = "yes" if run["sensored"] else "no"
    return texts


@dataclass(frozen=True)
class Reading:
    """What was typed, as far as it can be read: numbers by field, and what is wrong by field."""

    numbers: dict[str, float]
    problems: dict[str, str]


def read_entry(entry: Entry, snapshot: "Snapshot", now: datetime) -> Reading:
    """Read every text of an entry; a problem is a clause that completes a sentence."""
    numbers: dict[str, float] = {}
    problems: dict[str, str] = {}
    for name, text in entry.texts.items():
        if name in QUANTITIES and text.strip():
            try:
                numbers[name] = read_number(text, QUANTITIES[name])
            except Unreadable as why:
                problems[name] = str(why)
    try:
        read_time(entry, snapshot, now)
    except UnreadableTime as why:
        problems["taken_at"] = str(why)
    if motor_named(snapshot, entry.texts.get("motor", "")) is None:
        known = nearest(entry.texts.get("motor", ""), (m["name"] for m in snapshot.rows("motor")))
        problems["motor"] = f"is no motor of yours{f', {known} would be' if known else ', m writes one down'}"
    if entry.texts.get("sensored", "").strip().casefold() not in {"", "yes", "no", "y", "n"}:
        problems["sensored"] = "must be yes or no"
    return Reading(numbers, problems)


def read_time(entry: Entry, snapshot: "Snapshot", now: datetime) -> str:
    """When the figures were read; raises UnreadableTime."""
    settings = next(iter(snapshot.rows("settings")), {})
    return read_stamp(entry.texts.get("taken_at", ""), now, settings.get("day_first", True))


def motor_named(snapshot: "Snapshot", name: str) -> Row | None:
    """The motor of this name, matched without case."""
    key = name_key(name)
    return next((m for m in snapshot.rows("motor") if name_key(m["name"]) == key), None)


def make_run(entry: Entry, snapshot: "Snapshot", now: datetime, kept: tuple[str, ...]) -> "BenchRun":
    """The checked record; raises Refusal with one sentence that names the field."""
    from pitbench.records.models import BenchRun

    reading = read_entry(entry, snapshot, now)
    for name, why in reading.problems.items():
        raise Refusal(f"{_label(name)} {entry.texts.get(name, '')} {why}.".replace("  ", " "))
    if not FIGURES & reading.numbers.keys():
        raise Refusal("A bench run needs at least one figure: KV or no-load current would be right.")
    if "rpm" in reading.numbers and "test_voltage_v" not in reading.numbers:
        raise Refusal("Speed in rpm needs the test voltage: F6 writes it down.")
    motor = motor_named(snapshot, entry.texts["motor"])
    assert motor is not None
    taken_at = read_time(entry, snapshot, now)
    old = snapshot.row("bench_run", entry.edits) if entry.edits else None
    base: Row = dict(old) if old else {"place": _place(snapshot, motor["id"], taken_at)}
    for name in (*FIGURE_FIELDS, "rpm", "erpm", *CONDITION_NUMBERS, "note", "tester", "session", "sensored", "kept"):
        base.pop(name, None)
    base |= reading.numbers
    base |= {name: clean_text(text) for name in ("tester", "session", "note") if (text := entry.texts.get(name, ""))}
    if entry.texts.get("sensored", "").strip():
        base["sensored"] = entry.texts["sensored"].strip().casefold().startswith("y")
    if old is None or old["motor_id"] != motor["id"]:
        build = build_in_force(snapshot, motor["id"], taken_at)
        if build is None:
            raise Refusal(f"{motor['name']} has no build yet: e on Motors writes its parts down.")
        base["build_id"] = build["id"]
    return BenchRun.of({**base, "motor_id": motor["id"], "taken_at": taken_at, "kept": kept})


def _place(snapshot: "Snapshot", motor_id: str, taken_at: str) -> int:
    """Place among runs of this motor at the very same time."""
    rows = (*snapshot.rows("bench_run"), *snapshot.rows("bench_run", binned=True))
    taken = [r.get("place", 0) for r in rows if r["motor_id"] == motor_id and r["taken_at"] == taken_at]
    return max(taken, default=-1) + 1


def save_run(logbook: "Logbook", entry: Entry, now: datetime, kept: tuple[str, ...]) -> str:
    """Store the run; returns the words of what was done."""
    run = make_run(entry, logbook.snapshot(), now, kept)
    words = f"{'edited ' if entry.edits else ''}bench run of {entry.texts['motor']}"
    logbook.save(words, [run])
    return words


def _label(name: str) -> str:
    spoken = QUANTITIES[name].label if name in QUANTITIES else {"taken_at": "time"}.get(name, name)
    return spoken[0].upper() + spoken[1:]
