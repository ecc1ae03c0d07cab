"""Backups in words: the list of them, and what was brought back or written beside."""

from pathlib import Path
from typing import TYPE_CHECKING

from pitbench.records.spoken import counted_words
from pitbench.records.stamps import shown_stamp, stamp_of

if TYPE_CHECKING:
    from pitbench.store.logbook import Backup, Snapshot


def backup_words(backup: "Backup", state: str, held: "Snapshot | None") -> str:
    """A line of the list: number, when it was saved, whether it is good, and what it holds."""
    if held is not None:
        state = f"{state}: {held_words(held)}"
    elif state == "damaged" and backup.unsealed:
        state = "damaged or edited by hand already when it was kept"
    else:
        state = {"newer": "from a newer pitbench", "unreadable": "cannot be read"}.get(state, state)
    return f"{backup.number:>6}  {_when(backup)}  {state}"


def held_words(snapshot: "Snapshot") -> str:
    """What a logbook holds, in a few words."""
    raced = len(snapshot.rows("track_run"))
    motors = counted_words(len(snapshot.rows("motor")), "motor")
    runs = counted_words(len(snapshot.rows("bench_run")), "bench run")
    return f"{motors}, {runs}" + (f", {counted_words(raced, 'track run')}" if raced else "")


def restored_words(path: Path, backup: "Backup", held: "Snapshot") -> str:
    """Which backup stands again, and what it holds."""
    words = f"{path} is again as it was saved {_when(backup)}; what stood there is a backup now."
    return f"{words} It holds {held_words(held)}."


def rescued_words(beside: Path) -> str:
    """Where what an open logbook held is now."""
    return f"What was saved is in {beside.name}, beside the damaged one; `pitbench --logbook` opens it."


def _when(backup: "Backup") -> str:
    return shown_stamp(stamp_of(backup.written, seconds=True))
