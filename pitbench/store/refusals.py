"""What the store refuses, each in one sentence that names the file, what is wrong and what would be right.

Nobody else words a sentence about the logbook's file; `cannot_open`, `cannot_lock` and `not_saved` word errors of the
system.
"""

import errno
from pathlib import Path

from pitbench.records.refusal import Refusal

_NO_PLACE = {errno.ENAMETOOLONG, errno.ELOOP, errno.EINVAL}
_NO_LOCKS = {errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.ENOTSUP}
_FULL = {errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)}


class Missing(Refusal):
    """There is no logbook at this place."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"{path} does not exist; `pitbench load` of a sheet starts a logbook there.")


class BadPlace(Refusal):
    """A logbook cannot stand at this place, or this user may not read or write it."""


class Damaged(Refusal):
    """The file is broken: it cannot be read, or a record in it cannot be."""

    can_restore = True


class Foreign(Refusal):
    """The file is something else than a logbook."""

    can_restore = True


class Newer(Refusal):
    """The file was written by a newer pitbench."""


class HandEdited(Refusal):
    """Every record is valid, yet the seal says that somebody else than pitbench wrote the file."""

    can_accept = can_restore = True


class OfTheMoment(Refusal):
    """Nothing is wrong with what was asked for: at another moment it may be done."""

    status = 1


class OpenElsewhere(OfTheMoment):
    """Another pitbench holds the logbook open for writing."""


class NotLocked(OfTheMoment):
    """The lock cannot be had, though nobody else has it: the logbook can be read and not written."""


class ReadOnly(OfTheMoment):
    """This logbook was opened for reading."""


class NotSaved(OfTheMoment):
    """A save that did not happen; what was saved before stands."""


class Trouble(OfTheMoment):
    """The disk or the system failed while reading."""


def cannot_open(path: Path, error: OSError) -> Refusal:
    """The refusal for an error met while a file was opened or read."""
    if isinstance(error, FileNotFoundError) and path.parent.is_dir():
        return Missing(path)
    if isinstance(error, (FileNotFoundError, NotADirectoryError)):
        return no_folder(path)
    if isinstance(error, IsADirectoryError):
        return BadPlace(f"{path} is a folder; name a file in it, {path / 'logbook.json'} would be right.")
    if isinstance(error, PermissionError):
        return BadPlace(f"{path} may not be read by you; ask its owner for the right to read it, or name another file.")
    if error.errno in _NO_PLACE:
        return BadPlace(f"{path} is no place for a file ({reason(error)}); name another one.")
    return Trouble(f"{path} could not be read ({reason(error)}); try again, or from another disk.")


def cannot_lock(path: Path, lock: Path, error: OSError) -> Refusal:
    """The refusal for an error met while the lock was made; `path` itself can still be read."""
    if error.errno in _NO_LOCKS:
        return NotLocked(
            f"{path} cannot be written, its disk has no locks ({reason(error)}) and two pitbenches could overwrite "
            "each other; keep the logbook on a disk of this computer."
        )
    if error.errno == errno.ENAMETOOLONG:
        return BadPlace(f"{path} has too long a name for the lock and the backups beside it; give it a shorter one.")
    wrong = _wrong_lock(lock, error)
    if wrong:
        return BadPlace(f"{lock} {wrong}; it is only a lock, delete it when no pitbench is open, or ask its owner.")
    if isinstance(error, PermissionError):
        return not_writable(path)
    if error.errno in _FULL:
        return NotLocked(f"{path} cannot be written, the disk is full; free some space and start again.")
    return NotLocked(f"{path} cannot be written, {lock.name} could not be locked ({reason(error)}); start again.")


def _wrong_lock(lock: Path, error: OSError) -> str:
    """What stands where the lock should, if that is the trouble."""
    if lock.is_symlink():
        return "is a link, a file of its own would be right"
    if lock.is_dir():
        return "is a folder, an empty file would be right"
    if isinstance(error, PermissionError) and lock.exists():
        return "may not be opened by you"
    return ""


def no_folder(path: Path) -> BadPlace:
    """The folder the file should stand in is missing."""
    return BadPlace(f"{path.parent} is no folder, so {path.name} cannot be there; make the folder or name another one.")


def not_writable(path: Path) -> BadPlace:
    """The folder, or the file itself, may not be written."""
    return BadPlace(
        f"{path} may not be written by you; ask for the right to write it and its folder, "
        "or copy the logbook to a folder of your own."
    )


def not_saved(path: Path, error: OSError, replaced: bool) -> NotSaved:
    """The refusal for an error met while saving; `replaced`: the new file already stood when it happened."""
    if replaced:
        return NotSaved(
            f"{path} was written, but the disk could not promise to keep it ({reason(error)}); "
            "look whether the last entry is there before you enter it again."
        )
    if error.errno in _FULL:
        return NotSaved(
            f"{path} was not saved, the disk is full; free some space and save again, what was saved before stands."
        )
    if isinstance(error, PermissionError):
        return NotSaved(f"{path} was not saved, {path.parent} may not be written by you; what was saved before stands.")
    return NotSaved(f"{path} was not saved ({reason(error)}); try again, what was saved before stands.")


def option(path: Path) -> str:
    """How a command is told about this file."""
    name = f'"{path}"' if " " in str(path) else str(path)
    return f"--logbook={name}" if str(path).startswith("-") else f"--logbook {name}"


def reason(error: OSError) -> str:
    """The system's own words for an error, without its number."""
    return (error.strerror or type(error).__name__).lower()
