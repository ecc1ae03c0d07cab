"""What lies in the bin besides runs: which kind a row is, and its words."""

from collections.abc import Mapping
from typing import Any

from pitbench.desk.lists.gear_sets import pitch_words
from pitbench.desk.lists.setup_log import change_words
from pitbench.records.numbers import shown

BINNED = ("motor", "setup_entry", "gear")
"""Kinds shown in the bin besides runs. What belongs to a run or motor goes and comes with it."""
_TOLD_BY = {
    "taken_at": "bench_run",
    "started_at": "track_run",
    "written_at": "setup_entry",
    "teeth": "gear",
}


def kind_of_row(row: Mapping[str, Any]) -> str:
    """Kind of a record of the bin, told by a field only that kind has.

    >>> kind_of_row({"teeth": 28}), kind_of_row({"name": "Heron"})
    ('gear', 'motor')
    """
    return next((kind for name, kind in _TOLD_BY.items() if name in row), "motor")


def binned_words(row: Mapping[str, Any]) -> tuple[str, str, str]:
    """Name of the kind, the record's own name, and what else tells it from others.

    >>> binned_words({"kind": "pinion", "teeth": 28.0, "module": 0.396875})
    ('gear', 'pinion 28', '64 DP, module 0.397')
    """
    kind = kind_of_row(row)
    if kind == "gear":
        return "gear", f"{row['kind']} {shown(row['teeth'])}", pitch_words(row["module"])
    if kind == "setup_entry":
        return "change", row["what"], change_words(row)
    return "motor", row["name"], ""
