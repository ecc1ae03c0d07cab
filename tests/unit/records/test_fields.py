"""The one table of fields: whatever stands there is in the models, the sheets, the forms and the page of the sheets.

The pretend figure is one line put into the source of the table, in a process of its own.
"""

import subprocess
import sys
from pathlib import Path

import pytest

from docs.make_sheets import page
from pitbench.app.widgets.form import field_of
from pitbench.desk.entry import (
    bench_fields,
    cooling_entry,
    event_entry,
    gear_entry,
    motor_entry,
    settings_entry,
    setup_entry,
    track_fields,
)
from pitbench.desk.gears import module_of_dp
from pitbench.records.fields import FIELDS, QUANTITIES, RECORDS
from pitbench.records.models import MODELS
from pitbench.records.numbers import shown
from pitbench.sheets.tables import SHEETS

FORMS = {
    "motor": motor_entry.NEW_FIELDS,
    "bench_run": (*bench_fields.RUN_FIELDS, *bench_fields.CONDITION_FIELDS),
    "event": event_entry.FIELDS,
    "track_run": (*track_fields.RUN_FIELDS, *track_fields.CAR_FIELDS, *track_fields.SAID_IN),
    "cooling": cooling_entry.FIELDS,
    "gear": gear_entry.FIELDS,
    "setup_entry": setup_entry.FIELDS,
    "settings": settings_entry.FIELDS,
}
NOT_TYPED = {
    "bench_run": {"stator", "rotor", "end_bell", "fitted", "parts_named", "kept", "waits", "excluded_why"},
    "track_run": {"stator", "rotor", "end_bell", "parts_named", "kept", "waits", "excluded_why"},
    "cooling": {"started_at", "event", "round_kind", "round", "track_run_id", "kept", "waits"},
    "motor": {"kept", "waits"},
}
"""Columns of a sheet that no form asks for: what they say is told in another way there."""
EVERY = [(kind, datum) for kind, data in RECORDS.items() for datum in data]
BOTH_WAYS = {
    "bench_run": {"build_id", "place"},
    "track_run": {"build_id", "place"},
    "load_log": {"headers", "columns", "figures", "basis", "why", "doubts", "trace"},
}
"""Fields of a model that no person writes."""


@pytest.mark.parametrize(("kind", "datum"), EVERY, ids=[f"{kind}-{datum.name}" for kind, datum in EVERY])
def test_a_field_of_the_table_stands_everywhere(kind, datum):
    if datum.field:
        assert MODELS[kind].model_fields[datum.field].is_required() == datum.in_record
    sheet = next((sheet for sheet in SHEETS if sheet.record == kind), None)
    if sheet is not None and datum.on_sheet:
        assert sheet.column(datum.name).datum is datum
        row = f"| {f'**{datum.name}** (required)' if datum.required else datum.name} |"
        said = page().partition(f"## {sheet.name}.csv")[2].partition("\n## ")[0]
        line = next(line for line in said.splitlines() if line.startswith(row))
        assert datum.meaning in line and all(
            shown(end) in line for end in (*datum.possible, *datum.likely) if datum.unit
        )
    if kind in FORMS and datum.name not in NOT_TYPED.get(kind, ()):
        assert datum.name in FORMS[kind]
        field = field_of(datum.name, kind=kind)
        assert (field.label, field.unit) == (datum.label, datum.unit) and datum.meaning.endswith(".")


def test_a_model_has_no_field_that_the_table_lacks():
    frame = set(MODELS["car"].model_fields)
    for kind, model in MODELS.items():
        told = {datum.field for datum in RECORDS[kind]} | BOTH_WAYS.get(kind, set())
        if kind != "settings":  # weights, margins and hidden fields have forms of their own
            assert set(model.model_fields) - frame <= told, kind


def test_a_number_has_one_unit_and_one_pair_of_ranges_wherever_it_stands():
    for kind, datum in EVERY:
        if datum.name in QUANTITIES:
            first = FIELDS[datum.name]
            same = (datum.label, datum.unit, datum.possible, datum.likely, datum.decimals)
            assert same == (first.label, first.unit, first.possible, first.likely, first.decimals), (kind, datum.name)
            assert first.possible[0] <= first.likely[0] < first.likely[1] <= first.possible[1]


