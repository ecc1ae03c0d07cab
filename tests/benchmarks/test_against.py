"""Two tables held against each other: what moved, and whether for the worse."""

from tests.benchmarks.against import moved

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
