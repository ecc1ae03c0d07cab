"""Drawing: text fitted without a silent cut, tables in place, bars and plots on their scale, colours readable."""

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from pitbench.app.widgets.intervals import NAME_WIDTH, Interval, interval_bars
from pitbench.app.widgets.letters import LABEL_WIDTH, LetterRow, letter_rows, letters, who_is_who
from pitbench.app.widgets.paint import fitted, width_of, wrapped
from pitbench.app.widgets.plot import whole_cells
from pitbench.app.widgets.scale import Scale, round_step, sparkline
from pitbench.app.widgets.table import Column, Table, with_margin

TEXT = st.text(alphabet=st.characters(codec="utf-8", exclude_categories=["Cs", "Mn", "Me", "Cf"]), max_size=40)


@given(TEXT, st.integers(1, 50), st.sampled_from(["left", "right"]))
def test_fitted_text_is_as_wide_as_asked_and_says_when_it_is_cut(text, width, align):
    shown = fitted(text, width, align)
    assert cell_len(shown) == width
    assert "\x1b" not in shown and "\n" not in shown
    if cell_len(text) > width:
        assert shown.rstrip().endswith("…")


@pytest.mark.parametrize("value", [0.0, 3.2, -41.0])
def test_a_scale_of_equal_values_has_numbers_people_can_read(value):
    numbers = Scale([value, value], 40).head.split()
    assert len(numbers) >= 2 and all(
        len(number) <= 7 and float(number) == pytest.approx(value, abs=0.02) for number in numbers
    )


@given(st.lists(st.text(alphabet="abcde", min_size=1, max_size=9), max_size=12), st.integers(10, 40))
def test_wrapped_words_are_all_there_and_no_line_is_too_long(words, width):
    lines = wrapped(" ".join(words), width)
    assert " ".join(lines).split() == words
    assert all(len(line) <= width for line in lines)


def test_a_sign_does_not_part_from_its_number():
    assert wrapped("current +2.2 %. It", 14) == ["current", "+2.2 %. It"] and wrapped("2 %", 2) == ["2", "%"]


def drawn(line):
    return "".join(text for text, _ in line)


def test_a_table_fits_its_width_and_leaves_out_what_is_for_wider_ones():
    columns = (
        Column("motor", 8, lambda row: row["name"], grow=True),
        Column("KV|rpm/V", 6, lambda row: (f"{row['kv']}", "quiet"), "right"),
        Column("note|", 10, lambda row: row["note"], from_width=60, role="good"),
    )
    for width, words in ((40, ["Lapwing", "3936"]), (60, ["Lapwing", "3936", "new", "cans"])):
        table = Table(columns, width)
        row = table.row({"name": "Lapwing", "kv": 3936, "note": "new cans"})
        assert drawn(row).split() == words
        assert width_of(row) + 3 == width_of(table.heads()[0]) == width - 2
        assert drawn(table.heads()[1]).split() == ["rpm/V"]
    assert [role for text, role in row if text.strip()] == ["text", "quiet", "good"]
    assert len(Table(columns[:1], 40).heads()) == 1


@given(st.text("0123456789.", min_size=1, max_size=6), st.text("0123456789", min_size=1, max_size=4))
def test_a_margin_stands_whole_or_not_at_all(mean, margin):
    column = Column("KV", 9, lambda row: with_margin(*row), "right")
    shown = drawn(Table([column], 40).row((mean, margin))).strip()
    whole = f"{mean} ±{margin}"
    assert shown == (whole if len(whole) <= 9 else f"{mean} ±…")


