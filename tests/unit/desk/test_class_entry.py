"""A class sheet written down by hand; what stops you gearing higher, said with one key."""

import re
from datetime import datetime

import pytest

from pitbench.desk.classes import first_class
from pitbench.desk.comparing.ranking import rank
from pitbench.desk.entry.class_entry import (
    FIELDS,
    class_doubts,
    class_entry,
    class_problems,
    save_class,
    set_gearing_limit,
)
from pitbench.records.fields import GEARING_LIMIT
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import GEARING
from tests.unit.desk.bench_side import two_motors
from tests.unit.desk.by_hand import everything

NOW = datetime(2026, 5, 17, 14, 2)


@pytest.fixture
def bench():
    return two_motors(0, 0)


def test_every_limit_has_its_words():
    assert set(GEARING) == set(GEARING_LIMIT.words)


@pytest.mark.parametrize("limit", GEARING)
def test_the_ranking_follows_and_undo_takes_it_back(limit):
    bench = two_motors(0, 0)
    book, before = bench.logbook, everything(bench.logbook)
    assert set_gearing_limit(book, "CLUB 13.5t", limit) == f"club 13.5T: {GEARING[limit]}"
    assert rank(book.snapshot()).gearing_limit == limit
    assert (book.rows("class_sheet")[0]["turns"], book.rows("class_sheet")[0]["cells"]) == (13.5, 2)
    book.journal.undo()
    assert everything(book) == before


@pytest.mark.parametrize("name", [None, "stock"])
def test_without_a_class_it_says_how_to_get_one(name):
    bench = two_motors()
    with pytest.raises(Refusal, match="These motors have no class yet: e on Motors gives them one"):
        set_gearing_limit(bench.logbook, name, "heat")


WHOLE = {
    "class": "club 17.5T",
    "turns": "17.5",
    "cells": "2",
    "min_resistance_mohm": "15,2",
    "max_timing_deg": "45",
    "max_rollout_mm": "52.5",
    "min_fdr": "3.8",
    "esc_timing": "no",
    "parts_mixed": "same model",
    "gearing_limit": "rules",
    "note": "  from the notice   board",
}


def test_a_sheet_is_written_down_and_read_back(bench):
    book, entry = bench.logbook, class_entry(bench.logbook, None)
    assert tuple(WHOLE) == FIELDS
    entry.texts.update(WHOLE)
    assert save_class(book, entry, NOW) == "class club 17.5T"
    row = next(row for row in book.rows("class_sheet") if row["name"] == "club 17.5T")
    assert (row["min_resistance_mohm"], row["esc_timing"], row["parts_mixed"]) == (15.2, False, "same model")
    again = class_entry(book, row["id"])
    assert again.texts == WHOLE | {"min_resistance_mohm": "15.2", "note": "from the notice board"}


def test_an_edit_keeps_the_motors_in_their_class(bench):
    book = bench.logbook
    sheet, before = book.rows("class_sheet")[0], everything(book)
    entry = class_entry(book, sheet["id"])
    entry.texts |= {"class": "club thirteen", "cells": ""}
    assert save_class(book, entry, NOW) == "edited class club thirteen"
    assert first_class(book.snapshot()) == "club thirteen"
    assert "cells" not in book.row("class_sheet", sheet["id"])
    book.journal.undo()
    assert everything(book) == before


@pytest.mark.parametrize(
    ("field", "text", "why"),
    [
        ("class", "", "Class is empty"),
        ("class", "CLUB 13.5t", "There is a class club 13.5T already"),
        ("turns", "many", "Turns many"),
        ("cells", "2.5", "Cells 2.5"),
        ("min_resistance_mohm", "-3", "Least resistance -3"),
        ("parts_mixed", "sometimes", "Parts mixed sometimes"),
        ("esc_timing", "perhaps", "ESC adds timing perhaps"),
    ],
)
def test_what_cannot_stand_is_refused_in_one_sentence(bench, field, text, why):
    entry, before = class_entry(bench.logbook, None), everything(bench.logbook)
    entry.texts |= WHOLE | {field: text}
    assert class_problems(entry, bench.logbook.snapshot(), NOW)[field].startswith(why)
    with pytest.raises(Refusal, match=re.escape(why)):
        save_class(bench.logbook, entry, NOW)
    assert everything(bench.logbook) == before


def test_an_unlikely_limit_is_said_and_kept_as_typed(bench):
    entry = class_entry(bench.logbook, None)
    entry.texts |= {"class": "odd", "max_timing_deg": "4.5"}
    assert set(class_doubts(entry, bench.logbook.snapshot(), NOW)) == {"max_timing_deg"}
    save_class(bench.logbook, entry, NOW)
    assert bench.logbook.row("class_sheet", entry.edits)["max_timing_deg"] == 4.5
