"""One writer at a time: an operating-system lock beside the logbook, which dies with the process that holds it."""

import os
from contextlib import suppress
from pathlib import Path

from pitbench.store import disk, refusals


class WriterLock:
    """Held from making to `release`, also when another thread releases it."""

    def __init__(self, path: Path) -> None:
        from filelock import FileLock, Timeout  # commands that only read do not wait for it

        there = self._is_there(path)
        if not os.access(path.parent, os.W_OK) or (there and not os.access(path, os.W_OK)):
            raise refusals.not_writable(path)
        self._lock = FileLock(f"{path}.lock", mode=0o600, thread_local=False)
        try:
            self._lock.acquire(blocking=False)
        except Timeout:
            raise refusals.OpenElsewhere(
                f"{path} is open in another pitbench; close that one first, until then it can only be read here."
            ) from None
        except (PermissionError, IsADirectoryError):
            raise refusals.not_writable(path) from None
        except OSError as error:
            raise refusals.cannot_lock(path, error) from None

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
        with suppress(OSError):
            self._lock.release()
