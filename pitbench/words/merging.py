"""What a merge did, in short sentences for a person."""

from collections import Counter
from typing import TYPE_CHECKING

from pitbench.records.keys import key_for
from pitbench.records.kinds import KINDS
from pitbench.records.spoken import kind_words, listed

if TYPE_CHECKING:
    from pitbench.desk.exchange.merging import Merged


def merge_words(found: "Merged", name: str) -> list[str]:
    """What was added, what was taken over, what stayed, what both edited, and every doubt."""
    lines = [
        f"{words} {_counts(counts)}."
        for words, counts in (
            (f"Added from {name}:", found.added),
            ("Taken over into yours:", found.taken),
            ("Changed here alone and kept:", found.kept),
        )
        if _counts(counts)
    ]
    if not found.saved:
        lines.insert(0, f"Nothing new in {name}.")
    if _counts(found.same):
        lines.append(f"The same in both: {_counts(found.same)}.")
    lines += [f"Edited in both and put together: {one}." for one in found.both]
    lines += [f"! {doubt}" for doubt in found.doubts]
    return [*lines, f"{key_for('undo-change')} in the app takes the whole merge back."] if found.saved else lines


def _counts(counts: Counter[str]) -> str:
    return listed([kind_words(counts[kind], kind) for kind in KINDS if counts[kind]])
