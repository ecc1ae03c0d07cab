"""What a real file adds: restart, place, permissions, links, changes by others, drafts, the second reader."""

import hashlib
import json
import os
import stat
from datetime import datetime
from pathlib import Path

import pytest

from pitbench.records.models import Motor
from pitbench.records.refusal import Refusal
from pitbench.store import refusals
from pitbench.store.logbook import Logbook, examine, rescue

HERON = Motor(id="m1", name="Heron")


def test_undo_and_redo_work_after_a_restart(tmp_path, plain):
    path = tmp_path / "logbook.json"
    with Logbook.open(path, create=True) as logbook:
        logbook.save("one", [HERON])
        logbook.save("two", [HERON.with_(turns=13.5)])
    with Logbook.open(path) as logbook:
        assert logbook.journal.undo() == "two"
    with Logbook.open(path) as logbook:
        assert plain(logbook.rows("motor")) == [{"id": "m1", "name": "Heron"}]
        assert logbook.journal.redo() == "two"
    with Logbook.open(path) as logbook:
        assert logbook.row("motor", "m1")["turns"] == 13.5
        assert logbook.journal.redo() is None


def test_the_seal_stands_first_has_a_fixed_length_and_covers_all_the_rest(good):
    raw = good.read_bytes()
    assert raw[:9] == b'{"seal":"'
    assert raw[9:73].decode() == hashlib.sha256(raw[75:]).hexdigest()
    assert list(json.loads(raw)) == ["seal", "pitbench", "motor", "build", "changes", "bench_run"]


def test_blank_fields_are_not_stored(good):
    rows = json.loads(good.read_bytes())["motor"]["m1"]
    assert set(rows) == {"id", "edited_at", "name", "turns"}


def test_only_the_user_may_read_the_files(good):
    for file in good.parent.iterdir():
        assert stat.S_IMODE(file.stat().st_mode) == 0o600, file.name


def test_a_copy_that_others_may_read_is_closed_by_its_first_save(good):
    """The file and the backup of it, with the draft and the lock beside them."""
    good.chmod(0o644)
    with Logbook.open(good) as logbook:
        logbook.save_draft({"motor": "Heron"})
        logbook.save("one more", [Motor(name="Plover")])
    modes = {file.name: stat.S_IMODE(file.stat().st_mode) for file in good.parent.iterdir()}
    assert len(modes) == 5 and set(modes.values()) == {0o600}, modes


def test_reading_locks_nothing_and_makes_nothing(good):
    (good.parent / "logbook.json.lock").unlink()
    before = sorted(good.parent.iterdir())
    logbook = Logbook.open(good, write=False)
    assert len(logbook.rows("bench_run")) == 2
    assert sorted(good.parent.iterdir()) == before
    with pytest.raises(refusals.ReadOnly, match="reading only") as refused:
        logbook.save("no", [HERON])
    assert refused.value.status == 1
    with pytest.raises(refusals.ReadOnly):
        logbook.save_draft({})
    with pytest.raises(refusals.ReadOnly):
        logbook.journal.undo()


def test_a_missing_file_is_made_by_the_first_save_only(tmp_path):
    path = tmp_path / "logbook.json"
    with Logbook.open(path, create=True) as logbook:
        assert not path.exists()
        logbook.save("one", [HERON])
        assert path.exists()


@pytest.mark.parametrize("write", [True, False])
def test_a_missing_file_is_refused_naming_load(tmp_path, write):
    with pytest.raises(refusals.Missing, match=r"logbook.json does not exist; `pitbench load`") as refused:
        Logbook.open(tmp_path / "logbook.json", write=write)
    assert refused.value.status == 2


def test_a_missing_file_with_backups_is_no_fresh_start(good):
    good.unlink()
    with pytest.raises(refusals.Damaged, match=r"is gone but its backups are there; the newest good backup is from"):
        Logbook.open(good, create=True)


@pytest.mark.parametrize("write", [True, False])
def test_places_where_no_logbook_can_stand(tmp_path, write):
    (tmp_path / "file").write_text("x")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    cases = {
        tmp_path: "is a folder; name a file in it",
        tmp_path / "nowhere" / "l.json": "nowhere is no folder",
        tmp_path / "file" / "l.json": "file is no folder",
        tmp_path / "loop": "name another one",
        tmp_path / ("x" * 300): "name another one",
        "a\0b": "is no name of a file",
    }
    for place, words in cases.items():
        with pytest.raises(Refusal, match=words) as refused:
            Logbook.open(place, write=write, create=True)
        assert refused.value.status == 2
    assert {file.name for file in tmp_path.iterdir()} == {"file", "loop"}
    assert not tmp_path.with_name(f"{tmp_path.name}.lock").exists()


def test_no_right_to_read(good, monkeypatch):
    real = type(good).open

    def denied(self, *args, **kwargs):
        if self == good:
            raise PermissionError(13, "Permission denied")
        return real(self, *args, **kwargs)

    monkeypatch.setattr(type(good), "open", denied)
    with pytest.raises(refusals.BadPlace, match="may not be read by you; ask its owner"):
        Logbook.open(good, write=False)


