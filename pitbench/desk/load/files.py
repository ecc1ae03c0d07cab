"""The files somebody may mean by "the log": the newest of a folder, and how they are told apart."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from pitbench.records.harmless import harmless
from pitbench.records.stamps import friendly, stamp_of

ENDINGS = frozenset({".csv", ".log", ".tsv", ".txt"})


@dataclass(frozen=True)
class LogFile:
    """One file: when it was written last, in s and in words, and how large it is."""

    path: Path
    written: float
    when: str
    size: str

    @property
    def name(self) -> str:
        """What a terminal may be shown of it."""
        return harmless(self.path.name)


def newest(folder: Path, now: datetime, count: int) -> list[LogFile]:
    """The files of a folder that may be load logs by their ending, newest first; none where it cannot be read."""
    found: list[tuple[float, int, Path]] = []
    with suppress(OSError, ValueError):
        for path in folder.iterdir():
            if path.suffix.casefold() in ENDINGS and not path.name.startswith("."):
                with suppress(OSError):
                    about = path.stat()
                    if path.is_file():
                        found.append((about.st_mtime, about.st_size, path))
    found.sort(key=lambda each: (-each[0], each[2].name))
    return [LogFile(path, written, _when(written, now), _size(size)) for written, size, path in found[:count]]


def _when(written: float, now: datetime) -> str:
    """Of a file; nothing where its time is one that no calendar holds.

    >>> _when(1e15, datetime(2026, 5, 16))
    ''
    """
    with suppress(ValueError, OverflowError, OSError):
        return friendly(stamp_of(datetime.fromtimestamp(written)), now)
    return ""


def _size(count: int) -> str:
    """Of a file.

    >>> _size(830), _size(84_300), _size(12_400_000)
    ('1 kB', '84 kB', '12.4 MB')
    """
    return f"{count / 1e6:.1f} MB" if count >= 999_500 else f"{max(1, round(count / 1000))} kB"


def path_in(text: str) -> Path:
    """A path as somebody typed or pasted it: quotation marks off, ~ for home."""
    path = Path(text.strip().strip("\"'"))
    with suppress(RuntimeError):
        path = path.expanduser()
    return path
