"""Looking after a logbook's file: is it whole, which backups are there, bring one back.

Other rooms get these from `logbook.py`.
"""

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from pitbench.store import backups, contents, disk, opening, refusals, seal
from pitbench.store.backups import Backup, Backups
from pitbench.store.lock import WriterLock
from pitbench.store.view import Snapshot


@dataclass(frozen=True)
class Examined:
    """What a look through the whole file found; `snapshot` is None when its rows cannot be trusted."""

    schema: int | None
    seal: seal.Verdict
    problems: list[str]
    snapshot: Snapshot | None
    backups: list[Backup]
    hand_edit: bool = False


def examine(path: Path) -> Examined:
    """Look through a file whole; changes nothing. Raises a Refusal when there is no file to look at."""
    place = opening.resolved(path)
    try:
        raw, _ = disk.read_whole(place)
    except OSError as error:
        raise opening.unreadable(place, error) from None
    made = backups.found(place)
    bad = _bad_backups(place)
    try:
        found = contents.read(raw, whole=True)
    except contents.Flaw as flaw:
        sentence = str(opening.refusal_of(place, flaw))
        return Examined(flaw.schema, seal.verdict(raw), [sentence, *bad], None, made)
    if found.problems:
        back = f"{place} can be brought back: {backups.way_back(place, opening.is_good)}."
        return Examined(found.schema, found.seal, [*found.problems, back, *bad], None, made)
    edited = found.seal != "good"
    sentences = [opening.hand_edit(place)] if edited else []
    return Examined(found.schema, found.seal, sentences + bad, Snapshot(0, found.tree), made, edited)


def _bad_backups(place: Path) -> list[str]:
    return [
        f"{backup.path.name} is a damaged backup; delete it, the others do not need it."
        for backup, good in list_backups(place)
        if not good and not backup.unsealed
    ]


def _is_sealed(path: Path) -> bool:
    with suppress(OSError):
        return seal.verdict(disk.read_whole(path)[0]) == "good"
    return False


def restore(path: Path, which: str) -> Backup:
    """Bring a backup back as the logbook; what stands there now becomes a backup first. Raises a Refusal."""
    place = opening.resolved(path)
    lock = WriterLock(place)
    try:
        backup = backups.chosen(place, which, opening.is_good)
        raw = disk.read_whole(backup.path)[0]
        if not _is_valid(raw):
            raise refusals.Damaged(f"{backup.path} is damaged itself; another backup of the list would be right.")
        unsealed = not _is_sealed(place)
        disk.write_whole(place, raw, before_replacing=lambda: Backups(place).keep(unsealed))
    except OSError as error:
        raise refusals.not_saved(place, error, replaced=False) from None
    finally:
        lock.release()
    return backup


def _is_valid(raw: bytes) -> bool:
    """A hand edit is valid too; it is asked about when it is opened."""
    try:
        return not contents.read(raw).problems
    except contents.Flaw:
        return False


def list_backups(path: Path) -> list[tuple[Backup, bool]]:
    """The backups, newest first, and whether each one's seal is good."""
    return [(backup, _is_sealed(backup.path)) for backup in backups.found(opening.resolved(path))]
