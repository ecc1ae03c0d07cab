"""From a path to the text of a sheet, or one clear sentence why there is none. Whether it is a sheet, others decide."""

import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from pitbench.records.refusal import Refusal

_UTF16 = (b"\xff\xfe", b"\xfe\xff")
_WANTED = "a sheet is a CSV file in UTF-8"


def read_text(path: Path) -> str:
    """The text of a sheet, its byte-order mark taken off; raises Refusal (status 2, or 1 when the disk fails)."""
    raw = _read_bytes(path)
    if looks_like_utf16(raw):
        raise Refusal(f"{path} is UTF-16, {_WANTED}: save it again as CSV UTF-8.")
    if b"\0" in raw:
        raise Refusal(f"{path} is a binary file, {_WANTED}.")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise Refusal(f"{path} is not UTF-8 (line {line}), {_WANTED}: save it again as CSV UTF-8.") from None
    if not text.strip():
        raise Refusal(f"{path} is empty, {_WANTED} with one header row.")
    return text


def _read_bytes(path: Path) -> bytes:
    with reading(path, _WANTED, "sheet"):
        return path.read_bytes()


@contextmanager
def reading(path: Path, wanted: str, what: str) -> Iterator[None]:
    """Whatever keeps a file from being read becomes a Refusal; `wanted` says what it should be, `what` what it is
    called. A pipe or a device is not opened: it could make us wait for ever."""
    try:
        if not stat.S_ISREG(path.stat().st_mode) and not path.is_dir():
            raise Refusal(f"{path} is a pipe, a socket or a device, {wanted}: save it as a file first.")
        yield
    except IsADirectoryError:
        raise Refusal(f"{path} is a folder, {wanted}: name the files in it.") from None
    except FileNotFoundError:
        raise Refusal(f"{path} does not exist, the path of a {what} would be right.") from None
    except PermissionError:
        if path.is_dir():  # so Windows says it
            raise Refusal(f"{path} is a folder, {wanted}: name the files in it.") from None
        raise Refusal(f"{path} may not be read, permission to read it would be right.") from None
    except ValueError:
        raise Refusal(f"{str(path)!r} is no path, the path of a {what} would be right.") from None
    except OSError as error:
        status = 2 if isinstance(error, NotADirectoryError) else 1
        raise Refusal(f"{path} cannot be read: {error.strerror or error}.", status) from None


def looks_like_utf16(raw: bytes) -> bool:
    """By its mark; without one plain letters have a zero byte each, always on the same side."""
    if raw.startswith(_UTF16):
        return True
    head = raw[:400]
    if len(head) < 4 or len(head) % 2:
        return False
    low, high = head[0::2], head[1::2]
    return any(one.count(0) > 0.8 * len(one) and 0 not in other for one, other in ((low, high), (high, low)))
