"""Sheets out and in again: nothing is lost, whatever stands in the records, and the bytes are the same."""

import csv
import io
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.exporting import export, sheets_of
from pitbench.desk.loading import load_files
from pitbench.records.frame import Record
from pitbench.records.models import BENCH_FIGURES, MODELS, BenchRun, Build, ClassSheet, Motor, Part
from pitbench.records.names import clean_name, clean_text, name_key
from pitbench.records.quantities import PART_KINDS, QUANTITIES
from pitbench.records.refusal import Refusal
from pitbench.records.stamps import stamp_of, time_key
from pitbench.sheets.columns import Day
from pitbench.sheets.reading import read_sheet_text
from pitbench.sheets.tables import SHEETS
from pitbench.store.logbook import Logbook

DAY = Day(datetime(2026, 5, 16, 14, 2))
SOME = st.one_of(st.text(max_size=12), st.text("'=+-@;,\t\"mising\n é", max_size=9), st.just("missing"))
NAME = SOME.filter(clean_text).map(clean_name)
NOTE = SOME.map(clean_text).filter(bool)
OWN_COLUMNS = {header for sheet in SHEETS for column in sheet.columns for header in (column.name, "id")}
EXTRA = st.dictionaries(
    NOTE.filter(lambda header: header.casefold() not in OWN_COLUMNS),
    NOTE,
    max_size=2,
).filter(lambda extra: len({header.casefold() for header in extra}) == len(extra))
STAMP = st.builds(
    lambda when, how: [stamp_of(when), stamp_of(when, seconds=True), when.date().isoformat()][how],
    st.one_of(st.datetimes(datetime(1971, 1, 1), DAY.now), st.sampled_from([DAY.now, datetime(2026, 4, 1)])),
    st.integers(0, 2),
)


def number(name: str) -> st.SearchStrategy[float]:
    quantity = QUANTITIES[name]
    low, high = quantity.possible
    if quantity.whole:
        return st.integers(int(low / 2) or 1, int(high / 2)).map(lambda half: float(2 * half))
    return st.one_of(st.floats(low, high, allow_subnormal=False), st.sampled_from([low, high, *quantity.likely]))


def record(draw, model: type[Record], **fixed) -> Record:
    """A record of this model with random fields beside the fixed ones."""
    rest = {}
    for name, field in model.model_fields.items():
        if name in fixed or name in Record.model_fields or not draw(st.booleans()):
            continue
        if name in QUANTITIES:
            rest[name] = draw(number(name))
        elif field.annotation in (bool, bool | None):
            rest[name] = draw(st.booleans())
        elif name in {"session", "tester"}:
            rest[name] = draw(NAME)
        elif name == "note":
            rest[name] = draw(NOTE)
    return model.of({**rest, "extra": draw(EXTRA), **fixed})


@st.composite
def records(draw) -> list[Record]:
    """Classes, motors, parts, builds of every kind, and bench runs on any of them."""
    ids = iter(f"{n:016x}" for n in range(1000))
    names = st.lists(NAME, unique_by=name_key, max_size=3)
    choices = {"parts_mixed": ["yes", "no", "same model", None], "gearing_limit": ["heat", "unknown", None]}
    picked = {name: draw(st.sampled_from(words)) for name, words in choices.items()}
    classes = [record(draw, ClassSheet, id=next(ids), name=name, **picked) for name in draw(names)]
    class_ids = st.sampled_from([None, *(each.id for each in classes)])
    motors = [record(draw, Motor, id=next(ids), name=name, class_id=draw(class_ids)) for name in draw(names)]
    parts = [
        Part(id=next(ids), kind=kind, name=name)
        for kind in PART_KINDS
        for name in draw(st.lists(NAME, min_size=1, max_size=3, unique_by=name_key))
    ]
    builds, runs = [], []
    for motor in motors:
        own = _builds(draw, ids, motor, parts)
        builds += own
        runs += _runs(draw, ids, motor, own)
    return [*classes, *motors, *parts, *builds, *runs]


