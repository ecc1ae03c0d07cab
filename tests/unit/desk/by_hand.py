"""Motors and runs written down as a person does it, through the forms' own functions, on a logbook in memory."""

from datetime import datetime

from pitbench.desk.entry.bench_entry import Entry, make_run, new_entry, save_run
from pitbench.desk.entry.motor_entry import motor_entry, save_motor
from pitbench.records.models import BenchRun
from pitbench.store.logbook import Logbook

NOW = datetime(2026, 5, 17, 14, 2)
KV_AND_CURRENT = {"kv_rpm_per_v": "3950", "no_load_current_a": "4.1"}
CONDITIONS = {"tester": "bench box", "test_voltage_v": "3.7", "poles_assumed": "2", "ambient_c": "24"}
FIGURES = {
    "kv_rpm_per_v": "3953",
    "no_load_current_a": "4.10",
    "motor_temp_c": "31",
    "timing_deg": "42.1",
    "timing_a_deg": "42.4",
    "timing_b_deg": "41.9",
    "timing_c_deg": "42.0",
    "pole_imbalance_pct": "2.1",
}


def new_book(clock=lambda: NOW):
    return Logbook.in_memory(clock=clock)


def add_motor(book, name="Heron", **texts):
    """A motor typed in, nothing taken over from the last; its id."""
    entry = motor_entry(book.snapshot(), None, NOW)
    entry.texts |= {"motor": name, "turns": "", "poles": "", "class": ""} | texts
    save_motor(book, entry, NOW)
    return named(book, "motor", name.strip())["id"]


def edit_motor(book, motor_id, now=NOW, **texts):
    entry = motor_entry(book.snapshot(), motor_id, now)
    entry.texts |= texts
    return save_motor(book, entry, now)


def typed(book, motor="Heron", now=NOW, **texts):
    """The entry a person has before them after typing these texts."""
    entry = new_entry(book.snapshot(), now)
    return Entry({**entry.texts, "motor": motor, **texts}, fields=entry.fields)


def add_run(book, motor="Heron", taken_at="2026-05-17 13:50", kept=(), **texts):
    """A run typed in; its row."""
    known = {row["id"] for row in book.rows("bench_run")}
    save_run(book, typed(book, motor, taken_at=taken_at, **texts), NOW, kept)
    return next(row for row in book.rows("bench_run") if row["id"] not in known)


def put_run(book, motor_id, **fields):
    """A run as a sheet would bring it, with fields no form has."""
    build = next(row for row in book.rows("build") if row["motor_id"] == motor_id)
    run = BenchRun(**{"motor_id": motor_id, "build_id": build["id"], "taken_at": "2026-05-10T10:00"} | fields)
    book.save("a run", [run])
    return run


def made(book, entry, kept=()):
    return make_run(entry, book.snapshot(), NOW, kept)


def named(book, kind, name):
    return next(row for row in book.rows(kind) if row["name"] == name)


def parts(book, motor_id):
    """The parts of every fitted build of a motor, by when it was fitted."""
    name = {row["id"]: row["name"] for row in book.rows("part")}
    return {
        row.get("since"): tuple(name.get(row.get(f"{kind}_id")) for kind in ("stator", "rotor", "end_bell"))
        for row in book.rows("build")
        if row["motor_id"] == motor_id and row.get("fitted", True)
    }


def everything(book):
    """All live rows, without when they were edited."""
    kinds = ("class_sheet", "motor", "part", "build", "bench_run", "settings")
    rows = ((kind, row) for kind in kinds for row in book.rows(kind))
    return {(kind, row["id"]): {k: v for k, v in row.items() if k != "edited_at"} for kind, row in rows}
