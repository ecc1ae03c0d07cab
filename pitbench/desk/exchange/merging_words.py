"""What a merge did, in short sentences for a person."""

from collections import Counter

from pitbench.desk.exchange.merging import MERGED, Merged
from pitbench.desk.words import kind_words, listed


def merge_words(found: Merged, name: str) -> list[str]:
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
    return listed([kind_words(counts[kind], kind) for kind in MERGED if counts[kind]])
