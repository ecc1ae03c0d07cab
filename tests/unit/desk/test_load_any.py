"""Whatever stands in the sheets, a load ends in rows and sentences, and the same sheets again add nothing."""

from datetime import datetime

from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.exchange.exporting import sheets_of
from pitbench.desk.exchange.loading import Loaded, load_files
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import KINDS
from pitbench.records.numbers import example, shown
from pitbench.records.reading import Day
from pitbench.sheets.columns import Column
from pitbench.sheets.reading import SheetFile, read_sheet_text
from pitbench.sheets.tables import SHEETS
from pitbench.store.logbook import Logbook

DAY = Day(datetime(2026, 5, 16, 14, 2))
TIMES = ["2026-05-01", "2026-05-01 10:00", "2026-05-01 10:00:00", "1.5.2026 10:02"]
POOLS = {
    "name": st.sampled_from([*["Heron", "heron", "Plover", "club"] * 4, "x" * 81, ""]),
    "time": st.sampled_from([*TIMES * 5, "soon", ""]),
    "event": st.sampled_from([*["Saltmouth", "saltmouth 2026-05-01"] * 4, "Saltmouth 2026-04-01", "", "", ""]),
    "id": st.sampled_from(["", "", "", "a"]),
    "part": st.sampled_from(["A", "a", "B", "missing", "'missing", "Heron rotor", "", ""]),
    "yes or no": st.sampled_from(["yes", "no", "Y", "", "", "perhaps"]),
    "text": st.sampled_from(["=1+1", "some text", ""]),
}


def cells(column: Column) -> st.SearchStrategy[str]:
    """Cells of a column, most of them right."""
    if column.name in QUANTITIES:
        quantity = QUANTITIES[column.name]
        right = ["", example(quantity), shown(quantity.likely[1]), shown(quantity.possible[0] + quantity.whole)]
        return st.sampled_from([*right * 10, "-99", "NaN", "fast"])
    return POOLS.get(column.form, st.sampled_from([*column.form.split(", "), ""]))


IDS = st.sampled_from(["", "", "", "", "", "a", "b", "c"])


@st.composite
def sheets(draw) -> list[str]:
    """Up to four sheets of any kind, with rows that are right, wrong, equal or at odds with each other."""
    texts = []
    for sheet in draw(st.lists(st.sampled_from(SHEETS), min_size=1, max_size=4)):
        columns = [column for column in sheet.columns if column.required or draw(st.booleans())]
        header = ["id", *(column.name for column in columns), "mine"]
        rows = [
            [draw(IDS), *(draw(cells(column)) for column in columns), draw(POOLS["text"])]
            for _ in range(draw(st.integers(0, 4)))
        ]
        texts.append("\n".join(";".join(row) for row in [header, *rows]))
    return texts


def files(texts: list[str]) -> list[SheetFile]:
    return [read_sheet_text(f"{place}.csv", text, DAY) for place, text in enumerate(texts)]


def added(loaded: Loaded) -> int:
    return sum(file.added + file.replaced for file in loaded.answer.files)


@settings(max_examples=150)
@given(sheets(), st.booleans(), st.booleans())
def test_any_sheets(texts, good_rows, replace):
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        checked = load_files(logbook, files(texts), check=True, good_rows=good_rows, replace=replace)
        assert logbook.revision == 1
        loaded = load_files(logbook, files(texts), good_rows=good_rows, replace=replace)
        assert loaded.answer == checked.answer
        for report in loaded.reports:
            bad = len({fault.line for fault in report.faults})
            assert sum(report.counts.values()) + bad == report.file.count or not report.stored
        for kind in KINDS:
            logbook.records(kind)
        if not any(report.faults for report in loaded.reports):  # else a motor may be known only now
            assert added(load_files(logbook, files(texts))) == 0
        told = sheets_of(logbook.snapshot())
        if added(loaded):
            logbook.journal.undo()
            assert sheets_of(logbook.snapshot()) == {}
            load_files(logbook, files(texts), good_rows=good_rows, replace=replace)
            assert sheets_of(logbook.snapshot()) == told
