"""A swap of parts in words: what it does before it is saved, and where the parts of a kind are."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from pitbench.records.names import Gap
from pitbench.records.spoken import capital
from pitbench.records.typed import label_of

if TYPE_CHECKING:
    from pitbench.desk.parts.swapping import Standing, Swap

MOST_NAMED = 12


def swap_words(swap: "Swap") -> str:
    """What becomes of the part that goes in, of the old one, and of the motor it comes out of."""
    kind, into, other = label_of(swap.kind), swap.into, swap.other
    lacks = f"lacks its {kind}: it is not ranked until one is put in"
    if into.now == Gap.MISSING.value:
        return f"{into.was} becomes a spare, and {into.motor['name']} {lacks}."
    if other is not None:
        gets = lacks if into.was == Gap.MISSING.value else f"gets {into.was}"
        return f"{into.now} comes out of {other.motor['name']}, which {gets}."
    comes = f"{into.now} is a new {kind}" if swap.new else f"{into.now} is a spare"
    old = f"{into.motor['name']} lacked one" if into.was == Gap.MISSING.value else f"{into.was} becomes a spare"
    return f"{comes}; {old}."


def standing_words(kind: str, standing: Sequence["Standing"]) -> str:
    """Where the parts of a kind are."""
    if not standing:
        return ""
    told = [f"{each.part} in {each.motor}" if each.motor else f"{each.part} spare" for each in standing]
    more = [f"{len(told) - MOST_NAMED} more"] if len(told) > MOST_NAMED else []
    return f"{capital(label_of(kind))}s: {', '.join([*told[:MOST_NAMED], *more])}."
