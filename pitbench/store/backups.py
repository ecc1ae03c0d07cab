"""Backups beside the logbook: the file each save replaced, thinned out by age.

Names: <file>.bak-<running number>-<when its content was written>, and -unsealed when that content was damaged or
edited by hand already. The running number orders them even when a clock was wrong; nobody else makes or parses these
names. Kept: the last 10 saves, then one a day for 14 days, one a week for a year. A clock that runs ahead of the last
saves is not believed until they say the same.
"""

import re
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from statistics import median_low

from pitbench import disk
from pitbench.records.stamps import shown_stamp, stamp_of
from pitbench.store import contents, refusals

LAST_SAVES = 10
DAYS = 14
YEAR = 365
LONGEST_ENDING = ".bak-999999999-20260412T140230-unsealed.tmp"
_NAME = re.compile(r"\.bak-(\d{6,})-(\d{8}T\d{6})(-unsealed)?")


@dataclass(frozen=True)
class Backup:
    """One older state of the logbook; `written` is when that state was saved, by the clock of that time."""

    path: Path
    number: int
    written: datetime
    unsealed: bool = False


class Backups:
    """The backups of one logbook; the list is read from the folder once and kept up while this process writes."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._found: list[Backup] | None = None

    def all(self) -> list[Backup]:
        """Newest first."""
        if self._found is None:
            self._found = found(self._path)
        return self._found

    def keep(self, unsealed: bool = False) -> None:
        """Make the file as it stands, if it does, a backup, unless its newest one is that file; raises OSError."""
        made = self.all()
        try:
            current = self._path.stat()
        except FileNotFoundError:
            return
        if made and _is_same(made[0].path, self._path):
            return
        written = _moment(current.st_mtime)
        number = made[0].number + 1 if made else 1
        ending = f".bak-{number:06d}-{written.year:04d}{written:%m%dT%H%M%S}{'-unsealed' if unsealed else ''}"
        path = self._path.with_name(self._path.name + ending)
        disk.second_name(self._path, path)
        disk.for_the_user_alone(path, current.st_mode)
        self._found = [Backup(path, number, written, unsealed), *made]

    def thin(self, now: datetime) -> None:
        """Delete what is kept no longer; one that cannot be deleted stays."""
        spare = superfluous(self.all(), now)
        for backup in spare:
            with suppress(OSError):
                backup.path.unlink(missing_ok=True)
        self._found = [backup for backup in self.all() if backup not in spare]

    def take_back(self) -> None:
        """After a failed save: the file still stands, so it is no backup of itself."""
        self._found = None
        made = self.all()
        if made and _is_same(made[0].path, self._path):
            with suppress(OSError):
                made[0].path.unlink()
            self._found = None


def _moment(seconds: float) -> datetime:
    """The time a file bears, however wrong; what no calendar holds becomes the calendar's end or begin."""
    try:
        return datetime.fromtimestamp(seconds)
    except (ValueError, OverflowError, OSError):
        return datetime.max if seconds > 0 else datetime.min


def found(path: Path) -> list[Backup]:
    """The backups of a logbook, newest first; none when the folder cannot be read."""
    backups = []
    with suppress(OSError):
        for other in path.parent.iterdir():
            match = _NAME.fullmatch(other.name[len(path.name) :]) if other.name.startswith(path.name) else None
            with suppress(ValueError):
                if match:
                    written = datetime.strptime(match.group(2), "%Y%m%dT%H%M%S")
                    backups.append(Backup(other, int(match.group(1)), written, bool(match.group(3))))
    return sorted(backups, key=lambda backup: backup.number, reverse=True)


def superfluous(backups: Iterable[Backup], now: datetime) -> set[Backup]:
    """Those beyond the last saves that are not the newest of their day (14 days) or of their week (a year)."""
    seen: set[tuple[int, ...]] = set()
    spare: set[Backup] = set()
    newest_first = sorted(backups, key=lambda one: one.number, reverse=True)
    today = _believed(newest_first, now)
    for place, backup in enumerate(newest_first):
        slot = _slot(backup.written, today)
        if place >= LAST_SAVES and (slot is None or slot in seen):
            spare.add(backup)
        if slot is not None:
            seen.add(slot)
    return spare


def _believed(newest_first: list[Backup], now: datetime) -> datetime:
    """The time ages are counted from: a clock that is years ahead for a few saves must not make every backup old."""
    usual = median_low([now, *(backup.written for backup in newest_first[:LAST_SAVES])])
    return now if (now - usual).days < DAYS else usual


def _slot(written: datetime, now: datetime) -> tuple[int, ...] | None:
    age = (now.date() - written.date()).days
    if age < DAYS:
        return (written.year, written.month, written.day)
    return tuple(written.isocalendar())[:2] if age < YEAR else None


def newest_good(path: Path) -> Backup | None:
    """The newest backup that is a logbook just as pitbench wrote it."""
    for backup in found(path):
        with suppress(OSError):
            if contents.is_good(disk.read_whole(backup.path)[0]):
                return backup
    return None


def way_back(path: Path) -> str:
    """The clause of a refusal that says what can be had back, and how."""
    backup = newest_good(path)
    if backup is None:
        return "there is no good backup beside it"
    return (
        f"the newest good backup is from {shown_stamp(stamp_of(backup.written))}, "
        f"`pitbench restore {backup.number} {refusals.option(path)}` brings it back"
    )


def chosen(path: Path, which: str) -> Backup:
    """The backup meant by a number, a file name or `newest` (the newest good one); raises a Refusal."""
    backups = found(path)
    newest = newest_good(path) if which == "newest" else None
    for backup in backups:
        if backup == newest or which == backup.path.name or which.strip().lstrip("0") == str(backup.number):
            return backup
    if backups and which == "newest":
        raise refusals.BadPlace(f"{path} has no good backup; `pitbench restore` lists what is wrong with each.")
    known = f"{backups[-1].number} to {backups[0].number}" if backups else "none"
    raise refusals.BadPlace(f"{path} has no backup {which[:80]!r}; its backups are: {known}.")


def _is_same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return False
