"""What stops you gearing higher, said with one key."""

import pytest

from pitbench.desk.comparing.ranking import rank
from pitbench.desk.entry.class_entry import set_gearing_limit
from pitbench.records.fields import GEARING_LIMIT
from pitbench.records.refusal import Refusal
from pitbench.records.spoken import GEARING
from tests.unit.desk.bench_side import two_motors
from tests.unit.desk.by_hand import everything


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
