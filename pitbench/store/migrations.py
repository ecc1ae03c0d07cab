"""Older forms of the logbook brought up to the one written now, a step for each schema number.

A field that is added says in the table of fields under which number files first had it: `SCHEMA` follows, so that an
older pitbench calls such a file newer, not damaged. Whoever changes what a stored value means adds a step here, which
raises it too. A step gets the tree of its number and may change it. It runs when a file is opened; the file itself is
written at the next save, and the old one is then a backup. A step that gives records another form empties the list of
changes too: undo does not reach back past it.
"""

from collections.abc import Callable
from typing import Any

from pitbench.records.fields import RECORDS

Tree = dict[str, dict[str, Any]]


def upgraded(tree: Tree, schema: int) -> Tree:
    """The tree of an older schema (1 to SCHEMA) in the form of today."""
    for step in range(schema, SCHEMA):
        STEPS.get(step, nothing_moved)(tree)
    return tree


def split_timings(tree: Tree) -> None:
    """1 to 2: the three sensor timings stood in one list, and runs of a motor at one time had no place among them."""
    seen: dict[tuple[Any, Any], int] = {}
    for row in tree.get("bench_run", {}).values():
        timings = row.get("timing_abc_deg")
        if isinstance(timings, list) and len(timings) == 3:
            del row["timing_abc_deg"]
            names = ("timing_a_deg", "timing_b_deg", "timing_c_deg")
            row.update({name: timing for name, timing in zip(names, timings, strict=True) if timing is not None})
        when = (str(row.get("motor_id")), str(row.get("taken_at")))
        place = seen.get(when, 0)
        seen[when] = place + 1
        if place:
            row["place"] = place
    tree["changes"] = {}


def nothing_moved(tree: Tree) -> None:
    """Only fields or tables came: from 2 to 3 those of the track side, from 3 to 4 versions of what was edited,
    from 4 to 5 which numbers wait for an answer, from 5 to 6 what a swap takes, from 6 to 7 what work on a motor
    takes, from 7 to 8 load logs: what an older file holds counts as it did."""


STEPS: dict[int, Callable[[Tree], None]] = {1: split_timings}
SCHEMA = max(max(STEPS) + 1, *(datum.since for data in RECORDS.values() for datum in data))