def test_every_pitch_in_teeth_per_inch_is_a_module_too():
    """25.4 mm are an inch by definition, NIST SP 811, B.8."""
    low, high = FIELDS["dp"].possible
    assert FIELDS["module"].possible == (module_of_dp(high), module_of_dp(low)) == (0.1, 5.0)


ONE_LINE = '    figure("bearing_noise_db", "bearing noise", "dB", "Sound at ten cm.", (1, 140), (30, 95), 1, since=99),'
BEHIND = "    RESISTANCE.but(asked=FIGURES),\n"
PRETEND = """
import importlib.util, sys, types
from datetime import datetime
from pathlib import Path
import pitbench.records

name, path = "pitbench.records.fields", Path(pitbench.records.__file__).with_name("fields.py")
source = path.read_text(encoding="utf-8")
assert source.count(sys.argv[2]) == 1
module = types.ModuleType(name)
sys.modules[name] = pitbench.records.fields = module
exec(compile(source.replace(sys.argv[2], sys.argv[1] + "\\n" + sys.argv[2]), str(path), "exec"), module.__dict__)

from pitbench.app.widgets.form import field_of
from pitbench.desk.entry.bench_entry import Entry, edit_entry, new_entry, save_run
from pitbench.desk.entry.bench_side import side_of
from pitbench.desk.entry.motor_entry import motor_entry, save_motor
from pitbench.desk.exchange.exporting import sheets_of
from pitbench.desk.exchange.loading import load_files
from pitbench.records.reading import Day
from pitbench.records.refusal import Refusal
from docs.make_sheets import page
from pitbench.sheets.reading import read_sheet_text
from pitbench.store.logbook import Logbook
from pitbench.store.migrations import SCHEMA

NOW = datetime(2026, 5, 17, 14, 2)
book = Logbook.in_memory(clock=lambda: NOW)
motor = motor_entry(book.snapshot(), None, NOW)
motor.texts["motor"] = "Heron"
save_motor(book, motor, NOW)
entry = new_entry(book.snapshot(), NOW)
assert "bearing_noise_db" in entry.fields
assert field_of("bearing_noise_db").label == "bearing noise" and field_of("bearing_noise_db").unit == "dB"
entry.texts |= {"motor": "Heron", "bearing_noise_db": "200"}
try:
    save_run(book, entry, NOW, ())
except Refusal as refusal:
    assert str(refusal) == "Bearing noise 200 is not possible, 1 to 140 dB would be.", refusal
else:
    raise AssertionError
entry.texts["bearing_noise_db"] = "98,5"
found = side_of(entry, book.snapshot(), NOW).suspects["bearing_noise_db"]
assert found.sentence.startswith("Bearing noise 98.5: 30 to 95 dB is usual."), found
save_run(book, entry, NOW, ("bearing_noise_db",))
run, = book.rows("bench_run")
assert run["bearing_noise_db"] == 98.5 and run["kept"] == ["bearing_noise_db"]
assert edit_entry(book.snapshot(), run["id"]).texts["bearing_noise_db"] == "98.5"
sheets = sheets_of(book.snapshot())
assert ",bearing_noise_db," in sheets["bench"] and ",98.5," in sheets["bench"]
other = Logbook.in_memory(clock=lambda: NOW)
load_files(other, [read_sheet_text(f"{name}.csv", text, Day(NOW)) for name, text in sheets.items()])
again, = other.rows("bench_run")
assert {**again, "build_id": ""} == {**run, "build_id": ""}
alone = read_sheet_text("b.csv", "motor,taken_at,bearing_noise_db\\nHeron,2026-05-16 12:00,60\\n", Day(NOW))
assert load_files(other, [alone]).answer.files[0].added == 1, "a bench figure by itself makes a run"
assert "| bearing_noise_db | dB | Sound at ten cm. | 1 to 140 | 30 to 95 |" in page()
assert SCHEMA == 99
print("shown everywhere")
"""


def test_a_bench_figure_is_one_line_in_the_table():
    words = [sys.executable, "-c", PRETEND, ONE_LINE, BEHIND]
    done = subprocess.run(words, capture_output=True, text=True, cwd=Path(__file__).parents[3], timeout=120)
    assert done.stdout == "shown everywhere\n", done.stderr
