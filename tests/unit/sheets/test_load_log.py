"""The reader of load logs: any dialect reads the same, and every dirt is found, counted and said."""

import string
from datetime import datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.records.refusal import Refusal
from pitbench.sheets import load_log
from pitbench.sheets.log_columns import suggested

HEADER = "time_s,voltage_v,current_a,rpm,throttle_pct,motor_temp_c,esc_temp_c"
COUNT = 120


def good_rows(count=COUNT):
    """Cells of a log with nothing wrong, ten rows a second."""
    return [
        [
            f"{0.1 * n:.1f}",
            f"{7.4 - n % 9 / 100:.2f}",
            f"{5 + n % 30 + 0.25:.2f}",
            f"{20000 + 7 * n}",
            f"{n % 101}",
            "31.5",
            "40.0",
        ]
        for n in range(count)
    ]


def text_of(rows, header=HEADER, above=""):
    return above + header + "\n" + "".join(f"{row if isinstance(row, str) else ','.join(row)}\n" for row in rows)


@pytest.fixture
def read(tmp_path):
    def reading(text, told=None, remembered=None):
        path = tmp_path / "log.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        head = load_log.look(path)
        return load_log.read(path, head, load_log.mapped(head, told or {}, remembered or {}))

    return reading


def said(found):
    return {note.what: note.why for note in found.notes}


def test_a_good_log_is_read_whole_and_nothing_is_said(read):
    found = read(text_of(good_rows()))
    assert (found.rows, found.unreadable, found.repeated, found.notes) == (COUNT, 0, 0, [])
    assert found.samples["time"] == pytest.approx([0.1 * n for n in range(COUNT)])
    assert found.samples["rpm"] == pytest.approx([20000 + 7 * n for n in range(COUNT)])
    assert found.samples["throttle"].max() == 1.0
    assert found.columns == {name: name for name in HEADER.split(",")}


WIDE = ["6553.5", "65.535", "655.35", "65535", "255", "255", "255"]
NARROW = ["5.0", "25.5", "25.5", "255", "255", "25.5", "255"]
NO_ROW, BITS, TWICE, BACK = "as wide as the others", "all bits set", "there twice", "out of the order of time"
DIRT = {
    "rubbish row, all bits set": (lambda rows: rows.insert(50, WIDE), 1, 0, BITS),
    "one byte each": (lambda rows: rows.insert(50, NARROW), 1, 0, BITS),
    "a row twice": (lambda rows: rows.insert(50, rows[49]), 0, 1, TWICE),
    "the log twice": (lambda rows: rows.__setitem__(slice(50, 50), rows[10:50]), 0, 40, TWICE),
    "a block twice": (lambda rows: rows.__setitem__(slice(50, 50), rows[44:50]), 0, 6, TWICE),
    "time backwards": (lambda rows: rows[50].__setitem__(0, "1.0"), 1, 0, BACK),
    "time far ahead": (lambda rows: rows[50].__setitem__(0, "99.0"), 1, 0, BACK),
    "a torn line": (lambda rows: rows.insert(50, "5.0,7.4"), 1, 0, NO_ROW),
    "a comma too many": (lambda rows: rows.insert(50, "5,0,7.4,1,2,3,4,5"), 1, 0, NO_ROW),
    "the header again": (lambda rows: rows.insert(50, HEADER), 1, 0, NO_ROW),
    "bytes that are no text": (lambda rows: rows.insert(50, "\x00\x00\x00\x00"), 1, 0, NO_ROW),
    "no voltage": (lambda rows: rows[50].__setitem__(1, ""), 1, 0, "without a time, a voltage or a current"),
    "a time no calendar holds": (lambda rows: rows[50].__setitem__(0, "1e308"), 1, 0, "no number a car gives"),
    "impossible speed": (lambda rows: rows[50].__setitem__(3, "2000000"), 1, 0, "no number a car gives"),
}
"""What is spoilt, how many rows are unreadable then, how many are repeated, and what is said."""


@pytest.mark.parametrize("name", DIRT)
def test_every_dirt_is_left_out_counted_and_said(read, name):
    spoil, unreadable, repeated, words = DIRT[name]
    rows = good_rows()
    spoil(rows)
    found = read(text_of(rows))
    assert (found.unreadable, found.repeated) == (unreadable, repeated)
    assert found.rows == len(rows) == len(found.samples["time"]) + unreadable + repeated
    assert words in said(found)["rows"] and "row 51" in said(found)["rows"]
    assert (np.diff(found.samples["time"]) > 0).all()


