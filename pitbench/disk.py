"""Files replaced whole or not at all, and what differs between systems when doing so.

The only place that writes a file of the store, sheets and paper: a temporary file in the same folder, written, synced,
put in the place of the old one, the folder synced. Nobody else may replace or sync a file. Run on Linux only so far;
the branches for Windows and macOS follow their documentation.
"""

import errno
import os
import stat
import sys
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

Stamp = tuple[int, int, int]
Bytes = bytes | memoryview

_NEW_FILE = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
_ONLY_THE_USER = 0o600
SUFFIX = ".tmp"


def read_whole(path: Path) -> tuple[bytes, Stamp]:
    """The bytes of an ordinary file and the stamp they were read under; raises OSError."""
    must_be_ordinary(path)
    with path.open("rb") as file:
        found = os.fstat(file.fileno())
        return file.read(), _stamp(found)


def must_be_ordinary(path: Path) -> None:
    """Raises OSError for a folder, a device, a pipe, and for nothing at all."""
    kind = path.stat().st_mode
    if stat.S_ISDIR(kind):
        raise IsADirectoryError(errno.EISDIR, "it is a folder")
    if not stat.S_ISREG(kind):
        raise OSError(errno.EINVAL, "it is no ordinary file")


def stamp(path: Path) -> Stamp | None:
    """What changes whenever the file is replaced or written; None when there is no file."""
    try:
        return _stamp(path.stat())
    except (FileNotFoundError, NotADirectoryError):
        return None


def write_whole(
    path: Path,
    *parts: Bytes,
    before_replacing: Callable[[], object] = lambda: None,
    sync: bool = True,
) -> None:
    """Put a file of these bytes in the place of the old one; raises OSError with the old file standing.

    Only when the very last step, the sync of the folder, fails does the new file stand in spite of the error.
    A temporary file whose sync failed is never used again: each call makes a new one. Without `sync` a power cut may
    take what was written last, a killed process does not.
    """
    write_together(path.parent, {path.name: parts}, before_replacing=before_replacing, sync=sync)


def write_together(
    folder: Path,
    files: Mapping[str, Sequence[Bytes]],
    gone: Iterable[str] = (),
    suffix: str = SUFFIX,
    mode: int = _ONLY_THE_USER,
    before_replacing: Callable[[], object] = lambda: None,
    sync: bool = True,
) -> None:
    """As `write_whole`, for several files of a folder: none is replaced before all are written, and then those `gone`
    are removed. Links are replaced, not followed."""
    fresh = {folder / name: folder / (name + suffix) for name in files}
    try:
        for beside, parts in zip(fresh.values(), files.values(), strict=True):
            _make_way(beside)
            _write_new(beside, parts, mode, sync)
        before_replacing()
        for path, beside in fresh.items():
            _replace(beside, path)
        for name in gone:
            (folder / name).unlink(missing_ok=True)
    except BaseException:
        for beside in fresh.values():
            with suppress(OSError):
                beside.unlink(missing_ok=True)
        raise
    if sync:
        sync_folder(folder)


def _make_way(fresh: Path) -> None:
    try:
        fresh.unlink(missing_ok=True)
    except OSError as error:
        if fresh.is_dir():
            what = f"its temporary file, the same name with {fresh.suffix} behind it, is a folder: move that away"
            raise IsADirectoryError(errno.EISDIR, what) from error
        raise


def _write_new(fresh: Path, parts: Sequence[Bytes], mode: int, sync: bool) -> None:
    descriptor = os.open(fresh, _NEW_FILE, mode)
    try:
        for part in parts:
            rest = memoryview(part)
            while rest:
                rest = rest[os.write(descriptor, rest) :]
        if sync:
            _sync(descriptor)
    finally:
        os.close(descriptor)


def _sync(descriptor: int) -> None:
    """Down to the disk; macOS keeps the bytes in the drive's own memory unless asked in its own way."""
    if sys.platform == "darwin":
        import fcntl

        with suppress(OSError):
            fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
            return
    os.fsync(descriptor)


def _replace(fresh: Path, path: Path) -> None:
    """Windows refuses for a moment while a reader or a virus scanner has the old file open."""
    if sys.platform == "win32":
        for wait in (0.05, 0.1, 0.2, 0.4):
            with suppress(PermissionError):
                fresh.replace(path)
                return
            time.sleep(wait)
    fresh.replace(path)


def sync_folder(folder: Path) -> None:
    """Make the names in a folder last; Windows has no such call and does it with the file."""
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def second_name(path: Path, other: Path) -> None:
    """Give the file a second name; where the disk knows no second names (memory cards), copy it."""
    try:
        os.link(path, other)
    except FileExistsError:
        raise
    except OSError:
        write_whole(other, read_whole(path)[0])


def for_the_user_alone(path: Path, mode: int) -> None:
    """A file that came from elsewhere may be open to others; what is kept of it is not. Where that cannot be set (disks
    without rights, such as memory cards), it stays."""
    if mode & 0o077:
        with suppress(OSError):
            path.chmod(_ONLY_THE_USER)


def _stamp(found: os.stat_result) -> Stamp:
    return (found.st_mtime_ns, found.st_size, found.st_ino)


def clear_strays(path: Path) -> None:
    """Remove temporary files a killed process left beside a file and its backups; only its one writer may."""
    with suppress(OSError):
        for other in path.parent.iterdir():
            if other.name.startswith(path.name + ".") and other.name.endswith(SUFFIX):
                with suppress(OSError):
                    other.unlink()
