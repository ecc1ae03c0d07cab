"""Whatever an editor made of a logbook and `check --accept` takes: export writes it, and load takes that back."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pitbench.desk.checking import loose_ends
from pitbench.desk.exchange.exporting import sheets_of
from pitbench.desk.exchange.loading import load_files
from pitbench.records.kinds import kind_of, model_of
from pitbench.records.models import Build, Motor
from pitbench.sheets.reading import read_sheet_text
from pitbench.store import contents
from pitbench.store.json_text import to_json
from pitbench.store.logbook import Logbook, Snapshot
from tests.unit.desk.any_records import DAY, SOME, STAMP, records

HEADERS = st.sampled_from(["teeth", "ID", "id", "Since", "motor_temp_f", "KV", "Time_s", "'note", "'=x", "", " ", "x"])
STAMPS = ("taken_at", "started_at", "written_at", "since", "date", "edited_at")
ODD_STAMP = st.sampled_from(["1850-01-01", "2026-05-16T14:02:00", "0001-01-01T09:00", "9999-12-31", "1970-01-01"])
VALUES = st.one_of(
    SOME,
    STAMP,
    ODD_STAMP,
    st.sampled_from(["yes", "same model", "pinion", "main", "deleted", "missing", "x" * 64, "x" * 81, "a\nb", "\x1b"]),
    st.floats(-1, 500),
    st.sampled_from([0, 1, 2, 48, 0.5, 3950.5, 1e-9, True, False, None]),
    st.dictionaries(HEADERS, SOME, max_size=3),
    st.lists(st.one_of(SOME, st.floats(5, 50)), max_size=2),
)


@st.composite
def edited(draw) -> bytes:
    """A logbook some fields of which somebody changed, took out, or put in, and some records of which were copied."""
    tree = contents.new_tree()
    for record in draw(records()):
        tree.setdefault(kind_of(record), {})[record.id] = record.row()
    rows = [(kind, key) for kind, table in tree.items() if kind != contents.HEAD for key in table]
    for _ in range(draw(st.integers(1, 3)) if rows else 0):
        kind, key = draw(st.sampled_from(rows))
        row, name = tree[kind][key], draw(st.sampled_from([*model_of(kind).model_fields]))
        others = [tree[k][i][name] for k, i in rows if name in tree[k][i]]
        match draw(st.sampled_from(["take out", "like another", "anything", "copy", "extra", "time"])):
            case "take out":
                row.pop(name, None)
            case "like another" if others:
                row[name] = draw(st.sampled_from(others))
            case "copy":
                twin = draw(st.sampled_from(["twin", "=twin", "x" * 64, "t w", "é"]))
                tree[kind][twin] = {**row, "id": twin}
            case "time":
                row[next((name for name in STAMPS if name in row), "edited_at")] = draw(ODD_STAMP)
            case "extra":
                row["extra"] = draw(st.dictionaries(HEADERS, SOME, max_size=3))
            case _:
                row[name] = draw(VALUES)
    return to_json(tree)


@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(edited())
def test_what_is_accepted_is_exported_and_taken_back(raw):
    try:
        found = contents.read(raw, whole=True)
    except contents.Flaw:
        return
    if found.problems:
        return
    snapshot = Snapshot(0, found.tree)
    sheets = sheets_of(snapshot)  # never an error, whatever hangs loose
    if list(loose_ends(snapshot, DAY.now)):
        return
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        files = [read_sheet_text(f"{name}.csv", text, DAY) for name, text in sheets.items()]
        reports = load_files(logbook, files).reports
        assert not [fault for report in reports for fault in report.faults]
        assert {outcome for report in reports for outcome in report.counts} <= {"added", "same"}
        if all(report.counts["added"] == report.file.count for report in reports):  # else copies became one
            assert sheets_of(logbook.snapshot()) == sheets


def test_a_build_of_parts_that_are_nowhere_is_exported_as_one_without_them():
    """An editor can take a part out and leave its build; check says so."""
    build = Build(id="b1", motor_id="m1", since="2026-01-01", rotor_id="gone")
    tree = {"motor": {"m1": {"id": "m1", "name": "Heron"}}, "build": {"b1": build.row()}}
    assert sheets_of(Snapshot(0, tree))["builds"].splitlines()[1] == "b1,Heron,2026-01-01,missing,missing,missing,"
    assert "rotor_id names a part that is not in the logbook" in next(loose_ends(Snapshot(0, tree)))


def test_own_columns_called_like_ours_come_back(tmp_path):
    extra = {"teeth": "a", "Time_s": "b", "ID": "c", "'taken_at": "d", "KV": "e"}
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        logbook.save("one", [Motor(name="Heron", extra=extra)])
        sheet = read_sheet_text("motors.csv", sheets_of(logbook.snapshot())["motors"], DAY)
    assert (sheet.sheet.name, sheet.faults, sheet.rows[0].extra) == ("motors", [], extra)


@pytest.mark.parametrize("extra", [{"": "x"}, {"a": "1", "A": "2"}])
def test_own_columns_without_a_name_or_twice_are_refused_by_check(extra):
    tree = {**contents.new_tree(), "motor": {"m1": {"id": "m1", "name": "Heron", "extra": extra}}}
    (problem,) = contents.read(to_json(tree), whole=True).problems
    assert problem.startswith("motor 'm1': extra is ") and "each once would be right" in problem


def test_times_no_load_would_take_are_said_by_check():
    tree = {"event": {"e1": {"id": "e1", "name": "Saltmouth", "date": "2031-05-01"}}}
    assert [*loose_ends(Snapshot(0, tree))] == []
    assert [*loose_ends(Snapshot(0, tree), DAY.now)] == [
        "event e1: date lies ahead of this computer's clock; set the clock right, or edit it."
    ]
    old = {**contents.new_tree(), "event": {"e1": {"id": "e1", "name": "Saltmouth", "date": "1850-01-01"}}}
    (problem,) = contents.read(to_json(old), whole=True).problems
    assert "is too long ago, 1970 or later would be right" in problem