def test_raw_bytes_all_set_are_unreadable_rows(read):
    text = text_of(good_rows()).encode()
    found = read(text + b"\xff" * 300 + b"\n")
    assert (found.rows, found.unreadable) == (COUNT + 1, 1)


def test_an_impossible_temperature_is_unknown_and_its_row_stands(read):
    rows = good_rows()
    rows[10][5] = "999"
    found = read(text_of(rows))
    assert len(found.samples["time"]) == COUNT and np.isnan(found.samples["motor_temp_c"][10])
    assert said(found)["motor_temp_c"] == "is impossible in 1 row: unknown there"


def test_a_dead_channel_is_unknown_not_zero(read):
    rows = [[*row[:5], "0", ""] for row in good_rows()]
    found = read(text_of(rows))
    assert not {"motor_temp_c", "esc_temp_c"} & found.samples.keys()
    assert said(found) == {
        "motor_temp_c": "is 0 throughout: a dead channel",
        "esc_temp_c": "is blank throughout: a dead channel",
    }


def test_a_dead_channel_in_fahrenheit_is_dead_too(read):
    rows = [[*row[:5], "0", "104"] for row in good_rows()]
    found = read(text_of(rows, HEADER.replace("temp_c", "temp_f")))
    assert "motor_temp_c" not in found.samples and found.samples["esc_temp_c"][0] == pytest.approx(40)


def test_voltage_in_coarse_steps_is_said(read):
    rows = [[row[0], f"{7.0 + n % 5 / 10:.1f}", *row[2:]] for n, row in enumerate(good_rows())]
    assert said(read(text_of(rows))) == {"voltage_v": "comes in steps of 0.1 V"}


def test_text_before_the_header_and_a_row_of_units(read):
    guessed = suggested(header := ["Time", "Voltage", "Current", "RPM", "Throttle", "Motor temp", "ESC temp"])
    above = "Logged by my own speed control, firmware 3, May\nsettings: punch 5; drag 0\n\n"
    rows = [
        ["ms", "V", "A", "rpm", "%", "F", "F"],
        *([f"{100 * n}", *row[1:5], "88.7", "104"] for n, row in enumerate(good_rows())),
    ]
    found = read(text_of(rows, ",".join(header), above), guessed)
    assert (found.rows, found.unreadable) == (COUNT, 0)
    assert found.samples["time"][-1] == pytest.approx(11.9)
    assert found.samples["motor_temp_c"][0] == pytest.approx(31.5)
    assert said(found)["header"] == "2 lines of text before the rows"


@pytest.mark.parametrize("joined", ["voltage_v current_a", "voltage_vcurrent_a"])
def test_a_comma_missing_in_the_header_is_put_back(read, joined):
    found = read(text_of(good_rows(), HEADER.replace("voltage_v,current_a", joined)))
    assert found.columns == {name: name for name in HEADER.split(",")}
    assert "separator is missing between voltage_v and current_a" in said(found)["header"]


def test_time_that_begins_anew_goes_on_behind_what_came_before(read):
    second = [[row[0], "7.11", *row[2:]] for row in good_rows(50)]
    found = read(text_of([*good_rows(60), *second]))
    assert len(found.samples["time"]) == 110
    steps = np.diff(found.samples["time"])
    assert steps[59] == pytest.approx(1.0) and np.delete(steps, 59) == pytest.approx(0.1)
    assert "begins anew once" in said(found)["time"]


def test_whole_seconds_are_spread_evenly(read):
    rows = [[f"{n // 10}", *row[1:]] for n, row in enumerate(good_rows())]
    found = read(text_of(rows))
    assert found.samples["time"] == pytest.approx([0.1 * n for n in range(COUNT)])
    assert "spread evenly" in said(found)["time"]


def clocks(count, form, start=datetime(2026, 5, 17, 23, 59, 57)):
    return [
        (start + timedelta(seconds=0.1 * n)).strftime(form)[: -5 if form.endswith("f") else None] for n in range(count)
    ]


def test_a_clock_passes_midnight(read):
    rows = [[clock, *row[1:]] for clock, row in zip(clocks(COUNT, "%H:%M:%S.%f"), good_rows(), strict=True)]
    found = read(text_of(rows))
    assert np.diff(found.samples["time"]) == pytest.approx(0.1) and found.notes == [] and found.began is None


