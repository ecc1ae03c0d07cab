"""What a save survives: an error at each of its calls to the system, a full disk, short writes, being killed.

Always the old or the new state, never one that was acknowledged and is lost, never a file that cannot be read; and the
same logbook, not started again, saves as soon as the trouble is over. Killing a process says nothing about a power
cut: there the promise rests on the sync of file and folder before a save is acknowledged, see docs/file-format.md.
This is a sample; all of it, power cuts and the faults that a tracer plays at real system calls among it, runs with
`python -m tests.faults`.
"""

import errno
import os
import signal
from pathlib import Path

import pytest

from pitbench.records.models import Motor
from pitbench.store import refusals
from pitbench.store.backups import found
from pitbench.store.logbook import Logbook
from tests.faults.full_disk import full_disk
from tests.faults.kills import kills
from tests.faults.plug import JUST, Row, begun
from tests.faults.soak import look, main, soak

CALLS = ("open", "write", "fsync", "close", "link", "replace", "unlink", "stat", "listdir")
HERON = Motor(id="m1", name="Heron", turns=1)


class Failing:
    """The calls of a save to the system, counted; the one whose number is `at` fails, after or instead of its work."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, code: int) -> None:
        self.count, self.at, self.names = 0, 0, []
        for name in CALLS:
            monkeypatch.setattr(os, name, self._wrapped(name, getattr(os, name), code))

    def _wrapped(self, name, real, code):
        def call(*args, **kwargs):
            self.count += 1
            self.names.append(name)
            if self.count == self.at:
                if name == "close":
                    real(*args, **kwargs)
                raise OSError(code, os.strerror(code), args[0] if args else None)
            return real(*args, **kwargs)

        return call

    def arm(self, at: int) -> None:
        self.count, self.at, self.names = 0, at, []


def turns_in(path: Path) -> float:
    logbook = Logbook.open(path, write=False)
    logbook.verify()
    return logbook.row("motor", "m1")["turns"]


@pytest.fixture
def logbook(tmp_path):
    with Logbook.open(tmp_path / "logbook.json", create=True) as logbook:
        for turns in range(1, 13):  # so many that a save also thins out backups
            logbook.save("turns", [HERON.with_(turns=turns)])
        yield logbook


@pytest.mark.parametrize("code", [errno.EIO, errno.ENOSPC, errno.EACCES])
def test_an_error_at_every_call_of_a_save(logbook, monkeypatch, code):
    failing = Failing(monkeypatch, code)
    failed, turns, at = set(), 12, 1
    while True:
        turns += 1
        failing.arm(at)
        try:
            logbook.save("turns", [HERON.with_(turns=turns)])
            acknowledged = True
        except refusals.Refusal as refusal:
            assert refusal.status == 1
            acknowledged = False
        reached, name = failing.count >= at, failing.names[at - 1] if failing.count >= at else ""
        failing.arm(0)
        there = turns_in(logbook.path)
        assert there == logbook.row("motor", "m1")["turns"], f"memory and file differ after {name}"
        assert there == turns or (there == turns - 1 and not acknowledged), f"after {name}"
        if not acknowledged:
            failed.add(name)
            assert not logbook.path.with_name("logbook.json.tmp").exists(), f"left over after {name}"
            assert not any(backup.path.samefile(logbook.path) for backup in found(logbook.path)), f"after {name}"
            turns += 1
            logbook.save("turns", [HERON.with_(turns=turns)])
            assert turns_in(logbook.path) == turns
        if not reached:
            break
        at += 1
    assert acknowledged
    assert {"open", "write", "fsync", "close", "replace"} <= failed
    assert at > 10
    assert not list(logbook.path.parent.glob("*.tmp"))


def test_the_sentence_says_what_became_of_the_save(logbook, monkeypatch):
    """The last sync is that of the folder: then the new file stands, and nobody may say that it does not."""
    failing = Failing(monkeypatch, errno.EIO)
    failing.arm(0)
    logbook.save("turns", [HERON.with_(turns=50)])
    folder_sync = len(failing.names) - 1 - failing.names[::-1].index("fsync") + 1
    first_sync = failing.names.index("fsync") + 1
    failing.arm(first_sync)
    with pytest.raises(refusals.NotSaved, match=r"was not saved \(input/output error\); try again"):
        logbook.save("turns", [HERON.with_(turns=51)])
    assert logbook.row("motor", "m1")["turns"] == 50
    heard = []
    logbook.on_saved = lambda revision, kinds: heard.append(revision)
    failing.arm(folder_sync)
    with pytest.raises(refusals.NotSaved, match="was written, but the disk could not promise to keep it"):
        logbook.save("turns", [HERON.with_(turns=52)])
    failing.arm(0)
    assert logbook.row("motor", "m1")["turns"] == turns_in(logbook.path) == 52
    assert len(heard) == 1


def test_a_full_disk_and_space_again(logbook, monkeypatch):
    real, room = os.write, 100

    def short_of_room(descriptor, data):
        nonlocal room
        if room <= 0:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        written = real(descriptor, data[:room])
        room -= written
        return written

    monkeypatch.setattr(os, "write", short_of_room)
    for _ in range(3):
        room = 100
        with pytest.raises(refusals.NotSaved, match="the disk is full; free some space and save again") as refused:
            logbook.save("turns", [HERON.with_(turns=99)])
        assert refused.value.status == 1
        assert turns_in(logbook.path) == logbook.row("motor", "m1")["turns"] == 12
    room = 10**9
    logbook.save("turns", [HERON.with_(turns=99)])
    assert turns_in(logbook.path) == 99


def test_a_system_that_writes_a_few_bytes_at_a_time(logbook, monkeypatch):
    real = os.write
    monkeypatch.setattr(os, "write", lambda descriptor, data: real(descriptor, data[:7]))
    logbook.save("turns", [HERON.with_(turns=99)])
    assert turns_in(logbook.path) == 99


def test_a_key_press_that_interrupts_a_save(logbook, monkeypatch):
    def interrupted(descriptor):
        raise KeyboardInterrupt

    with monkeypatch.context() as patch, pytest.raises(KeyboardInterrupt):
        patch.setattr(os, "fsync", interrupted)
        logbook.save("turns", [HERON.with_(turns=99)])
    assert turns_in(logbook.path) == logbook.row("motor", "m1")["turns"] == 12
    logbook.save("turns", [HERON.with_(turns=99)])


def test_the_disk_is_told_in_order(logbook, monkeypatch):
    """File synced before it takes the old one's place, backup before that, folder synced before save returns."""
    failing = Failing(monkeypatch, errno.EIO)
    failing.arm(0)
    logbook.save("turns", [HERON.with_(turns=99)])
    steps = [name for name in failing.names if name in {"write", "fsync", "link", "replace"}]
    assert steps == ["write", "write", "fsync", "link", "replace", "fsync"]


