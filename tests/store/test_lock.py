"""One writer: a second one is refused, in this process and in another, and a dead one holds nothing."""

import errno
import os
import subprocess
import sys
import threading

import pytest

from pitbench.records.models import Motor
from pitbench.store import refusals
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
        logbook.save("after it died", [Motor(name="Wren")])


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
    opened[0].save("from here", [Motor(name="Wren")])
    lock = opened[0]._lock  # kept, so that closing releases it and not its end
    opened[0].close()
    Logbook.open(good).close()
    del lock


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