def test_no_right_to_write(good, monkeypatch):
    """Also where the tests run as a user who may write everywhere."""
    real = os.open

    def denied(path, flags, *args, **kwargs):
        if flags & os.O_CREAT:
            raise PermissionError(13, "Permission denied")
        return real(path, flags, *args, **kwargs)

    logbook = Logbook.open(good)
    monkeypatch.setattr(os, "open", denied)
    with pytest.raises(refusals.NotSaved, match="may not be written by you; what was saved before stands"):
        logbook.save("no", [HERON])
    logbook.close()


@pytest.mark.parametrize("what", ["the file", "its folder"])
def test_no_right_to_write_is_said_on_opening(good, monkeypatch, what):
    locked = good if what == "the file" else good.parent
    monkeypatch.setattr(os, "access", lambda place, mode: place != locked)
    with pytest.raises(refusals.BadPlace, match="may not be written by you") as refused:
        Logbook.open(good)
    assert refused.value.status == 2
    assert Logbook.open(good, write=False).rows("motor")


def test_a_folder_in_the_place_of_the_lock(tmp_path):
    (tmp_path / "logbook.json.lock").mkdir()
    with pytest.raises(refusals.BadPlace, match=r"json\.lock is a folder, an empty file would be right"):
        Logbook.open(tmp_path / "logbook.json", create=True)


