"""Drafts are written by a thread, newest first, whole and without a sync; whoever types never waits."""

import threading
import time

import pytest

from pitbench import disk
from pitbench.store.drafts import Drafts
from pitbench.store.logbook import Logbook
from pitbench.store.refusals import NotSaved


@pytest.fixture
def place(tmp_path):
    return tmp_path / "logbook.json"


def newest(place):
    return Drafts(place).read()


def test_the_newest_wins_and_is_there_after_closing(place):
    drafts = Drafts(place)
    for count in range(200):
        drafts.save({"texts": {"kv": str(count)}})
        assert drafts.read() == {"texts": {"kv": str(count)}}
    drafts.close()
    assert newest(place) == {"texts": {"kv": "199"}}
    assert [path.name for path in place.parent.iterdir()] == ["logbook.json.draft"]


def test_it_is_on_the_disk_soon_without_closing(place):
    drafts = Drafts(place)
    drafts.save({"a": "1"})
    drafts.save({"a": "2"})
    end = time.monotonic() + 10
    while newest(place) != {"a": "2"} and time.monotonic() < end:
        time.sleep(0.01)
    assert newest(place) == {"a": "2"}
    drafts.close()


def test_dropped_ones_are_gone_also_those_not_yet_written(place):
    drafts = Drafts(place)
    for count in range(5):
        drafts.save({"a": str(count)})
    drafts.drop()
    drafts.drop()
    assert drafts.read() is None
    drafts.close()
    assert not list(place.parent.iterdir())


def test_nobody_waits_for_the_disk_and_nothing_is_synced(place, monkeypatch):
    synced = []
    monkeypatch.setattr(disk.os, "fsync", synced.append)
    replace, let_go = disk._replace, threading.Event()
    monkeypatch.setattr(disk, "_replace", lambda fresh, path: (let_go.wait(30), replace(fresh, path)))
    drafts = Drafts(place)
    began = time.monotonic()
    for count in range(50):
        drafts.save({"a": str(count)})
    assert time.monotonic() - began < 5 and newest(place) is None  # the disk stands still all the while
    let_go.set()
    drafts.close()
    assert newest(place) == {"a": "49"} and not synced


def test_a_disk_that_refuses_is_said_once_and_tried_again(place, monkeypatch):
    write = disk.write_whole

    def full(*args, **named):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(disk, "write_whole", full)
    drafts = Drafts(place)
    drafts.save({"a": "1"})
    end = time.monotonic() + 10
    while drafts._writer._failed is None and time.monotonic() < end:
        time.sleep(0.01)
    monkeypatch.setattr(disk, "write_whole", write)
    with pytest.raises(NotSaved, match="the disk is full"):
        drafts.save({"a": "2"})
    drafts.save({"a": "3"})
    drafts.close()
    assert newest(place) == {"a": "3"}


def test_what_is_no_text_is_refused_at_once(place):
    with pytest.raises(NotSaved, match="no text"):
        Drafts(place).save({"a": "\ud800"})


def test_closing_the_logbook_waits_for_the_draft(place):
    with Logbook.open(place, create=True) as book:
        book.save_draft({"a": "1"})
    assert newest(place) == {"a": "1"}
