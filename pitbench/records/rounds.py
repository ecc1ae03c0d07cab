"""Rounds of a race day as they are typed and counted: `practice 2`, `q` for the next qualifier, `main A`."""

import re
from collections.abc import Sequence

from pitbench.records.fields import ROUND_KIND
from pitbench.records.kinds import Row
from pitbench.records.names import clean_name, clean_text, name_key

KINDS = ROUND_KIND.words
_SPOKEN = re.compile(
    r"^(p|practice|q|qualifier|qualifying|m|main)(?: +|(?=\d))(.*)$|^(\w+)[ -]main\b *(.*)$", re.IGNORECASE
)

_COUNTED = re.compile(r"^(.*?)([0-9]{1,6})$")


def next_round(runs: Sequence[Row]) -> str:
    """The round that follows the runs of a race day in time; the first practice before there is any.

    >>> next_round([{"round_kind": "practice", "round": "2"}]), next_round([])
    ('practice 3', 'practice 1')
    """
    last = next((run for run in reversed(runs) if "round_kind" in run), None)
    return continued(str(last["round_kind"]) if last else "practice", runs)


def continued(kind: str, runs: Sequence[Row]) -> str:
    """The next round of one kind; what has no number, like main A, stays as it is.

    >>> continued("qualifier", [{"round_kind": "practice", "round": "2"}])
    'qualifier 1'
    >>> continued("main", [{"round_kind": "main", "round": "A1"}])
    'main A2'
    """
    of_kind = [run for run in runs if run.get("round_kind") == kind]
    if not of_kind:
        return kind if kind == "main" else f"{kind} 1"
    named = [str(run["round"]) for run in of_kind if "round" in run]
    counted = _COUNTED.match(named[-1]) if named else None
    if counted is None:
        return f"{kind} {named[-1]}" if named else kind
    same = [found for name in named if (found := _COUNTED.match(name)) and found.group(1) == counted.group(1)]
    return f"{kind} {counted.group(1)}{max(int(found.group(2)) for found in same) + 1}"


def read_round(text: str, runs: Sequence[Row]) -> tuple[str | None, str | None]:
    """Kind and number of a round; a kind alone counts on from `runs`. Raises ValueError with a clause.

    >>> read_round("q2", []), read_round("A main", []), read_round("p", [])
    (('qualifier', '2'), ('main', 'A'), ('practice', '1'))
    """
    words = clean_text(text)
    if not words:
        return None, None
    kind = next((kind for kind in KINDS if name_key(words) in (kind, kind[0])), None)
    if kind is not None:
        words = continued(kind, runs)
    match = _SPOKEN.match(words)
    if match is None and kind is None:
        raise ValueError("is no round, practice 2, q1 or main A would be right")
    if match is None:
        return kind, None
    if match.group(3):
        return "main", clean_name(f"{match.group(3)} {match.group(4)}")
    kind = next(kind for kind in KINDS if kind[0] == match.group(1)[0].casefold())
    return kind, clean_name(match.group(2))


def round_text(run: Row) -> str:
    """As it is shown and typed: `qualifier 2`; empty where it was not said."""
    return " ".join(str(run[name]) for name in ("round_kind", "round") if name in run)
