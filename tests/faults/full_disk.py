"""A real disk that fills up and gets space again under a writer that is not started again; needs the right to mount."""

import shutil
import subprocess
import tempfile
from contextlib import contextmanager
from pathlib import Path

from tests.faults.plug import Row, Writer, begun, look, said

SIZE = "6m"
ENOUGH = 3


@contextmanager
def mounted(*words: str):
    """A folder with a file system of its own for a while; raises CalledProcessError where that is not allowed."""
    folder = Path(tempfile.mkdtemp())
    subprocess.run(["mount", *words, folder], check=True, capture_output=True)
    try:
        yield folder
    finally:
        subprocess.run(["umount", folder], check=True)
        folder.rmdir()


def full_disk(rounds: int) -> Row:
    """Fill the disk to the last byte, wait for refused saves, free it, wait for saves; again and again."""
    row = Row("disk full to the last byte, then freed, the same process going on")
    try:
        with mounted("-t", "tmpfs", "-o", f"size={SIZE}", "tmpfs") as folder:
            _rounds(row, folder, rounds)
    except (subprocess.CalledProcessError, FileNotFoundError):
        row.skipped = "no right to mount a small disk here"
    return row


def _rounds(row: Row, folder: Path, rounds: int) -> None:
    path, ballast = folder / "logbook.json", folder / "ballast"
    number = begun(path, 20)
    writer = Writer(path, seed=5, stay=True)
    try:
        for _ in range(rounds):
            acknowledged = _until(writer, "ACK")
            _fill(ballast)
            refused = 0
            while refused < ENOUGH:
                word, told = writer.line().split()
                acknowledged = int(told) if word == "ACK" else acknowledged
                refused += word == "NOT"
            number = row.judge(path, number, acknowledged)
            assert number == look(path) == acknowledged
            ballast.unlink()
        acknowledged = _until(writer, "ACK")
    finally:
        lines = writer.kill()
    row.judge(path, number, said(lines) or acknowledged)


def _until(writer: Writer, word: str) -> int:
    while True:
        found, number = writer.line().split()
        if found == word:
            return int(number)


def _fill(ballast: Path) -> None:
    """What a writer frees meanwhile is taken too."""
    with ballast.open("wb", buffering=0) as file:
        for size in (1 << 16, 1 << 12, 1 << 12):
            try:
                while True:
                    file.write(b"x" * min(size, max(1, shutil.disk_usage(ballast.parent).free)))
                    if shutil.disk_usage(ballast.parent).free == 0:
                        break
            except OSError:
                continue
