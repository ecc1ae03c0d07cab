"""Looking after a logbook's file: is it whole, which backups are there, bring one back.

Other rooms get these from `logbook.py`.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal

from pitbench import disk
from pitbench.records.kinds import KINDS
from pitbench.store import backups, contents, opening, refusals, seal
from pitbench.store.backups import Backup, Backups
from pitbench.store.lock import WriterLock
from pitbench.store.view import Snapshot

State = Literal["good", "damaged", "newer", "unreadable"]


@dataclass(frozen=True)
class Examined:
    """What a look through the whole file found; `snapshot` is None when its rows cannot be trusted, `counts` of live
    rows by kind when they cannot even be counted."""

    schema: int | None
    seal: seal.Verdict
    problems: list[str]
    snapshot: Snapshot | None
    backups: list[Backup]
    counts: dict[str, int] | None
    hand_edit: bool = False


def examine(path: Path) -> Examined:
    """Look through a file whole; changes nothing. Raises a Refusal when there is no file to look at."""
    place = opening.resolved(path)
    try:
        raw, _ = disk.read_whole(place)
    except OSError as error:
        raise opening.unreadable(place, error) from None
    made = backups.found(place)
    bad = list(_bad_backups(place))
    try:
        found = contents.read(raw, whole=True)
    except contents.Flaw as flaw:
        sentence = str(opening.refusal_of(place, flaw))
        return Examined(flaw.schema, seal.verdict(raw), [sentence, *bad], None, made, None)
    snapshot = Snapshot(0, found.tree)
    counts = {kind: len(snapshot.rows(kind)) for kind in KINDS}
    if found.problems:
        *others, last = found.problems
        sentences = [*(f"{clause}." for clause in others), f"{last}; {backups.way_back(place)}."]
        return Examined(found.schema, found.seal, sentences + bad, None, made, counts)
    edited = found.seal != "good"
    sentences = [opening.hand_edit(place)] if edited else []
    return Examined(found.schema, found.seal, sentences + bad, snapshot, made, counts, edited)


def _bad_backups(place: Path) -> Iterator[str]:
    for backup, state, _ in list_backups(place):
        if state == "damaged" and not backup.unsealed:
            yield f"{backup.path.name} is a damaged backup; delete it, the others do not need it."
        elif state == "unreadable":
            yield f"{backup.path.name} is no backup that can be read; move it away, the others do not need it."


def restore(path: Path, which: str) -> Backup:
    """Bring a backup back as the logbook; what stands there now becomes a backup first. Raises a Refusal."""
    place = opening.resolved(path)
    lock = WriterLock(place)
    try:
        backup = backups.chosen(place, which)
        raw = _valid(backup.path)
        unsealed = _looked_at(place)[0] in {"damaged", "unreadable"}
        disk.write_whole(place, raw, before_replacing=lambda: Backups(place).keep(unsealed))
    except OSError as error:
        raise refusals.not_saved(place, error, replaced=False) from None
    finally:
        lock.release()
    return backup


def rescue(snapshot: Snapshot, path: Path, now: datetime) -> Path:
    """Write what an open logbook holds beside its file, which something else damaged; the new file. Raises NotSaved."""
    beside = path.with_name(f"{path.name}.rescued-{now:%Y%m%dT%H%M%S}.json")
    try:
        disk.write_whole(beside, *seal.sealed(snapshot.whole()))
    except OSError as error:
        raise refusals.not_saved(beside, error, replaced=False) from None
    return beside


def _valid(backup: Path) -> bytes:
    """What a backup holds; a hand edit is valid too, it is asked about when it is opened. Raises a Refusal."""
    try:
        raw = disk.read_whole(backup)[0]
        found = contents.read(raw, whole=True)
    except OSError as error:
        why = refusals.reason(error)
        raise refusals.BadPlace(
            f"{backup} cannot be read ({why}); another backup of the list would be right."
        ) from None
    except contents.FromNewer as flaw:
        raise opening.refusal_of(backup, flaw) from None
    except contents.Flaw as flaw:
        raise refusals.Damaged(
            f"{backup} is damaged itself, it {flaw}; another backup of the list would be right."
        ) from None
    if found.problems:
        what = f"is damaged itself ({found.problems[0]})"
        raise refusals.Damaged(f"{backup} {what}; another backup of the list would be right.")
    return raw


def list_backups(path: Path) -> list[tuple[Backup, State, Snapshot | None]]:
    """The backups, newest first, what each one is, every record of it looked at, and what a good one holds."""
    return [(backup, *_looked_at(backup.path)) for backup in backups.found(opening.resolved(path))]


def has_good_backup(path: Path) -> bool:
    """Whether `restore` of the newest would bring one back."""
    return backups.newest_good(opening.resolved(path)) is not None


def _looked_at(path: Path) -> tuple[State, Snapshot | None]:
    """Good is what pitbench wrote and would write again; what a newer one wrote this one cannot judge."""
    try:
        found = contents.read(disk.read_whole(path)[0], whole=True)
    except OSError:
        return "unreadable", None
    except contents.FromNewer:
        return "newer", None
    except contents.Flaw:
        return "damaged", None
    bad = found.problems or found.seal != "good"
    return ("damaged", None) if bad else ("good", Snapshot(0, found.tree))
