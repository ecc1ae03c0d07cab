"""One writer at a time: an operating-system lock beside the logbook, which dies with the process that holds it.

The system's own calls, because the app waits for this before its first list: the package for it takes 11 ms to load, a
third of what the rest of the store takes, and does nothing more for one file. Run on Linux only so far; the branch for
Windows follows its documentation and is tried on a stand-in.
"""

import os
import sys
from contextlib import suppress
from pathlib import Path

from pitbench import disk
from pitbench.store import refusals

_OPENED = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0)


class WriterLock:
    """Held from making to `release`, also when another thread releases it."""

    _held: int | None = None

    def __init__(self, path: Path) -> None:
        there = self._is_there(path)
        if not os.access(path.parent, os.W_OK) or (there and not os.access(path, os.W_OK)):
            raise refusals.not_writable(path)
        lock = path.with_name(f"{path.name}.lock")
        try:
            self._held = _locked(lock)
        except BlockingIOError:
            raise refusals.OpenElsewhere(
                f"{path} is open in another pitbench; close that one first, until then it can only be read here."
            ) from None
        except OSError as error:
            raise refusals.cannot_lock(path, lock, error) from None

    @staticmethod
    def _is_there(path: Path) -> bool:
        """Nothing is locked, and no lock file made, beside what can be no logbook."""
        try:
            if not path.parent.is_dir():
                raise refusals.no_folder(path)
            disk.must_be_ordinary(path)
        except FileNotFoundError:
            return False
        except OSError as error:
            raise refusals.cannot_open(path, error) from None
        return True

    def release(self) -> None:
        """Let the next one write; a second call does nothing. One that cannot be given up ends with the process."""
        held, self._held = self._held, None
        if held is not None:
            with suppress(OSError):
                _unlock(held)
            with suppress(OSError):
                os.close(held)

    def __del__(self) -> None:
        self.release()


def _locked(lock: Path) -> int:
    """The lock file, open and locked until it is closed; raises BlockingIOError while another one holds it."""
    held = os.open(lock, _OPENED, 0o600)
    try:
        _lock(held)
    except BaseException:
        os.close(held)
        raise
    return held


def _lock(held: int) -> None:
    if sys.platform == "win32":
        import msvcrt

        os.lseek(held, 0, os.SEEK_SET)  # what is locked is the byte at the place in the file
        try:
            msvcrt.locking(held, msvcrt.LK_NBLCK, 1)
        except PermissionError as error:
            raise BlockingIOError from error
    else:
        import fcntl

        fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _unlock(held: int) -> None:
    """Windows wants it done before the file is closed. Elsewhere closing does it, and a process that inherited the file
    cannot unlock it for the one that writes."""
    if sys.platform == "win32":
        import msvcrt

        os.lseek(held, 0, os.SEEK_SET)
        msvcrt.locking(held, msvcrt.LK_UNLCK, 1)
