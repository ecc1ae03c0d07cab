"""The app in a real pseudo-terminal, its bytes drawn by a terminal emulator (pyte)."""

import fcntl
import json
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

from pitbench.app.signals import ENDS_WITHIN_S
from pitbench.bootstrap import open_for_reading, open_for_writing
from pitbench.desk.entry import half_filled
from pitbench.records.models import Motor
from pitbench.store import seal

COLUMNS, ROWS, PATIENCE = 80, 24, 60.0


class Terminal:
    """A child process on a pseudo-terminal of 80×24 and the screen it draws."""

    def __init__(self, words, environment):
        self.screen = pyte.Screen(COLUMNS, ROWS)
        self._stream = pyte.ByteStream(self.screen)
        self.sent = b""
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
        self.sent += data
        # private sequences that the emulator does not know would be drawn as text
        self._stream.feed(data.replace(b"\x1b[>", b"\x1b[").replace(b"\x1b[<", b"\x1b["))

    def wait_for(self, words):
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            self.read()
            if words in "\n".join(self.screen.display):
                return
        raise AssertionError(f"{words!r} never came:\n" + "\n".join(self.screen.display))

    def modes(self):
        """The modes of the line: a shell needs them as they were before the app."""
        return termios.tcgetattr(self._end)[:4]

    def hang_up(self):
        """The window is closed."""
        os.close(self._end)
        self._end = os.open(os.devnull, os.O_RDWR)

    def press(self, keys):
        os.write(self._end, keys.encode())

    def status(self):
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            self.read(0.02)
            done, status = os.waitpid(self.child, os.WNOHANG)
            if done:
                self.read()
                return os.waitstatus_to_exitcode(status)
        raise AssertionError("it did not end")