def test_a_pipe_is_no_logbook(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for write in (True, False):
        with pytest.raises(refusals.BadPlace, match="no ordinary file"):
            Logbook.open(tmp_path / "pipe", write=write)
    assert [file.name for file in tmp_path.iterdir()] == ["pipe"]


def test_a_symbolic_link_stays_one(good, tmp_path):
    other = tmp_path / "elsewhere"
    other.mkdir()
    link = other / "link.json"
    link.symlink_to(good)
    with Logbook.open(link) as logbook:
        logbook.save("over the link", [Motor(name="Plover")])
    assert link.is_symlink()
    assert sorted(file.name for file in other.iterdir()) == ["link.json"]
    assert len(Logbook.open(good, write=False).rows("motor")) == 2


def test_a_reader_follows_the_writer(good):
    reader = Logbook.open(good, write=False)
    heard = []
    reader.on_saved = lambda revision, kinds: heard.append(revision)
    assert reader.reread() is False
    with Logbook.open(good) as writer:
        assert writer.reread() is False
        writer.save("another", [Motor(name="Plover")])
        assert reader.reread() is True
        assert len(reader.rows("motor")) == 2
        assert reader.reread() is False
        writer.journal.undo()
        assert reader.reread() is True
    assert len(reader.rows("motor")) == 1
    assert heard == [2, 3]


def test_a_reader_keeps_what_it_has_when_the_file_goes(good):
    reader = Logbook.open(good, write=False)
    good.unlink()
    assert reader.reread() is False
    assert len(reader.rows("motor")) == 1


def test_a_reader_says_once_that_the_file_was_broken(good):
    reader = Logbook.open(good, write=False)
    good.write_bytes(b"{")
    with pytest.raises(refusals.Damaged):
        reader.reread()
    assert reader.reread() is False
    assert len(reader.rows("motor")) == 1


def test_the_home_of_nobody_is_no_circle_of_links(tmp_path):
    with pytest.raises(refusals.BadPlace) as refused:
        Logbook.open(Path("~nosuchuser/logbook.json"), create=True)
    assert str(refused.value) == (
        "~nosuchuser/logbook.json cannot be found, this computer has no home folder for ~nosuchuser; "
        "name the whole path."
    )
    circle = tmp_path / "circle.json"
    circle.symlink_to(circle)
    with pytest.raises(refusals.BadPlace, match=r"circle|too many levels"):
        Logbook.open(circle)


@pytest.mark.parametrize("in_place", [True, False], ids=["in place", "replaced"])
def test_a_file_changed_while_the_new_one_is_written_is_not_overwritten(good, monkeypatch, in_place):
    """The last look is taken right before the file is replaced."""
    copy = good.with_name("copy.json")
    copy.write_bytes(good.read_bytes())
    with Logbook.open(copy) as other:
        other.save("from elsewhere", [Motor(id="m3", name="Siskin")])
    theirs, real = copy.read_bytes(), os.fsync

    def meanwhile(descriptor):
        real(descriptor)
        monkeypatch.setattr(os, "fsync", real)
        good.write_bytes(theirs) if in_place else copy.replace(good)

    with Logbook.open(good) as logbook:
        monkeypatch.setattr(os, "fsync", meanwhile)
        with pytest.raises(refusals.NotSaved, match="another program changed it meanwhile"):
            logbook.save("turns", [Motor(id="m1", name="Heron", turns=21.5)])
        assert good.read_bytes() == theirs
        assert {row["name"] for row in logbook.rows("motor")} == {"Heron", "Siskin"}
        assert not list(good.parent.glob("*.tmp"))
        logbook.save("turns", [Motor(id="m1", name="Heron", turns=21.5)])


def test_a_file_changed_by_another_program_is_not_overwritten(good):
    """The first save says so and the logbook then shows what is there; the next one builds on that."""
    with Logbook.open(good) as logbook:
        copy = good.parent / "copy.json"
        copy.write_bytes(good.read_bytes())
        with Logbook.open(copy) as other:
            other.save("from elsewhere", [Motor(id="m3", name="Siskin")])
        copy.replace(good)
        with pytest.raises(refusals.NotSaved, match="another program changed it meanwhile"):
            logbook.save("mine", [Motor(id="m4", name="Whio")])
        assert {row["id"] for row in logbook.rows("motor")} == {"m1", "m3"}
        assert logbook.unchecked, "what another program wrote is checked before it is built on"
        logbook.save("mine", [Motor(id="m4", name="Whio")])
        assert {row["id"] for row in logbook.rows("motor")} == {"m1", "m3", "m4"}


def test_a_file_broken_by_another_program_is_not_overwritten(good):
    with Logbook.open(good) as logbook:
        good.write_bytes(b"scribble")
        for _ in range(2):
            with pytest.raises(refusals.Damaged, match="no readable JSON"):
                logbook.save("mine", [Motor(name="Whio")])
            assert good.read_bytes() == b"scribble"
            assert len(logbook.rows("motor")) == 1


@pytest.mark.parametrize("damage", [b"", b"null", b"{ scribble", b'{"a": 1}'])
def test_what_is_held_of_a_file_broken_meanwhile_can_be_written_beside_it(good, damage):
    for backup in good.parent.glob("*.bak-*"):
        backup.unlink()
    with Logbook.open(good) as logbook:
        good.write_bytes(damage)
        with pytest.raises(Refusal) as refused:
            logbook.save("mine", [Motor(name="Whio")])
        assert refused.value.can_rescue
        beside = rescue(logbook.snapshot(), logbook.path, datetime(2026, 4, 12, 14, 2))
        assert (beside.name, good.read_bytes()) == ("logbook.json.rescued-20260412T140200.json", damage)
        assert examine(beside).problems == []
        assert Logbook.open(beside, write=False).snapshot().whole() == logbook.snapshot().whole()
    with pytest.raises(Refusal) as refused:
        Logbook.open(good)
    assert not refused.value.can_rescue, "nothing is held of one that was not open"


def test_a_file_deleted_meanwhile_is_written_anew(good):
    with Logbook.open(good) as logbook:
        good.unlink()
        logbook.save("mine", [Motor(name="Whio")])
    assert len(Logbook.open(good, write=False).rows("motor")) == 2


def test_strays_of_a_killed_process_are_cleared_by_the_writer_alone(good):
    strays = [good.with_name(f"logbook.json{end}") for end in (".tmp", ".draft.tmp", ".bak-000009-20260101T000000.tmp")]
    others = [good.with_name(name) for name in ("notes.tmp", "logbook.json.txt", "logbook.jsonx.tmp")]
    for file in strays + others:
        file.write_text("x")
    Logbook.open(good, write=False)
    assert all(file.exists() for file in strays)
    Logbook.open(good).close()
    assert not any(file.exists() for file in strays)
    assert all(file.exists() for file in others)


def test_the_draft_outlives_a_restart_and_a_damaged_one_counts_as_none(good):
    with Logbook.open(good) as logbook:
        logbook.save_draft({"motor": "Heron"})
    with Logbook.open(good) as logbook:
        assert logbook.draft() == {"motor": "Heron"}
    for raw in (b"", b"{", b"[1]", b"null"):
        good.with_name("logbook.json.draft").write_bytes(raw)
        with Logbook.open(good) as logbook:
            assert logbook.draft() is None
    with Logbook.open(good) as logbook:
        logbook.drop_draft()
    assert not good.with_name("logbook.json.draft").exists()


def test_a_sealed_file_is_checked_behind_the_list(good):
    """Rows are there at once; a worker looks through them, or the first save does."""
    with Logbook.open(good) as logbook:
        assert logbook.unchecked
        logbook.take_check(logbook.revision - 1, None)
        assert logbook.unchecked, "that was of other records"
        logbook.take_check(logbook.revision, logbook.snapshot().flaw())
        assert not logbook.unchecked
    with Logbook.open(good) as logbook:
        logbook.save("one", [Motor(name="Whio")])
        assert not logbook.unchecked


def test_a_seal_over_a_record_no_model_takes(good):
    from pitbench.store import seal

    tree = json.loads(good.read_bytes())
    del tree["seal"]
    tree["bench_run"]["r0"]["kv_rpm_per_v"] = 398200
    good.write_bytes(b"".join(seal.sealed(tree)))
    with Logbook.open(good) as logbook:
        for _ in range(2):
            with pytest.raises(refusals.Damaged, match="bench_run 'r0': kv_rpm_per_v is 398200"):
                logbook.save("one", [Motor(name="Whio")])
        with pytest.raises(refusals.Damaged, match="r0"):
            logbook.records("bench_run")
    assert len(json.loads(good.read_bytes())["motor"]) == 1
