"""One writer: a second one is refused, in this process and in another, and a dead one holds nothing."""

import errno
import os
import subprocess
import sys
import threading
from types import SimpleNamespace

import pytest

from pitbench import bootstrap
from pitbench.records.models import Motor
from pitbench.store import lock, refusals
from pitbench.store.logbook import Logbook

OPEN_AND_WAIT = """
import sys
from pathlib import Path
from pitbench.store.logbook import Logbook
logbook = Logbook.open(Path(sys.argv[1]))
print("open", flush=True)
sys.stdin.readline()
"""


def test_a_second_process_is_refused_until_the_first_is_gone(good):
    first = subprocess.Popen(
        [sys.executable, "-c", OPEN_AND_WAIT, good], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    try:
        assert first.stdout.readline() == "open\n"
        with pytest.raises(refusals.OpenElsewhere, match="is open in another pitbench; close") as refused:
            Logbook.open(good)
        assert refused.value.status == 1
        assert len(Logbook.open(good, write=False).rows("motor")) == 1
    finally:
        first.kill()
        first.communicate()
    with Logbook.open(good) as logbook:
        logbook.save("after it died", [Motor(name="Whio")])


def test_a_second_start_in_this_process_is_refused(good):
    with Logbook.open(good), pytest.raises(refusals.OpenElsewhere):
        Logbook.open(good)
    Logbook.open(good).close()


def test_a_link_to_the_file_meets_the_same_lock(good):
    link = good.with_name("link.json")
    link.symlink_to(good)
    with Logbook.open(good), pytest.raises(refusals.OpenElsewhere):
        Logbook.open(link)


def test_a_refused_file_is_not_kept_locked(good):
    raw = good.read_bytes()
    good.write_bytes(b"{")
    with pytest.raises(refusals.Damaged):
        Logbook.open(good)
    good.write_bytes(raw)
    Logbook.open(good).close()


def test_opened_in_a_worker_saved_and_closed_in_another_thread(good):
    opened = []
    worker = threading.Thread(target=lambda: opened.append(Logbook.open(good)))
    worker.start()
    worker.join()
    with pytest.raises(refusals.OpenElsewhere):
        Logbook.open(good)
    opened[0].save("from here", [Motor(name="Whio")])
    kept = opened[0]._lock  # so that closing releases it and not its end
    opened[0].close()
    Logbook.open(good).close()
    del kept


def test_a_folder_that_cannot_be_looked_at_is_one_sentence(good, monkeypatch):
    real = os.stat

    def failing(place, *args, **kwargs):
        if str(place) == str(good.parent):
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return real(place, *args, **kwargs)

    monkeypatch.setattr(os, "stat", failing)
    with pytest.raises(refusals.Trouble, match="could not be read"):
        Logbook.open(good)


def test_a_lock_that_cannot_be_given_up_stops_nothing(good, monkeypatch):
    def failing(*_):
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    logbook = Logbook.open(good)
    with monkeypatch.context() as closing:
        closing.setattr("os.close", failing)
        logbook.close()
    assert logbook.read_only_why


def failing_locks(number):
    def flock(*_):
        raise OSError(number, os.strerror(number))

    return flock


@pytest.mark.parametrize("number", [errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP])
def test_a_disk_without_locks_is_read_and_says_so(good, monkeypatch, number):
    monkeypatch.setattr("fcntl.flock", failing_locks(number))
    with pytest.raises(refusals.NotLocked) as refused:
        Logbook.open(good)
    said = str(refused.value)
    assert said.startswith(f"{good} cannot be written, its disk has no locks (") and "saved" not in said
    assert refused.value.status == 1
    logbook = bootstrap.open_for_app(good)
    assert logbook.read_only_why == said
    assert len(logbook.rows("motor")) == 1
    with pytest.raises(refusals.ReadOnly, match="has no locks"):
        logbook.save("no", [Motor(name="Whio")])
    with pytest.raises(refusals.NotLocked):
        bootstrap.open_for_app(good.with_name("new.json"))


@pytest.mark.parametrize(("number", "says"), [(errno.ENOSPC, "the disk is full; free"), (errno.EIO, "start again")])
def test_a_lock_that_cannot_be_made_leaves_the_logbook_to_be_read(good, monkeypatch, number, says):
    monkeypatch.setattr("fcntl.flock", failing_locks(number))
    logbook = bootstrap.open_for_app(good)
    assert says in logbook.read_only_why and "saved" not in logbook.read_only_why
    assert len(logbook.rows("motor")) == 1


ONLY_A_LOCK = "; it is only a lock, delete it when no pitbench is open, or ask its owner."


@pytest.mark.parametrize(
    ("made", "what"),
    [
        (lambda beside: beside.symlink_to("elsewhere"), "is a link, a file of its own would be right"),
        (lambda beside: beside.mkdir(), "is a folder, an empty file would be right"),
    ],
)
def test_something_else_where_the_lock_should_be_is_named(good, made, what):
    beside = good.with_name("logbook.json.lock")
    beside.unlink()
    made(beside)
    with pytest.raises(refusals.BadPlace) as refused:
        Logbook.open(good)
    assert str(refused.value) == f"{beside} {what}{ONLY_A_LOCK}"
    assert bootstrap.open_for_app(good).read_only_why == str(refused.value)


def test_a_lock_of_another_user_is_named_and_a_folder_of_another_user_too(good, monkeypatch):
    beside = good.with_name("logbook.json.lock")
    real = os.open

    def refusing(place, *args, **kwargs):
        if str(place) == str(beside):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        return real(place, *args, **kwargs)

    monkeypatch.setattr(os, "open", refusing)
    with pytest.raises(refusals.BadPlace) as refused:
        Logbook.open(good)
    assert str(refused.value) == f"{beside} may not be opened by you{ONLY_A_LOCK}"
    beside.unlink()
    with pytest.raises(refusals.BadPlace, match=r"logbook\.json may not be written by you"):
        Logbook.open(good)


def test_a_name_too_long_for_the_lock_beside_it_is_one_sentence(tmp_path):
    with pytest.raises(refusals.BadPlace, match="has too long a name for the lock and the backups beside it; give it"):
        lock.WriterLock(tmp_path / ("x" * 252))


class Regions:
    """A stand-in for msvcrt, as documented: locks bytes from where the file stands, refuses a second lock, and
    keeps one whose file was closed without unlocking it."""

    LK_NBLCK, LK_UNLCK = 2, 0

    def __init__(self):
        self.locked = set()

    def locking(self, descriptor, mode, count):
        start = os.lseek(descriptor, 0, os.SEEK_CUR)
        region = (os.fstat(descriptor).st_ino, start, count)
        if (region in self.locked) == (mode == self.LK_NBLCK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        self.locked ^= {region}


def test_on_windows_the_first_byte_is_locked_and_unlocked_before_closing(tmp_path, monkeypatch):
    regions = Regions()
    monkeypatch.setitem(sys.modules, "msvcrt", regions)
    monkeypatch.setattr(lock, "sys", SimpleNamespace(platform="win32"))
    monkeypatch.setattr(lock, "_OPENED", os.O_RDWR | os.O_CREAT | os.O_APPEND)
    path = tmp_path / "logbook.json"
    (tmp_path / "logbook.json.lock").write_bytes(b"not empty")
    first = lock.WriterLock(path)
    assert [region[1:] for region in regions.locked] == [(0, 1)]
    with pytest.raises(refusals.OpenElsewhere):
        lock.WriterLock(path)
    os.lseek(first._held, 5, os.SEEK_SET)
    first.release()
    assert not regions.locked
    lock.WriterLock(path).release()


def test_on_windows_another_error_is_no_other_pitbench(tmp_path, monkeypatch):
    regions = SimpleNamespace(LK_NBLCK=2, locking=failing_locks(errno.EINVAL))
    monkeypatch.setitem(sys.modules, "msvcrt", regions)
    monkeypatch.setattr(lock, "sys", SimpleNamespace(platform="win32"))
    with pytest.raises(refusals.NotLocked):
        lock.WriterLock(tmp_path / "logbook.json")