@pytest.fixture
def environment(tmp_path):
    home = {name: str(tmp_path / name) for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME")}
    return {**os.environ, **home, "TERM": "xterm-256color", "COLORTERM": "truecolor"}


def test_a_motor_and_a_bench_run_are_logged_in_a_real_terminal(two_motors, environment):
    terminal = Terminal([sys.executable, "-m", "pitbench", "--logbook", str(two_motors)], environment)
    terminal.wait_for("CLUB 13.5T")
    terminal.press("a")
    terminal.wait_for("New bench run")
    terminal.press("3953\r4,10\r31\r")
    terminal.wait_for("964")  # speed per amp: what the figures come to
    terminal.press("\x13")  # Ctrl+S, the twin of F2
    terminal.wait_for("Saved")
    terminal.press("\x1b")
    terminal.wait_for("CLUB 13.5T")
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
    terminal.wait_for("settled: Whio")
    shown = (("2", "newest first"), ("4", "c writes down"), ("3", "Best for the main"), ("7", "chance of best"))
    for key, words in shown:
        terminal.press(key)
        terminal.wait_for(words)
    assert "multiarray" not in Path(f"/proc/{terminal.child}/maps").read_text()
    terminal.press("\x11")
    assert terminal.status() == 0


def test_quitting_amid_a_ranking_waits_for_no_answer(two_motors, environment):
    """The second process never answers, as on a machine that has no time for it."""
    stuck = (
        "import sys, pitbench.apart; from pitbench.__main__ import main;"
        "pitbench.apart._BEGIN = 'import time; time.sleep(600)'; sys.exit(main(sys.argv[1:]))"
    )
    terminal = Terminal([sys.executable, "-c", stuck, "--logbook", str(two_motors)], environment)
    terminal.wait_for("CLUB 13.5T")
    while not any(each.read_text() for each in Path(f"/proc/{terminal.child}/task").glob("*/children")):
        terminal.read()
    terminal.press("\x11")
    assert terminal.status() == 0
    assert "settled" not in "\n".join(terminal.screen.display)


def test_keys_pressed_before_the_logbook_is_open_wait_for_it(two_motors, environment):
    terminal = Terminal([sys.executable, "-m", "pitbench", "--logbook", str(two_motors)], environment)
    terminal.wait_for("pitbench")  # the first frame
    terminal.press("b3953")
    terminal.wait_for("New bench run")
    terminal.wait_for("3953")
    terminal.press("\x11")
    assert terminal.status() == 0


@pytest.mark.parametrize("opened", [True, False])
def test_three_runs_in_one_write_are_three_runs_stored(two_motors, environment, opened):
    terminal = Terminal([sys.executable, "-m", "pitbench", "--logbook", str(two_motors)], environment)
    terminal.wait_for("CLUB 13.5T" if opened else "pitbench")
    line = "\x0c{}\r"  # Ctrl+L, the twin of F5
    again = "\x12"  # Ctrl+R, the twin of F3
    lines = ("3897 4,21", "3902 4,19", "3899 4,2")
    terminal.press("a" + again.join(line.format(each) for each in lines) + "\x13")
    terminal.wait_for("Enter same again, Esc done")
    terminal.press("\x1b")
    terminal.wait_for("CLUB 13.5T")
    terminal.press("\x11")
    assert terminal.status() == 0
    with open_for_reading(two_motors) as book:
        runs = [(run["kv_rpm_per_v"], run["no_load_current_a"]) for run in book.rows("bench_run")]
    assert runs[4:] == [(3897, 4.21), (3902, 4.19), (3899, 4.2)]


def typing(logbook, environment, words=None):
    """A terminal in which KV was typed and left, and the current is being typed; and its modes before that."""
    terminal = Terminal(words or [sys.executable, "-m", "pitbench", "--logbook", str(logbook)], environment)
    before = terminal.modes()
    terminal.wait_for("CLUB 13.5T")
    assert terminal.modes() != before
    terminal.press("a")
    terminal.wait_for("New bench run")
    terminal.press("3953\r4.07")
    terminal.wait_for("971")  # speed per amp: 3953 / 4.07
    return terminal, before


def draft_of(logbook):
    with open_for_reading(logbook) as book:
        texts = half_filled.kept(book, half_filled.About("bench_run"))["texts"]
    return texts["kv_rpm_per_v"], texts.get("no_load_current_a", "")


def test_told_to_end_it_keeps_the_draft_and_gives_the_terminal_back(two_motors, environment):
    terminal, before = typing(two_motors, environment)
    os.kill(terminal.child, signal.SIGTERM)
    assert terminal.status() == 128 + signal.SIGTERM
    assert terminal.modes() == before
    for mode in (b"1049h", b"25l"):  # a screen of its own, no cursor
        back = mode[:-1] + (b"l" if mode.endswith(b"h") else b"h")
        assert terminal.sent.rindex(b"\x1b[?" + mode) < terminal.sent.rindex(b"\x1b[?" + back)
    assert draft_of(two_motors) == ("3953", "4.07")


def test_a_closed_window_keeps_the_draft(two_motors, environment):
    terminal, _ = typing(two_motors, environment)
    terminal.hang_up()
    assert terminal.status() == 128 + signal.SIGHUP
    assert draft_of(two_motors) == ("3953", "4.07")


def test_a_terminal_gone_without_a_signal_keeps_the_draft_and_ends_it(two_motors, environment):
    """Its parent leads the session and is told of the hang-up; the app is no part of what the system tells."""
    leads = (
        "import signal, subprocess, sys; signal.signal(signal.SIGHUP, signal.SIG_IGN);"
        "ended = subprocess.call([sys.executable, *sys.argv[2:]], start_new_session=True);"
        "open(sys.argv[1], 'w').write(str(ended))"
    )
    status = two_motors.with_name("status")
    words = [str(status), "-m", "pitbench", "--logbook", str(two_motors)]
    terminal, _ = typing(two_motors, environment, [sys.executable, "-c", leads, *words])
    began = time.monotonic()
    terminal.hang_up()
    assert terminal.status() == 0
    assert time.monotonic() - began < ENDS_WITHIN_S + 5
    assert status.read_text() == str(128 + signal.SIGHUP)
    assert draft_of(two_motors) == ("3953", "4.07")


def test_a_hang_up_ends_it_with_its_own_status(two_motors, environment):
    terminal, before = typing(two_motors, environment)
    os.kill(terminal.child, signal.SIGHUP)
    assert terminal.status() == 128 + signal.SIGHUP
    assert terminal.modes() == before and draft_of(two_motors) == ("3953", "4.07")


def test_a_sudden_end_loses_no_more_than_the_last_half_second(two_motors, environment):
    """The field being typed is in the draft as soon as typing pauses; nobody can keep it after the process is gone."""
    terminal, _ = typing(two_motors, environment)
    end = time.monotonic() + PATIENCE
    while draft_of(two_motors)[1] != "4.07" and time.monotonic() < end:
        terminal.read()
    os.kill(terminal.child, signal.SIGKILL)
    assert terminal.status() == -signal.SIGKILL
    assert draft_of(two_motors) == ("3953", "4.07")


@pytest.mark.parametrize(
    ("keys", "opened", "name", "field"),
    [
        ("e", "Edit motor", "motor", "motor"),
        ("m", "New motor", "motor", "motor"),
        ("c", "New setup entry", "setup_entry", "what"),
    ],
)
def test_a_sudden_end_keeps_the_draft_of_any_form(two_motors, environment, keys, opened, name, field):
    """Every form's is tried in `test_drafts`; a closed window and a signal come by the same way as a quit."""
    terminal = Terminal([sys.executable, "-m", "pitbench", "--logbook", str(two_motors)], environment)
    terminal.wait_for("settled")
    terminal.press(keys)
    terminal.wait_for(opened)
    terminal.press("Dotterel")
    end = time.monotonic() + PATIENCE
    while "Dotterel" not in str(drafts_of(two_motors)) and time.monotonic() < end:
        terminal.read()
    os.kill(terminal.child, signal.SIGKILL)
    assert terminal.status() == -signal.SIGKILL
    [(about, draft)] = drafts_of(two_motors).items()
    assert about.startswith(name) and draft["texts"][field] == "Dotterel"
    terminal = Terminal([sys.executable, "-m", "pitbench", "--logbook", str(two_motors)], environment)
    terminal.wait_for("settled")
    terminal.press(keys)
    terminal.wait_for("A half-filled")
    terminal.press("\r")
    terminal.wait_for("Dotterel")
    terminal.press("\x11")
    assert terminal.status() == 0 and drafts_of(two_motors)[about]["texts"][field] == "Dotterel"


def drafts_of(logbook):
    with open_for_reading(logbook) as book:
        return book.draft() or {}


def test_r_brings_the_newest_good_backup_back(two_motors, environment):
    good = two_motors.read_bytes()
    with open_for_writing(two_motors) as book:
        book.save("one more", [Motor(name="Heron")])
    two_motors.write_bytes(good[: len(good) // 2])
    terminal = Terminal([sys.executable, "-m", "pitbench", "--logbook", str(two_motors)], environment)
    terminal.wait_for("r brings the newest good backup back")
    terminal.press("r")
    terminal.wait_for("CLUB 13.5T")
    terminal.wait_for("It holds 2 motors, 4 bench runs.")
    terminal.press("\x11")
    assert terminal.status() == 0 and two_motors.read_bytes() == good


def test_the_app_says_which_record_it_stumbled_over(two_motors, environment):
    """Sealed again by something else, so that nobody looked at the records before the first list."""
    tree = json.loads(two_motors.read_bytes())
    del tree["seal"]
    for run in tree["bench_run"].values():
        run["taken_at"] = "nonsense"
    two_motors.write_bytes(b"".join(seal.sealed(tree)))
    before = two_motors.read_bytes()
    terminal = Terminal([sys.executable, "-m", "pitbench", "--logbook", str(two_motors)], environment)
    assert terminal.status() == 2
    assert "holds a record this pitbench does not take" in " ".join("".join(terminal.screen.display).split())
    assert two_motors.read_bytes() == before


@pytest.mark.parametrize("on_runs", [True, False])
def test_letters_in_one_burst_behind_the_slash_go_to_the_filter(two_motors, environment, on_runs):
    """A d among them would put a run into the bin, a u take back a change."""
    terminal = Terminal([sys.executable, "-m", "pitbench", "--logbook", str(two_motors)], environment)
    terminal.wait_for("settled")
    if on_runs:
        terminal.press("2")
        terminal.wait_for("newest first")
    before = two_motors.read_bytes()
    terminal.press("/dxu whio")
    terminal.wait_for("0 of 4 runs: dxu whio")
    terminal.press("\x11")
    assert terminal.status() == 0 and two_motors.read_bytes() == before
