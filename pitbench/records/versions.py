"""How two copies of one record are put together cell by cell, and what must be remembered of edits for that.

A cell is a field, one entry of a mapping, or one text of a list of texts. Of a cell that was edited its versions are
kept, oldest first, the one in force last: `<when>#<what>`, a digest of the value or the id it names, nothing for a
blank. The first has no time: all copies began with it. A version both copies have is what was known to both, so what
only one of them changed since is told from a clash, however often they met before. Nobody else may read versions.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from pitbench.records.stamps import time_key

Row = Mapping[str, Any]
Cells = dict[str, Any]
Versions = Mapping[str, Sequence[str]]
"""Of one record: cell -> its versions."""
BINNED = "binned"
_FRAME = {"id", "edited_at", "binned_at", "binned_why"}


@dataclass(frozen=True)
class Joined:
    """Two copies of a cell: whose value stands, who changed it since both knew the same, and what is known now. tie:
    neither is newer."""

    theirs: bool
    mine_changed: bool
    theirs_changed: bool
    clash: bool
    tie: bool
    versions: list[str]


def cells(row: Row) -> Cells:
    """What a row says, without its id and the time of its last edit."""
    found: Cells = {}
    for name, value in row.items():
        if isinstance(value, dict):
            found |= {f"{name}.{key}": one for key, one in value.items()}
        elif isinstance(value, list) and value and isinstance(value[0], str):
            found |= {f"{name}.{one}": True for one in value}
        elif name not in _FRAME:
            found[name] = value
    if "binned_at" in row:
        found[BINNED] = row.get("binned_why", "deleted")
    return found


def row_of(found: Cells, key: str, copies: Sequence[Row]) -> dict[str, Any]:
    """The row that says this; the times stand in the copies it was put together from."""
    row: dict[str, Any] = {
        "id": key,
        "edited_at": max((str(copy.get("edited_at", "")) for copy in copies), key=time_key),
    }
    for cell, value in found.items():
        name, dot, entry = cell.partition(".")
        if cell == BINNED:
            binned = [copy for copy in copies if copy.get("binned_why", "deleted") == value and "binned_at" in copy]
            row |= {"binned_at": max((copy["binned_at"] for copy in binned), key=time_key), "binned_why": value}
        elif not dot:
            row[name] = value
        elif value is True:
            row.setdefault(name, []).append(entry)
        else:
            row.setdefault(name, {})[entry] = value
    return row if row["edited_at"] else {name: value for name, value in row.items() if name != "edited_at"}


def known(versions: Versions, row: Row, cell: str, value: Any) -> list[str]:
    """All versions of a cell of this value, those too that nobody had to write down."""
    tag, kept = _tag(cell, value), versions.get(cell)
    if not kept:
        binned = cell == BINNED and value is not None
        return ["#", f"{row['binned_at']}#{tag}"] if binned else [f"#{tag}"]
    # a last version of another value: somebody edited the file by hand
    return list(kept) if _said(kept[-1]) == tag else [*kept, f"{row.get('edited_at', '')}#{tag}"]


def grown(versions: Versions, old: Row, new: Row, at: str) -> Versions:
    """The versions of a record after an edit; of one that went to the bin for the first time its row tells it."""
    was, now = cells(old), cells(new)
    found = dict(versions)
    for cell in sorted(was.keys() | now.keys()):
        if was.get(cell) != now.get(cell) and (cell != BINNED or cell in versions or cell in was):
            found[cell] = [*known(versions, old, cell, was.get(cell)), f"{at}#{_tag(cell, now.get(cell))}"]
    return found


def joined(mine: Sequence[str], theirs: Sequence[str], edited: tuple[str, str]) -> Joined:
    """What becomes of one cell; `edited`: when the two copies of the record were, for versions without a time.

    One copy may know all the other does, and is then ahead. Else both went on from the last version they share: the
    one that says something else than that stands, of two the newer. The same whichever copy is called mine, but for
    `theirs` and the order of the two that changed.
    """
    said = _said(mine[-1]), _said(theirs[-1])
    ages = [
        (time_key(one[-1].partition("#")[0] or at), *reversed(one))
        for one, at in ((mine, edited[0]), (theirs, edited[1]))
    ]
    ahead = theirs[-1] not in mine, mine[-1] not in theirs  # theirs, mine
    if all(ahead):
        shared = [[version for version in one if version in other] for one, other in ((mine, theirs), (theirs, mine))]
        base = _said(max(shared[0][-1], shared[1][-1])) if shared[0] else ""
        changed = said[0] != base, said[1] != base
        takes = changed[1] if changed[0] != changed[1] else ages[1] > ages[0]
    else:
        changed = ahead[1] and said[0] != said[1], ahead[0] and said[0] != said[1]
        takes = ahead[0] if any(ahead) else ages[1] > ages[0]
    clash = all(changed) and said[0] != said[1]
    versions = _in_one_line(mine, theirs) if takes else _in_one_line(theirs, mine)
    return Joined(takes, *changed, clash, ages[0][0] == ages[1][0], versions)


def _in_one_line(first: Sequence[str], last: Sequence[str]) -> list[str]:
    """All versions of both, each copy's in its order; between two that both have, those of `first` come first."""
    line: list[str] = []
    own: list[str] = []
    start = 0
    for version in last:
        if version in first[start:]:
            at = first.index(version, start)
            line += [*first[start:at], *own, version]
            own, start = [], at + 1
        else:
            own.append(version)
    once = dict.fromkeys([*line, *first[start:], *own])
    once.pop(last[-1])
    return [*once, last[-1]]


def worth_keeping(versions: Mapping[str, list[str]], row: Row) -> dict[str, list[str]]:
    """Those versions that the row does not tell by itself."""
    has = cells(row)
    return {cell: kept for cell, kept in sorted(versions.items()) if kept != known({}, row, cell, has.get(cell))}


def renamed(versions: Versions, links: Iterable[str], ids: Mapping[str, str]) -> dict[str, Sequence[str]]:
    """Versions with the ids that another logbook has for the same records; `links` are the fields that name some."""
    found = dict(versions)
    for cell in links:
        if cell in found:
            parts = [version.partition("#") for version in found[cell]]
            found[cell] = [f"{at}#{ids.get(said, said)}" for at, _, said in parts]
    return found


def _said(version: str) -> str:
    return version.partition("#")[2]


def _tag(cell: str, value: Any) -> str:
    """Short, and the same on every laptop."""
    if value is None:
        return ""
    if cell.endswith("_id") and "." not in cell:
        return str(value)
    return sha256(json.dumps(value, sort_keys=True).encode()).hexdigest()[:8]
