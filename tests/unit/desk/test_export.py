"""Sheets out and in again: nothing is lost, whatever stands in the records, and the bytes are the same."""

import csv
import io
import os
from pathlib import Path

import pytest
from hypothesis import given, settings

from pitbench.desk.exchange.exporting import export, sheets_of
from pitbench.desk.exchange.loading import load_files
from pitbench.records.fields import QUANTITIES
from pitbench.records.models import MODELS, BenchRun, Build, ClassSheet, Motor
from pitbench.records.refusal import Refusal
from pitbench.sheets.reading import read_sheet_text
from pitbench.sheets.tables import SHEETS
from pitbench.store.logbook import Logbook
from tests.unit.desk.any_records import DAY, records


def loaded(sheets: dict[str, str]) -> Logbook:
    """An empty logbook with these sheets loaded."""
    logbook = Logbook.in_memory(lambda: DAY.now)
    files = [read_sheet_text(f"{name}.csv", text, DAY) for name, text in sheets.items()]
    report = load_files(logbook, files)
    assert not [fault for each in report.reports for fault in each.faults]
    assert all(each.counts["added"] == each.file.count for each in report.reports)
    return logbook


def with_semicolons(text: str) -> str:
    """As a spreadsheet with decimal commas would save it."""
    rows = list(csv.reader(io.StringIO(text, newline="")))
    numeric = [header in QUANTITIES for header in rows[0]]
    out = io.StringIO()
    cells = (
        [c.replace(".", ",") if is_number else c for c, is_number in zip(row, numeric, strict=True)] for row in rows
    )
    csv.writer(out, delimiter=";").writerows(cells)
    return "\ufeff" + out.getvalue()


def told(logbook: Logbook, kind: str) -> list[dict]:
    """Rows of a kind without what a sheet does not hold."""
    aside = {"edited_at", "kept", "place", "build_id", "parts_named", "car_id", "stator_id", "rotor_id", "end_bell_id"}
    rows = [{name: value for name, value in row.items() if name not in aside} for row in logbook.rows(kind)]
    return sorted(rows, key=lambda row: row["id"])


@settings(max_examples=40)
@given(records())
def test_export_load_export_gives_the_same_bytes_and_loses_nothing(every):
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        logbook.save("random records", every)
        sheets = sheets_of(logbook.snapshot())
        again = loaded(sheets)
        assert sheets_of(again.snapshot()) == sheets
        for kind in ("class_sheet", "motor", "event", "bench_run", "track_run", "cooling", "setup_entry", "gear"):
            assert told(again, kind) == told(logbook, kind)
        assert sheets_of(loaded({name: with_semicolons(text) for name, text in sheets.items()}).snapshot()) == sheets


@settings(max_examples=15)
@given(records())
def test_an_export_loaded_into_its_own_logbook_changes_nothing(every):
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        logbook.save("random records", every)
        revision, sheets = logbook.revision, sheets_of(logbook.snapshot())
        files = [read_sheet_text(f"{name}.csv", text, DAY) for name, text in sheets.items()]
        report = load_files(logbook, files)
        assert {outcome for each in report.reports for outcome in each.counts} <= {"same"}
        assert logbook.revision == revision


def stocked() -> Logbook:
    logbook = Logbook.in_memory(lambda: DAY.now)
    logbook.save("a class", [ClassSheet(id="a", name="=13.5T", turns=13.5)])
    return logbook


def weekend() -> Logbook:
    """A class, a motor with a build of a date, and a run."""
    motor = Motor(name="Heron")
    build = Build(motor_id=motor.id, since="2026-01-01")
    run = BenchRun(motor_id=motor.id, build_id=build.id, taken_at="2026-02-01", kv_rpm_per_v=3950)
    logbook = stocked()
    logbook.save("all", [motor, build, run])
    return logbook


def test_only_sheets_that_hold_rows_are_written(tmp_path):
    with stocked() as logbook:
        assert export(logbook.snapshot(), tmp_path / "out") == (["classes.csv"], [])
        logbook.journal.bin("gone", [("class_sheet", "a")])
        assert export(logbook.snapshot(), tmp_path / "none") == ([], [])
    text = (tmp_path / "out" / "classes.csv").read_text(encoding="utf-8")
    assert text.splitlines()[1] == "a,'=13.5T,13.5,,,,,,,,,"


def test_a_motor_in_the_bin_takes_its_builds_and_runs_with_it():
    motor = Motor(name="Heron")
    build = Build(motor_id=motor.id, since="2026-01-01")
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        run = BenchRun(motor_id=motor.id, build_id=build.id, taken_at="2026-02-01", kv_rpm_per_v=3950)
        logbook.save("all", [motor, build, run])
        assert set(sheets_of(logbook.snapshot())) == {"motors", "builds", "bench"}
        logbook.journal.bin("motor", [("motor", motor.id)])
        assert sheets_of(logbook.snapshot()) == {}


def test_runs_of_one_time_keep_their_order():
    motor = Motor(name="Heron")
    build = Build(motor_id=motor.id)
    same = {"motor_id": motor.id, "build_id": build.id, "taken_at": "2026-02-01", "kv_rpm_per_v": 3950}
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        logbook.save("all", [motor, build, BenchRun(id="b", **same), BenchRun(id="a", place=1, **same)])
        lines = sheets_of(logbook.snapshot())["bench"].splitlines()[1:]
    assert [line.split(",")[0] for line in lines] == ["b", "a"]


