"""Two tables held against each other: what moved, and whether for the worse."""

from collections import Counter
from pathlib import Path

import pytest

from tests.benchmarks.against import cells, moved

TABLES = sorted((Path(__file__).parent / "tables").glob("*.md"))
HEAD = "| kind of day | KV | calibration error | log skill |\n|---|---|---|---|\n"
OLD = HEAD + "| far apart | 90.1 ± 1.0 | 0.020 | 0.60 ± 0.02 |\n| alike | 96.0 ± 0.5 | 0.020 | 0.60 ± 0.02 |\n"


def told(new):
    return [(each.cell.row, each.cell.column, each.worse) for each in moved(OLD, HEAD + new)]


def test_the_same_table_and_what_chance_explains_is_not_named():
    assert told("| far apart | 91.9 ± 1.0 | 0.021 | 0.63 ± 0.02 |\n| new row | 50.0 ± 1.0 | 0.5 | 0.1 |\n") == []


def test_what_moved_is_better_or_worse_by_its_column():
    assert told("| far apart | 80.0 ± 1.0 | 0.040 | 0.50 ± 0.02 |\n") == [
        ("far apart", "KV", True),
        ("far apart", "calibration error", True),
        ("far apart", "log skill", True),
    ]
    assert told("| alike | 91.0 ± 0.5 | 0.010 | 0.70 ± 0.02 |\n") == [
        ("alike", "KV", False),
        ("alike", "calibration error", False),
        ("alike", "log skill", False),
    ]


def test_rows_of_two_names_and_heads_that_stand_twice_are_told_apart():
    old = "| world | figure | came | sure | came |\n|---|---|---|---|---|\n| all | 2nd run | 80 ± 1 | 3 | 90 ± 1 |\n"
    new = old + "| all | 3rd run | 50 ± 1 | 9 | 50 ± 1 |\n"
    assert moved(old, new) == []
    (only,) = moved(old, old.replace("90 ± 1", "70 ± 1"))
    assert (only.cell.row, only.cell.column, only.worse) == ("all, 2nd run", "came (2)", True)


@pytest.mark.parametrize("table", TABLES, ids=lambda path: path.stem)
def test_every_number_of_a_kept_table_has_a_name_of_its_own(table):
    named = Counter((cell.row, cell.column) for cell in cells(table.read_text(encoding="utf-8")))
    assert named and max(named.values()) == 1