def _builds(draw, ids, motor: Motor, parts: list[Part]) -> list[Build]:
    def slots(gaps: bool) -> dict[str, str | None]:
        ids_of = {kind: [part.id for part in parts if part.kind == kind] for kind in PART_KINDS}
        return {
            f"{kind}_id": draw(st.sampled_from([*found, None] if gaps else found)) for kind, found in ids_of.items()
        }

    since = draw(st.lists(STAMP, max_size=2, unique_by=time_key))
    dated = [record(draw, Build, id=next(ids), motor_id=motor.id, since=s, fitted=True, **slots(True)) for s in since]
    tried = [
        Build(id=next(ids), motor_id=motor.id, fitted=False, **slots(True)) for _ in range(draw(st.integers(0, 1)))
    ]
    return [Build(id=next(ids), motor_id=motor.id, **slots(True)), *dated, *tried]


def _runs(draw, ids, motor: Motor, builds: list[Build]) -> list[BenchRun]:
    runs = []
    for stamp in draw(st.lists(STAMP, max_size=3)):
        place = sum(time_key(run.taken_at) == time_key(stamp) for run in runs)
        figure = draw(st.sampled_from(BENCH_FIGURES))
        run = record(
            draw,
            BenchRun,
            id=next(ids),
            motor_id=motor.id,
            build_id=draw(st.sampled_from(builds)).id,
            taken_at=stamp,
            place=place,
            excluded_why=draw(st.none() | NOTE),
            test_voltage_v=draw(number("test_voltage_v")),
            **{figure: draw(number(figure))},
        )
        runs.append(run)
    return runs


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
    aside = {"edited_at", "kept", "place", "build_id", "stator_id", "rotor_id", "end_bell_id"}
    rows = [{name: value for name, value in row.items() if name not in aside} for row in logbook.rows(kind)]
    return sorted(rows, key=lambda row: row["id"])


@settings(max_examples=60)
@given(records())
def test_export_load_export_gives_the_same_bytes_and_loses_nothing(every):
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        logbook.save("random records", every)
        sheets = sheets_of(logbook.snapshot())
        again = loaded(sheets)
        assert sheets_of(again.snapshot()) == sheets
        for kind in ("class_sheet", "motor", "bench_run"):
            assert told(again, kind) == told(logbook, kind)
        assert sheets_of(loaded({name: with_semicolons(text) for name, text in sheets.items()}).snapshot()) == sheets


@settings(max_examples=25)
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


def test_only_sheets_that_hold_rows_are_written(tmp_path):
    with stocked() as logbook:
        assert export(logbook.snapshot(), tmp_path / "out") == [tmp_path / "out" / "classes.csv"]
        logbook.bin("gone", [("class_sheet", "a")])
        assert export(logbook.snapshot(), tmp_path / "none") == []
    text = (tmp_path / "out" / "classes.csv").read_text(encoding="utf-8")
    assert text.splitlines()[1] == "a,'=13.5T,13.5,,,,,,,,,"


def test_a_motor_in_the_bin_takes_its_builds_and_runs_with_it():
    motor = Motor(name="Heron")
    build = Build(motor_id=motor.id, since="2026-01-01")
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        run = BenchRun(motor_id=motor.id, build_id=build.id, taken_at="2026-02-01", kv_rpm_per_v=3950)
        logbook.save("all", [motor, build, run])
        assert set(sheets_of(logbook.snapshot())) == {"motors", "builds", "bench"}
        logbook.bin("motor", [("motor", motor.id)])
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

    monkeypatch.setattr(Path, "write_text", deny)
    assert "may not be written to" in refused(tmp_path)
    monkeypatch.setattr(Path, "mkdir", deny)
    assert "may not be made" in refused(tmp_path / "new")


def test_a_full_disk_leaves_the_earlier_sheet(tmp_path, monkeypatch):
    with stocked() as logbook:
        (path,) = export(logbook.snapshot(), tmp_path)
        before = path.read_bytes()
        monkeypatch.setattr(
            Path, "replace", lambda *args: (_ for _ in ()).throw(OSError(28, "No space left on device"))
        )
        with pytest.raises(Refusal, match="No space left") as refusal:
            export(logbook.snapshot(), tmp_path)
    assert refusal.value.status == 1
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]


def test_every_kind_of_record_has_its_sheet():
    assert {sheet.record for sheet in SHEETS} == set(MODELS) - {"part", "car", "settings"}, "parts and cars go by name"