def test_an_earlier_export_is_written_over_and_nothing_else_is(tmp_path):
    with stocked() as logbook:
        export(logbook.snapshot(), tmp_path)
        export(logbook.snapshot(), tmp_path)
        by_hand = tmp_path / "hand"
        by_hand.mkdir()
        (by_hand / "classes.csv").write_text("class\nmine\n", encoding="utf-8")
        with pytest.raises(Refusal, match="would be lost"):
            export(logbook.snapshot(), by_hand)
        assert (by_hand / "classes.csv").read_text(encoding="utf-8") == "class\nmine\n"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["classes.csv", "hand"]


def refused(path: Path) -> str:
    with stocked() as logbook, pytest.raises(Refusal) as refusal:
        export(logbook.snapshot(), path)
    assert "\n" not in str(refusal.value)
    return str(refusal.value)


def test_no_folder_to_write_to(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("x", encoding="utf-8")
    (tmp_path / "taken" / "classes.csv").mkdir(parents=True)
    assert "is a file" in refused(tmp_path / "file")
    assert "no folder" in refused(tmp_path / "none" / "deeper")
    assert "no folder" in refused(tmp_path / "file" / "deeper")
    assert "is a folder" in refused(tmp_path / "taken")

    def deny(*args, **more):
        raise PermissionError(13, "denied")

    with monkeypatch.context() as patch:
        patch.setattr(os, "open", deny)
        assert "may not be written to" in refused(tmp_path)
    monkeypatch.setattr(Path, "mkdir", deny)
    assert "may not be made" in refused(tmp_path / "new")


def test_an_export_over_an_older_one_is_this_logbook_and_nothing_else(tmp_path):
    """Sheets of what is gone go, a sheet somebody typed and whatever else lies there stays."""
    with weekend() as logbook:
        written, removed = export(logbook.snapshot(), tmp_path)
        assert (written, removed) == (["classes.csv", "motors.csv", "builds.csv", "bench.csv"], [])
        (tmp_path / "gears.csv").write_text("kind,teeth,dp\npinion,34,48\n", encoding="utf-8")
        (tmp_path / "notes.csv").write_text("id,motor\n", encoding="utf-8")
        (tmp_path / "bench.csv.pitbench-new").write_text("half a she", encoding="utf-8")
        logbook.journal.bin("gone", [("motor", row["id"]) for row in logbook.rows("motor")])
        written, removed = export(logbook.snapshot(), tmp_path)
    assert (written, removed) == (["classes.csv"], ["motors.csv", "builds.csv", "bench.csv"])
    assert sorted(path.name for path in tmp_path.iterdir()) == ["classes.csv", "gears.csv", "notes.csv"]
    assert (tmp_path / "classes.csv").stat().st_mode & 0o400


@pytest.mark.parametrize("to", ["elsewhere.csv", "none.csv"])
def test_a_link_is_neither_followed_nor_replaced(tmp_path, to):
    """Also where an older export stands at its other end, and where a sheet without rows would be removed."""
    folder, elsewhere = tmp_path / "out", tmp_path / "elsewhere.csv"
    folder.mkdir()
    elsewhere.write_text("id,class\nold,old\n", encoding="utf-8")
    (folder / "bench.csv").symlink_to(elsewhere)
    (folder / "classes.csv").symlink_to(tmp_path / to)
    assert "is a link, nothing was exported" in refused(folder)
    (folder / "classes.csv").unlink()
    with stocked() as logbook:
        assert export(logbook.snapshot(), folder) == (["classes.csv"], [])
    assert (folder / "bench.csv").is_symlink()
    assert elsewhere.read_text(encoding="utf-8") == "id,class\nold,old\n"


def test_a_pipe_in_the_place_of_a_sheet_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "classes.csv")
    assert "was not written by export" in refused(tmp_path)


@pytest.mark.parametrize("call", ["open", "write", "fsync", "replace"])
def test_a_full_disk_leaves_the_earlier_export_whole(tmp_path, monkeypatch, call):
    """At whichever sheet it is full: all are written before the first is replaced."""
    with weekend() as logbook:
        export(logbook.snapshot(), tmp_path)
        before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
        motor = next(iter(logbook.records("motor")))
        logbook.save("another name", [motor.with_(name="Plover")])
        for nth in range(1, len(before) + 1) if call != "replace" else [1]:
            real, count = getattr(os, call), 0

            def full(*args, real=real, nth=nth, **more):
                nonlocal count
                count += 1
                if count == nth:
                    raise OSError(28, "No space left on device")
                return real(*args, **more)

            with monkeypatch.context() as patch, pytest.raises(Refusal, match="no space left") as refusal:
                patch.setattr(os, call, full)
                export(logbook.snapshot(), tmp_path)
            assert refusal.value.status == 1
            assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before
        export(logbook.snapshot(), tmp_path)
    assert "Plover" in (tmp_path / "bench.csv").read_text(encoding="utf-8")


def test_all_is_synced_before_anything_is_replaced(tmp_path, monkeypatch):
    calls = []
    for name in ("fsync", "replace"):
        real = getattr(os, name)
        monkeypatch.setattr(os, name, lambda *args, real=real, name=name: calls.append(name) or real(*args))
    with weekend() as logbook:
        export(logbook.snapshot(), tmp_path)
    assert calls == ["fsync"] * 4 + ["replace"] * 4 + ["fsync"]


def test_every_kind_of_record_has_its_sheet():
    elsewhere = {"part", "car", "settings", "load_log"}
    assert {sheet.record for sheet in SHEETS} == set(MODELS) - elsewhere, "parts and cars go by name, logs in a merge"
