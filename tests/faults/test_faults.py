"""What a save survives: an error at each of its calls to the system, a full disk, short writes, being killed.

Always the old or the new state, never one that was acknowledged and is lost, never a file that cannot be read; and the
same logbook, not started again, saves as soon as the trouble is over. Killing a process says nothing about a power
cut: there the promise rests on the sync of file and folder before a save is acknowledged, see docs/file-format.md.
"""

import errno
import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from pitbench.records.models import Motor
from pitbench.store import refusals
from pitbench.store.backups import found
from pitbench.store.logbook import Logbook

WRITER = Path(__file__).with_name("writer.py")
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


def run(*words: object) -> None:
    subprocess.run([sys.executable, WRITER, *map(str, words)], check=True)


@pytest.mark.parametrize("shrink", [[], ["--shrink"]])
def test_killed_at_random_moments(tmp_path, shrink):
    """What was acknowledged before the kill is there after it."""
    path = tmp_path / "logbook.json"
    moments = random.Random(3)
    run("init", path, 300)
    for _ in range(6):
        writer = subprocess.Popen([sys.executable, WRITER, "write", path, *shrink], stdout=subprocess.PIPE)
        first = writer.stdout.readline()
        time.sleep(moments.uniform(0, 0.08))
        writer.kill()
        acknowledged = int((first + writer.communicate()[0]).split()[-1])
        logbook = Logbook.open(path, write=False)
        logbook.verify()
        assert logbook.settings().weights["k"] in (acknowledged, acknowledged + 1)
        assert len(logbook.rows("bench_run")) == 300
