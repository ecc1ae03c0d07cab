"""What a merge did, in short sentences for a person."""

from collections import Counter
from typing import TYPE_CHECKING

from pitbench.records.kinds import KINDS
from pitbench.records.spoken import kind_words, listed

if TYPE_CHECKING:
    from pitbench.desk.exchange.merging import Merged


def merge_words(found: "Merged", name: str) -> list[str]:
    """What was added, what was taken over, what stayed, and every doubt."""
    lines = [
        f"{words} {_counts(counts)}."
        for words, counts in (
            (f"Added from {name}:", found.added),
            ("Newer there and taken over:", found.taken),
            ("Newer here and kept:", found.kept),
        )
        if counts
    ]
    if not found.added and not found.taken:
        lines.insert(0, f"Nothing new in {name}.")
    if found.same:
        lines.append(f"The same in both: {_counts(found.same)}.")
    lines += [f"! {doubt}" for doubt in found.doubts]
    return [*lines, "u in the app takes the whole merge back."] if found.added or found.taken else lines


def _counts(counts: Counter[str]) -> str:
    return listed([kind_words(counts[kind], kind) for kind in KINDS if counts[kind]])