@given(st.lists(st.floats(-50, 50), min_size=5, max_size=5).map(sorted), st.integers(60, 160))
def test_an_interval_is_drawn_inside_its_room_in_the_right_order(ends, width):
    """Ends and best guess stand on one scale that fills the room: in order, and as far apart as they are, to a cell."""
    low90, low50, mean, high50, high90 = ends
    lines = interval_bars("POWER AT LOAD, %", [Interval("Whio", low90, low50, mean, high50, high90)], width)
    bar = "".join(text for text, _ in lines[-1])
    assert len(bar) <= width - 1
    assert [text for text, ink in lines[-1] if ink == "accent"] == ["█"]
    drawn = bar[NAME_WIDTH + 3 :]
    assert re.fullmatch("[ ·]*▁*▄*█▄*▁*[ ·]*", drawn)
    nine_tenths, half = ([i for i, c in enumerate(drawn) if c in marks] for marks in ("▁▄█", "▄█"))
    cells = (nine_tenths[0], half[0], drawn.index("█"), half[-1], nine_tenths[-1])
    if high90 - low90 > 1e-6:
        assert cells[-1] - cells[0] > 0.9 * (len(drawn) - 1) - 1
    per_unit = (cells[-1] - cells[0]) / (high90 - low90) if high90 > low90 else 0.0
    assert [cell - cells[0] for cell in cells] == pytest.approx([(end - low90) * per_unit for end in ends], abs=1.01)


@given(st.floats(1e-6, 1e6), st.integers(2, 9))
def test_a_round_step_gives_no_more_steps_than_asked(span, most):
    step = round_step(span, most)
    assert span / step <= most * (1 + 1e-9)
    assert f"{step:e}"[0] in "125"


@given(st.floats(-1e4, 1e4), st.floats(0.01, 1e3), st.integers(10, 120), st.integers(2, 10))
def test_plot_limits_hold_the_data_and_ticks_stand_on_cells_of_their_own(low, span, cells, apart):
    (bottom, top), ticks = whole_cells(low, low + span, cells, apart)
    slack = 1e-6 * max(1.0, abs(low), span)
    assert bottom <= low + slack and top >= low + span - slack
    cell = (top - bottom) / max(cells, 2 * apart)
    places = [(tick - bottom) / cell for tick in ticks]
    assert all(abs(place % 1 - 0.5) < 1e-3 for place in places)
    assert all(b - a >= apart - 1e-3 for a, b in pairwise(places))


def test_letters_are_ones_own_and_differ():
    assert letters(["Lapwing", "Linnet", "Whio", "Whio 2"]) == ["L", "I", "W", "H"]
    assert len(set(letters([f"M{n}" for n in range(30)]))) == 30


@given(st.lists(st.lists(st.floats(-50, 50), min_size=3, max_size=3), min_size=1, max_size=5), st.integers(70, 160))
def test_rows_of_letters_share_one_scale_and_keep_inside_the_width(rows, width):
    """A higher score never stands left of a lower one, in its own row or in another."""
    made = [LetterRow(f"row {nth}", "", list(zip("LWP", values, strict=True))) for nth, values in enumerate(rows)]
    head, lines = letter_rows("SCORE, %", "order", made, width)
    assert width_of(head) + 1 <= width and all(3 + width_of(line) <= width for line in lines)
    places = []
    for line, values in zip(lines, rows, strict=True):
        text = "".join(part for part, _ in line)
        assert text.endswith("  LWP")
        drawn = text[LABEL_WIDTH + 2 : -5]
        places += [(value, drawn.index(letter)) for letter, value in zip("LWP", values, strict=True) if letter in drawn]
    places.sort()
    assert all(left <= right for (_, left), (_, right) in pairwise(places))


def test_who_is_who_names_everybody_and_folds():
    motors = [(letter, f"motor {letter}", "text") for letter in "ABCDEFGHIJ"]
    lines = who_is_who(motors, 40)
    assert len(lines) > 1 and all(width_of(line) <= 40 for line in lines)
    assert " ".join("".join(text for text, _ in line) for line in lines).split() == [
        word for letter, name, _ in motors for word in (letter, *name.split())
    ]


def test_a_sparkline_reaches_from_the_least_to_the_greatest():
    assert sparkline((1.0, 2.0, 3.0)) == "▁▅█" and sparkline((4.0, 4.0)) == "▄▄"
