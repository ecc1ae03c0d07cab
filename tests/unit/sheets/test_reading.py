"""From the text of a sheet to values: kind, delimiter, units, unknown columns, and every fault with its place."""

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.records.names import Gap
from pitbench.records.reading import Day
from pitbench.sheets.columns import guarded, unguarded
from pitbench.sheets.reading import SheetFile, read_sheet_text
from pitbench.sheets.tables import SHEETS

DAY = Day(datetime(2026, 5, 16, 14, 2))
BENCH = "motor,taken_at,kv_rpm_per_v,no_load_current_a"


def read(text: str) -> SheetFile:
    return read_sheet_text("a.csv", text, DAY)


def faults(text: str) -> list[tuple[int, str | None, str | None, str]]:
    found = read(text)
    every = [*found.faults, *(fault for row in found.rows for fault in row.faults)]
    return [(fault.line, fault.column, fault.value, fault.why) for fault in every]


def only_fault(text: str) -> tuple[int, str | None, str | None, str]:
    (fault,) = faults(text)
    return fault


@pytest.mark.parametrize(
    ("header", "name"),
    [
        ("class,turns", "classes"),
        ("motor", "motors"),
        ("Motor,CLASS,resistance_mohm", "motors"),
        ("motor,class,resistance_temp_f", "motors"),
        ("since,motor,stator", "builds"),
        ("motor,taken_at,note", "bench"),
        ("motor,kv_rpm_per_v", "bench"),  # a bench figure makes a bench sheet, its missing time a problem
        ("erpm", "bench"),
        ("motor,event,date", "motors"),
        ("event,date", "events"),
        ("event,class", "events"),
        ("motor,started_at,event,round", "track"),
        ("motor,event,lap_times_s", "track"),
        ("motor,started_at,after_s,temp_f", "cooling"),
        ("motor,event,round_kind,round,after_s,temp_c", "cooling"),
        ("written_at,event,track,car,motor,what", "setup"),
        ("kind,teeth,dp", "gears"),
        ("time_s,voltage_v,rpm", None),
        ("apples,pears", None),
    ],
)
def test_the_header_tells_the_sheet(header, name):
    found = read(header + "\n")
    assert (found.sheet.name if found.sheet else None) == name
    assert found.sheet or "no sheet" in found.faults[0].why


def test_required_columns():
    assert only_fault("motor,kv_rpm_per_v\nHeron,3950\n")[:3] == (1, "taken_at", None)
    assert {fault[1] for fault in faults("kv_rpm_per_v\n3950\n")} == {"motor", "taken_at"}
    assert "is it takenat?" in only_fault("motor,takenat,kv_rpm_per_v\n")[3]


@pytest.mark.parametrize(
    ("header", "right"),
    [
        (
            "Motor;Date;KV;Current",
            "taken_at for Date, kv_rpm_per_v for KV and no_load_current_a for Current would be right",
        ),
        ("MOTOR,WHEN,SPEED", "taken_at for WHEN and rpm for SPEED would be right"),
        ("motor,Amps", "no_load_current_a for Amps and a column taken_at would be right"),
        ("motor\tday\tTiming (deg)\tClub", "taken_at for day and timing_deg for Timing (deg) would be right"),
        ("motor,class,turns,RPM (no load),Volts", "rpm for RPM (no load), test_voltage_v for Volts and a column"),
    ],
)
def test_a_bench_sheet_in_other_words_is_no_sheet_of_motors(header, right):
    """It became a motor once, and its runs were gone."""
    delimiter = next(sign for sign in ";\t," if sign in header)
    line, column, value, why = only_fault(f"{header}\nHeron{delimiter}2026-05-01\n")
    assert (line, column, value) == (1, None, None)
    assert why.startswith("the headers say a motor and a figure in other words, ")
    assert right in why


def test_other_words_beside_a_known_figure_are_named_where_a_column_is_missing():
    assert "needs a column taken_at (is it Date?)" in only_fault("Motor,Date,RPM\nHeron,2026-05-01,20000\n")[3]


def test_what_export_wrote_is_a_sheet_of_motors_whatever_own_columns_it_has():
    found = read("id,motor,class,KV\nm1,Heron,,3950\n")
    assert (found.faults, found.rows[0].extra) == ([], {"KV": "3950"})


@given(
    st.sampled_from([",", ";", "\t"]),
    st.lists(st.floats(100, 100_000).map(lambda kv: round(kv, 3)), min_size=1, max_size=4),
    st.booleans(),
)
def test_delimiter_and_decimal_sign_are_found_by_looking(delimiter, kvs, comma):
    def cell(kv: float) -> str:
        text = repr(kv).replace(".", ",") if comma else repr(kv)
        return f'"{text}"' if delimiter == "," else text

    lines = [BENCH.replace(",", delimiter), *(f"Heron{delimiter}2026-05-01{delimiter}{cell(kv)}" for kv in kvs)]
    found = read("\n".join(lines))
    assert [row.values["kv_rpm_per_v"] for row in found.rows] == kvs
    assert [row.line for row in found.rows] == list(range(2, len(kvs) + 2))
    assert not any(row.faults for row in found.rows)


