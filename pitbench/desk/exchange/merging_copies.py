"""Two copies of one record put together, cell by cell. How that is decided stands in `records.versions`."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from pitbench.records.kinds import Row
from pitbench.records.stamps import time_key
from pitbench.records.versions import BINNED, Cells, Versions, cells, joined, known, row_of, worth_keeping

OF_ONE_READING = ("logged_at", "file", "headers", "columns", "figures", "basis", "why", "doubts", "trace")
"""What one reading of a load log came to."""
OWNER = "owner"
"""Whose a motor is, is told from where one stands: it goes to the other logbook only as an edit of one both know."""


class Clash(NamedTuple):
    """A cell both changed to different values: `theirs` stands, or ours; tie: neither is newer."""

    cell: str
    here: Any
    there: Any
    theirs: bool
    tie: bool


@dataclass(frozen=True)
class Copies:
    """The row both come to, its versions, and what had to be decided."""

    row: Row
    versions: dict[str, list[str]]
    clashes: list[Clash]
    mine_edited: bool
    theirs_edited: bool


def put_together(mine: Row, theirs: Row, kept: Versions, kept_there: Versions) -> Copies:
    """One record of two copies, theirs with the ids of ours; its id is ours."""
    here, there = cells(mine), cells(theirs)
    found: Cells = {}
    versions: dict[str, list[str]] = {}
    clashes: list[Clash] = []
    edited = (str(mine.get("edited_at", "")), str(theirs.get("edited_at", "")))
    mine_edited = theirs_edited = False
    for cell in sorted({*here, *there, *kept, *kept_there}):  # lists of texts come to one order so
        ours = known(kept, mine, cell, here.get(cell))
        others = known(kept_there, theirs, cell, there.get(cell))
        if cell == OWNER and not set(ours) & set(others):
            others = ours
        both = joined(ours, others, edited)
        value = there.get(cell) if both.theirs and others is not ours else here.get(cell)
        if value is not None:
            found[cell] = value
        versions[cell] = both.versions
        mine_edited |= both.mine_changed
        theirs_edited |= both.theirs_changed
        if both.clash and cell != BINNED:
            clashes.append(Clash(cell, here.get(cell), there.get(cell), both.theirs, both.tie))
    _wait_on(found, here, there)
    row = row_of(found, mine["id"], (mine, theirs))
    return Copies(row, worth_keeping(versions, row), clashes, mine_edited, theirs_edited)


def _wait_on(found: Cells, here: Cells, there: Cells) -> None:
    """An answer is for the number it was given for: another number that waits in the copy it came from waits on."""
    for waits in {cell for copy in (here, there) for cell in copy if cell.startswith("waits.")} - found.keys():
        name = waits.removeprefix("waits.")
        stands = [copy for copy in (here, there) if name in found and copy.get(name) == found[name]]
        if stands and all(waits in copy for copy in stands):
            found[waits] = True
            found.pop(f"kept.{name}", None)


def one_log(mine: Row, theirs: Row) -> tuple[Row, Row, Row]:
    """Two copies of a load log that may have been worked out apart, both with what the newer came to, and that alone:
    figures of two readings are never mixed, nor do headers leave their order."""

    def age(row: Row) -> tuple[str, str]:
        return time_key(row.get("edited_at", "")), json.dumps(
            [row.get(name) for name in OF_ONE_READING], sort_keys=True
        )

    newer = max(mine, theirs, key=age)
    results = {name: newer[name] for name in OF_ONE_READING if name in newer}
    plain = [{name: copy[name] for name in copy if name not in OF_ONE_READING} | results for copy in (mine, theirs)]
    return plain[0], plain[1], results


def says_the_same(mine: Row, theirs: Mapping[str, Any]) -> bool:
    """Whether two copies say the same in the same words, so that nothing need be put together."""
    return {**mine, "edited_at": ""} == {**theirs, "edited_at": ""}