def test_date_and_clock_in_two_columns(read):
    days, times = clocks(COUNT, "%d.%m.%Y"), clocks(COUNT, "%H:%M:%S.%f")
    rows = [[day, clock, *row[1:]] for day, clock, row in zip(days, times, good_rows(), strict=True)]
    found = read(text_of(rows, "date," + HEADER))
    assert np.diff(found.samples["time"]) == pytest.approx(0.1, abs=1e-4)
    assert found.began == datetime(2026, 5, 17, 23, 59, 57)


def test_date_and_clock_in_one_column(read):
    times = clocks(COUNT, "%Y-%m-%d %H:%M:%S.%f")
    found = read(text_of([[at, *row[1:]] for at, row in zip(times, good_rows(), strict=True)]))
    assert found.began == datetime(2026, 5, 17, 23, 59, 57) and len(found.samples["time"]) == COUNT


def test_seconds_and_milliseconds_in_two_columns(read):
    rows = [[f"{n // 10}", f"{n % 10 * 100}", *row[1:]] for n, row in enumerate(good_rows())]
    found = read(text_of(rows, HEADER.replace("time_s", "time_s,time_ms")))
    assert found.samples["time"] == pytest.approx([0.1 * n for n in range(COUNT)])


def test_numbers_tell_the_unit_that_no_header_states(read):
    rows = [
        [f"{100 * n}", f"{1000 * float(row[1]):.0f}", row[2], row[3], f"{int(row[4]) / 100}", "158.9", "40"]
        for n, row in enumerate(good_rows())
    ]
    header = "Zeit,Spannung,Strom,Drehzahl,Gas,Motor Temp,Regler Temp"
    guess = suggested(header.split(","))
    assert [*guess] == ["time_s", "voltage_v", "current_a", "rpm", "throttle", "motor_temp_c", "esc_temp_c"]
    found = read(text_of(rows, header), told=guess)
    assert found.samples["time"][-1] == pytest.approx(11.9)
    assert found.samples["voltage_v"][0] == pytest.approx(7.4)
    assert found.samples["throttle"].max() == pytest.approx(1)
    assert found.samples["motor_temp_c"][0] == pytest.approx(70.5)
    assert said(found) == {
        "time_s": "goes up by 100 a row: taken as ms",
        "voltage_v": "reaches 7400: taken as mV",
        "motor_temp_c": "reaches 158.9: taken as °F",
    }


def test_a_pulse_is_throttle_from_its_least_to_its_most(read):
    rows = [[*row[:4], f"{1050 + 850 * n // (COUNT - 1)}", *row[5:]] for n, row in enumerate(good_rows())]
    found = read(text_of(rows, HEADER.replace("throttle_pct", "throttle")))
    assert (found.samples["throttle"].min(), found.samples["throttle"].max()) == pytest.approx((0, 1))
    assert said(found)["throttle"] == "is a pulse: 1050 µs taken as none, 1900 µs as full"


def test_unknown_headers_are_refused_with_what_to_type(read):
    with pytest.raises(Refusal) as refused:
        read(text_of(good_rows(), "Zeit [s],U/V,I/A,n [1/min],Gas,T1,T2"))
    for option in (
        '--map "time_s=Zeit [s]"',
        '--map "voltage_v=U/V"',
        '--map "current_a=I/A"',
        '--map "rpm=n [1/min]"',
    ):
        assert option in str(refused.value)


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"speed": "rpm"}, "no column 'speed'"),
        ({"time_s": "Zeit"}, "no header 'Zeit'"),
        ({"time_s": "rpm", "voltage_v": "rpm"}, "two columns at once"),
    ],
)
def test_a_map_that_cannot_be_is_refused(read, told, words):
    with pytest.raises(Refusal, match=words):
        read(text_of(good_rows()), told)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b" \n\n", "is empty"),
        ("time_s,voltage_v,current_a\n1,2,3\n".encode("utf-16"), "UTF-16"),
        (b"\0\1\2\3" * 100, "binary"),
        (b"dear diary\nit rained, again, today\n", "holds no rows of numbers"),
        (HEADER.encode(), "holds no rows of numbers"),
    ],
    ids=["nothing", "blanks", "UTF-16", "binary", "a diary", "a header alone"],
)
def test_what_is_no_log_is_refused(read, content, words):
    with pytest.raises(Refusal, match=words):
        read(content)


DIALECTS = st.fixed_dictionaries(
    {
        "delimiter": st.sampled_from([",", ";", "\t"]),
        "comma": st.booleans(),
        "end": st.sampled_from(["\n", "\r\n", "\r"]),
        "mark": st.booleans(),
        "quoted": st.booleans(),
        "blanks": st.booleans(),
        "last": st.booleans(),
        "order": st.permutations(range(7)),
        "above": st.lists(st.text(string.ascii_letters + " .:", min_size=1, max_size=30), max_size=3),
    }
)


