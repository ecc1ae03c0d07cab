"""The list of runs in words: how many are shown, and of whom."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from pitbench.records.keys import key_for
from pitbench.records.spoken import counted_words
from pitbench.words.waiting import asks, waits_words

if TYPE_CHECKING:
    from pitbench.desk.lists.runs import RunList


def runs_words(found: "RunList", places: Sequence[int], words: str, binned: bool) -> str:
    """How many runs are shown, in one sentence."""
    count, total = len(places), len(found.rows)
    if binned:
        return (
            "The bin is empty."
            if not total
            else f"The bin: {counted_words(total, 'record')}. {key_for('open-record')} brings one back."
        )
    if not total:
        return f"No runs yet. {key_for('add-motor')} writes down a motor, {key_for('add-bench-run')} a bench run of it."
    motors = sorted(found.motors_named(places)) if count <= 2000 else []
    of_whom = f" of {motors[0]}" if len(motors) == 1 else ""
    if words.strip():
        return f"{count} of {counted_words(total, 'run')}{of_whom}: {words.strip()}"
    raced = f"{found.on_the_track} of them on the track, " if 0 < found.on_the_track < total else ""
    all_of_them = f"{counted_words(total, 'run')}{of_whom}, {raced}"
    waits = waits_words(found.waits, asks())
    return f"{all_of_them.removesuffix(', ')}. {waits}" if waits else f"{all_of_them}newest first."