def test_killed_at_every_call_of_a_save(tmp_path):
    """In a child process, before the call does its work."""
    path = tmp_path / "logbook.json"
    at, there = 0, begun(path, 13)
    while True:
        at += 1
        child = os.fork()
        if child == 0:
            _save_and_die(path, at)
        killed = os.waitpid(child, 0)[1] == signal.SIGKILL
        assert look(path) in ((there, there + 1) if killed else (there + 1,)), f"call {at}"
        there = look(path)
        if not killed:
            break
    assert at > 10


def _save_and_die(path: Path, at: int) -> None:
    calls = 0

    def dying(real):
        def call(*args, **kwargs):
            nonlocal calls
            calls += 1
            if calls == at:
                os.kill(os.getpid(), signal.SIGKILL)
            return real(*args, **kwargs)

        return call

    for name in CALLS:
        setattr(os, name, dying(getattr(os, name)))
    try:
        soak(path, saves=1)
    finally:
        os._exit(0)


def test_killed_at_random_moments(tmp_path):
    """What was acknowledged before the kill is there after it; the full size is `python -m tests.faults`."""
    row = kills(tmp_path, 15, saves_before=3, longest_s=0.05)
    assert not row.failed, (row.states, row.notes)
    assert row.faults == 15
    assert row.acknowledged >= 15


def test_a_disk_of_its_own_that_fills_up():
    row = full_disk(2)
    if row.skipped:
        pytest.skip(row.skipped)
    assert not row.failed, (row.states, row.notes)
    assert row.faults == 3


def test_what_judges_the_file_can_tell(tmp_path):
    """A lost save, half a save and an unreadable file are told from a good one."""
    path = tmp_path / "logbook.json"
    row, there = Row("any"), begun(path, 3)
    assert row.judge(path, there, there) == there == 3
    assert row.judge(path, there, there + 1) == there
    assert row.judge(path, there - 2, None) == there
    with Logbook.open(path) as logbook:
        logbook.save("3", [logbook.settings().with_(weights={"k": 4})])
    row.judge(path, there, there)
    path.write_bytes(path.read_bytes()[:-1])
    row.judge(path, there, there)
    assert row.states == {JUST: 1, "lost": 1, "made up": 1, "unreadable": 2}
    assert "holds half a save: 4 in the settings, '3' in the changes" in row.notes[0]
    assert row.failed


def test_the_process_that_saves_until_it_is_stopped(tmp_path, capfd):
    path = str(tmp_path / "logbook.json")
    assert main([path, "--saves", "2"]) == main([path, "--look"]) == 0
    assert capfd.readouterr().out.split("\n") == ["ACK 1", "ACK 2", "HAVE 2", ""]
    Path(path).write_bytes(b"null")
    assert (main([path, "--saves", "1"]), main([path, "--look"])) == (2, 3)