@given(DIALECTS)
def test_every_dialect_reads_the_same(tmp_path_factory, dialect):
    """Separator, decimal sign, line ends, order of columns, quotation marks and text above change nothing."""
    comma = dialect["comma"] and (dialect["delimiter"] != "," or dialect["quoted"])
    lines = [HEADER.split(","), *good_rows(40)]
    written = []
    for at, row in enumerate(lines):
        cells = [row[place] for place in dialect["order"]]
        if comma and at:
            cells = [cell.replace(".", ",") for cell in cells]
        if dialect["quoted"]:
            cells = [f'"{cell}"' for cell in cells]
        gap = " " if dialect["blanks"] else ""
        written.append(f"{dialect['delimiter']}{gap}".join(cells) + (dialect["delimiter"] if dialect["last"] else ""))
    text = dialect["end"].join([*dialect["above"], *written]) + dialect["end"]
    path = tmp_path_factory.mktemp("log") / "log.csv"
    path.write_bytes((b"\xef\xbb\xbf" if dialect["mark"] else b"") + text.encode())
    head = load_log.look(path)
    found = load_log.read(path, head, load_log.mapped(head, {}, {}))
    assert (found.rows, found.unreadable, found.repeated) == (40, 0, 0)
    assert found.samples["time"] == pytest.approx([0.1 * n for n in range(40)])
    assert found.samples["current_a"] == pytest.approx([5 + n % 30 + 0.25 for n in range(40)])
    assert found.samples["motor_temp_c"] == pytest.approx([31.5] * 40)


ODD = ["", "-", "nan", "inf", "1e999", "-1", "0", "65535", "4294967295", "12:00", "24:61:99", "7,4", '"', '"a', "1_0"]
CELLS = st.one_of(
    st.sampled_from([*ODD, "٣", "5 V", "99.99.9999", "0000-00-00", "\x00", "=1+1"]),
    st.floats(-1e6, 1e6).map(lambda number: f"{number:.2f}"),
    st.text(max_size=6),
)


@given(
    st.lists(st.lists(CELLS, min_size=1, max_size=9), max_size=40),
    st.lists(st.integers(0, 60), max_size=5),
    st.booleans(),
)
def test_whatever_stands_there_every_row_is_counted_or_the_file_refused(tmp_path_factory, bad, places, all_bad):
    rows = [] if all_bad else good_rows(60)
    for at, row in enumerate(bad):
        rows.insert(places[at % len(places)] if places else 0, row)
    path = tmp_path_factory.mktemp("log") / "log.csv"
    path.write_bytes(text_of(rows).encode("utf-8", "replace"))
    try:
        head = load_log.look(path)
        found = load_log.read(path, head, load_log.mapped(head, {}, {}))
    except Refusal as refused:
        assert str(refused)[-1] == "."
        return
    left = len(found.samples["time"])
    assert found.rows == left + found.unreadable + found.repeated
    for numbers in found.samples.values():
        assert len(numbers) == left
    for name in ("time", "voltage_v", "current_a"):
        assert np.isfinite(found.samples[name]).all()
    assert (np.diff(found.samples["time"]) > 0).all()


@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused(tmp_path_factory, raw):
    path = tmp_path_factory.mktemp("log") / "log.csv"
    path.write_bytes(raw)
    try:
        head = load_log.look(path)
        load_log.read(path, head, load_log.mapped(head, {}, {}))
    except Refusal:
        pass


def test_progress_is_told_up_to_the_end(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(text_of(good_rows(20_000)), encoding="utf-8")
    told = []
    head = load_log.look(path)
    load_log.read(path, head, load_log.mapped(head, {}, {}), told.append)
    assert told == sorted(told) and len(told) > 2 and told[-1] == 1.0


def test_headers_of_any_length_are_named_in_one_short_sentence(tmp_path):
    path = tmp_path / "log.csv"
    headers = ["[" * 3000, *(f"h{n}" for n in range(200))]
    path.write_text(",".join(headers) + "\n" + "\n".join(",".join(["1.5"] * 201) for _ in range(20)), encoding="utf-8")
    with pytest.raises(Refusal) as refusal:
        load_log.mapped(load_log.look(path), {}, {})
    assert len(str(refusal.value)) < 1500 and "and 181 more" in str(refusal.value)
