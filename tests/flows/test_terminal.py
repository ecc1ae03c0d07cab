"""The app in a real pseudo-terminal, its bytes drawn by a terminal emulator (pyte)."""

import fcntl
import os
import pty
import select
import signal
import struct
import sys
import termios
import time
from pathlib import Path

import pyte
import pytest

from pitbench.bootstrap import open_for_reading

COLUMNS, ROWS, PATIENCE = 80, 24, 30.0


class Terminal:
    """A child process on a pseudo-terminal of 80×24 and the screen it draws."""

    def __init__(self, words, environment):
        self.screen = pyte.Screen(COLUMNS, ROWS)
        self._stream = pyte.ByteStream(self.screen)
        self.child, self._end = pty.fork()
        if self.child == 0:
            os.execvpe(words[0], words, environment)
        fcntl.ioctl(self._end, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))

    def read(self, seconds=0.05):
        ready, _, _ = select.select([self._end], [], [], seconds)
        if not ready:
            return
        try:
            data = os.read(self._end, 65536)
        except OSError:
            return  # the child has closed its side
        # private sequences that the emulator does not know would be drawn as text
        self._stream.feed(data.replace(b"\x1b[>", b"\x1b[").replace(b"\x1b[<", b"\x1b["))

    def wait_for(self, words):
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            self.read()
            if words in "\n".join(self.screen.display):
                return
        raise AssertionError(f"{words!r} never came:\n" + "\n".join(self.screen.display))

    def press(self, keys):
        os.write(self._end, keys.encode())

    def status(self):
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            self.read(0.02)
            done, status = os.waitpid(self.child, os.WNOHANG)
            if done:
                return os.waitstatus_to_exitcode(status)
        raise AssertionError("it did not end")


@pytest.fixture
def environment(tmp_path):
    home = {name: str(tmp_path / name) for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME")}
    return {**os.environ, **home, "TERM": "xterm-256color", "COLORTERM": "truecolor"}


def test_a_motor_and_a_bench_run_are_logged_in_a_real_terminal(two_motors, environment):
    terminal = Terminal([sys.executable, "-m", "pitbench", "--logbook", str(two_motors)], environment)
    terminal.wait_for("2 motors, club 13.5T.")
    terminal.press("a")
    terminal.wait_for("New bench run")
    terminal.press("3953\r4,10\r31\r")
    terminal.wait_for("964")  # speed per amp: what the figures come to
    terminal.press("\x13")  # Ctrl+S, the twin of F2
    terminal.wait_for("Saved")
    terminal.press("\x1b")
    terminal.wait_for("2 motors, club 13.5T.")
    terminal.press("\x11")  # Ctrl+Q
    assert terminal.status() == 0
    with open_for_reading(two_motors) as book:
        run = max(book.rows("bench_run"), key=lambda row: row["taken_at"])
    assert (run["kv_rpm_per_v"], run["no_load_current_a"], run["motor_temp_c"]) == (3953, 4.1, 31)


def test_a_damaged_logbook_ends_with_a_sentence_and_status_2(two_motors, environment):
    two_motors.write_bytes(b"null")
    terminal = Terminal([sys.executable, "-m", "pitbench", "--logbook", str(two_motors)], environment)
    terminal.wait_for("This logbook was not opened.")
    terminal.press("\x1b")
    assert terminal.status() == 2
    assert two_motors.read_bytes() == b"null"


def test_lists_and_rankings_are_shown_without_numpy_in_the_process(two_motors, environment):
    """What numpy and the draws take is taken by a second process, which ends when nothing is asked any more."""
    terminal = Terminal([sys.executable, "-m", "pitbench", "--logbook", str(two_motors)], environment)
    terminal.wait_for("Wren leads")
    for key, words in (("2", "newest first"), ("4", "c writes down"), ("3", "Best for the main")):
        terminal.press(key)
        terminal.wait_for(words)
    assert "multiarray" not in Path(f"/proc/{terminal.child}/maps").read_text()
    terminal.press("\x11")
    assert terminal.status() == 0


def test_quitting_amid_a_ranking_waits_for_no_answer(two_motors, environment):
    """The second process stands still, as on a machine that has no time for it."""
    terminal = Terminal([sys.executable, "-m", "pitbench", "--logbook", str(two_motors)], environment)
    terminal.wait_for("2 motors, club 13.5T.")
    second = []
    while not second:
        second = [
            int(word)
            for each in Path(f"/proc/{terminal.child}/task").glob("*/children")
            for word in each.read_text().split()
        ]
    os.kill(second[0], signal.SIGSTOP)
    assert "leads" not in "\n".join(terminal.screen.display)
    terminal.press("\x11")
    began = time.monotonic()
    assert terminal.status() == 0
    assert time.monotonic() - began < 5
