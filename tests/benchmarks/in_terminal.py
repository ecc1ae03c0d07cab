"""A program in a real pseudo-terminal, its bytes as they come: when a text stood there, how long a key took, memory."""

import fcntl
import os
import pty
import re
import select
import signal
import struct
import sys
import termios
import time
from pathlib import Path
from typing import Self

COLUMNS, ROWS, PATIENCE_S = 80, 24, 120.0
_ESCAPES = re.compile(rb"\x1b\[[0-9;?<>=$ ]*[A-Za-z~]|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b[()][A-Z0-9]|\x1b[=>]")
_ASKS_SYNC, _HAS_SYNC = b"\x1b[?2026$p", b"\x1b[?2026;2$y"


def _may_compile() -> dict[str, str]:
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


class InTerminal:
    """Started at once; `painted` and `key` are in seconds."""

    def __init__(self, words: list[str], home: Path) -> None:
        kept = {name: str(home) for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME")}
        kept["PYTHONPYCACHEPREFIX"] = str(home)  # compiled once, as an installed package is, not at every start
        environment = {**_may_compile(), **kept, "TERM": "xterm-256color", "COLORTERM": "truecolor"}
        self._seen = b""
        self._began = time.perf_counter()
        self.child, self._end = pty.fork()
        if self.child == 0:
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
            os.execvpe(sys.executable, [sys.executable, *words], environment)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        os.kill(self.child, signal.SIGKILL)
        os.waitpid(self.child, 0)
        os.close(self._end)

    def _read(self, seconds: float) -> bytes:
        ready, _, _ = select.select([self._end], [], [], max(0.0, seconds))
        try:
            data = os.read(self._end, 65536) if ready else b""
        except OSError:
            return b""
        if _ASKS_SYNC in data:
            os.write(self._end, _HAS_SYNC)
        self._seen += data
        return data

    def painted(self, text: str) -> float:
        """Seconds from the start until this text has been painted."""
        while time.perf_counter() - self._began < PATIENCE_S:
            self._read(1.0)
            if text.encode() in _ESCAPES.sub(b"", self._seen):
                return time.perf_counter() - self._began
        raise TimeoutError(f"{text!r} was never painted: {self._seen[-400:]!r}")

    def settle(self, quiet: float = 0.6) -> None:
        """Until nothing has come for so long."""
        while self._read(quiet):
            pass

    def key(self, sent: bytes, quiet: float = 0.12) -> float | None:
        """Seconds from sending a key until the last byte of what it caused; None if it caused nothing."""
        start, last = time.perf_counter(), None
        os.write(self._end, sent)
        while self._read(quiet):
            last = time.perf_counter()
        return None if last is None else last - start

    def memory_mb(self) -> float:
        """Resident memory of the child now and of what it has started, in megabytes; shared pages count in each."""
        lists = Path(f"/proc/{self.child}/task").glob("*/children")  # a list a thread
        started = [process for each in lists for process in each.read_text(encoding="utf-8").split()]
        return sum(_resident_mb(process) for process in (str(self.child), *started))

    def most_memory_mb(self, seconds: float) -> float:
        """The most it comes to while so long passes."""
        end, most = time.perf_counter() + seconds, 0.0
        while time.perf_counter() < end:
            self._read(0.02)
            most = max(most, self.memory_mb())
        return most


def _resident_mb(process: str) -> float:
    """0 for one that has ended meanwhile."""
    try:
        found = re.search(r"VmRSS:\s+(\d+) kB", Path(f"/proc/{process}/status").read_text(encoding="utf-8"))
    except OSError:
        return 0.0
    return int(found.group(1)) / 1024 if found else 0.0