def test_units_are_converted_at_the_door():
    found = read("motor,taken_at,motor_temp_f,ambient_c,resistance_temp_f,erpm\nHeron,2026-05-01,86,77F,30C,28000\n")
    values = found.rows[0].values
    assert (values["motor_temp_c"], values["ambient_c"], values["resistance_temp_c"]) == (30.0, 25.0, 30.0)
    assert read("class,max_rollout_in\nx,2.46\n").rows[0].values["max_rollout_mm"] == pytest.approx(62.484)


def test_a_fault_names_line_column_value_and_what_would_be_right():
    text = BENCH + "\nHeron,2026-05-01,3950,4.1\n\nHeron,2026-05-01,fast,4.1\nHeron,2026-05-20,3950,-4.1\n"
    assert faults(text) == [
        (4, "kv_rpm_per_v", "fast", "is no number, write one like 3500"),
        (5, "taken_at", "2026-05-20", "lies ahead of this computer's clock, which says 2026-05-16 14:02"),
        (5, "no_load_current_a", "-4.1", "is not possible, 0.01 to 100 A would be"),
    ]


@pytest.mark.parametrize(
    ("cell", "why"),
    [
        ("NaN", "is no number"),
        ("1e999", "is no number, one between"),
        ("398200", "is not possible, 100 to 100000 rpm/V would be"),
    ],
)
def test_numbers_that_are_none(cell, why):
    assert why in only_fault(f"{BENCH}\nHeron,2026-05-01,{cell},\n")[3]


@pytest.mark.parametrize(
    ("sheet", "why"),
    [
        ("motor,motor\nx,y\n", "stands twice"),
        ("motor,Motor\nx,y\n", "says the same as motor"),
        ("motor,taken_at,motor_temp_c,motor_temp_f,rpm\nHeron,2026-05-01,1,2,3\n", "says the same as motor_temp_c"),
        ("motor,mine,MINE\nx,1,2\n", "says the same as mine"),
        ("motor,note\nHeron,a,b\n", "has 3 cells, 2 as in the header would be right"),
        ("motor,note\nHeron,a,\n", "has 3 cells"),  # an unquoted decimal comma pushes cells over the end
        ("motor,,note\nHeron,x,a\n", "without a header"),
        ("motor,check_motor\nHeron,perhaps\n", "must be yes or no"),
        ("class,gearing_limit\nx,weather\n", "must be none, heat, rules, gears or unknown"),
        ("motor,poles\nHeron,3\n", "must be even"),
        ("motor,note\n,lost\n", "is empty, a name would be right"),
        (f"motor,note\n{'x' * 81},a\n", "at most 80"),
        ('motor,note\nHeron,"never closed\nPlover,x\n', "quotation mark"),
    ],
)
def test_faults_of_shape(sheet, why):
    assert why in only_fault(sheet)[3]


def test_a_row_may_be_short_and_a_header_may_end_in_a_delimiter():
    found = read("motor,class,note,\nHeron\n,,,\nPlover,x,,\n")
    assert [row.values["motor"] for row in found.rows] == ["Heron", "Plover"]
    assert not found.faults
    assert found.count == 2


def test_lines_are_counted_as_an_editor_does():
    found = read('motor,note\r\nHeron,"two\r\nlines"\r\nPlover,x\r\n')
    assert [(row.line, row.values["note"]) for row in found.rows] == [(2, "two lines"), (4, "x")]


def test_unknown_columns_are_kept_and_named_once():
    found = read("motor,Humidity,note\nHeron,60 %,x\nPlover,,\n")
    assert found.unknown_columns == ["Humidity"]
    assert [row.extra for row in found.rows] == [{"Humidity": "60 %"}, {}]


def test_a_blank_cell_is_none_and_a_missing_column_is_absent():
    values = read("motor,note\nHeron,\n").rows[0].values
    assert values == {"motor": "Heron", "note": None}


def test_a_part_taken_out():
    found = read("motor,since,stator,rotor,end_bell\nHeron,2026-05-01,Missing,'missing,R2\n")
    assert [found.rows[0].values[kind] for kind in ("stator", "rotor", "end_bell")] == [Gap.MISSING, "missing", "R2"]


@given(st.text("'=+-@ab", max_size=6))
def test_what_is_guarded_is_text_again(text):
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(("=", "+", "-", "@"))


NAMES = [column.name for sheet in SHEETS for column in sheet.columns]


@given(
    st.lists(st.one_of(st.sampled_from([*NAMES, "id", "motor_temp_f"]), st.text(max_size=6)), min_size=1, max_size=6),
    st.lists(
        st.lists(st.one_of(st.text(max_size=8), st.sampled_from(["3950", "2026-05-01", '"'])), max_size=7), max_size=4
    ),
    st.sampled_from(",;\t"),
)
def test_no_text_whatever_makes_anything_but_rows_and_faults(header, rows, delimiter):
    found = read("\n".join(delimiter.join(cells) for cells in (header, *rows)))
    for row in found.rows:
        assert row.faults or row.values.keys() <= set(NAMES)
    assert found.sheet is not None or found.faults
