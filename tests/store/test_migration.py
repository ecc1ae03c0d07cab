"""A file of schema 1: three sensor timings in one list, no place among runs at one time."""

import copy
import json

import pytest

from pitbench.records.models import Motor
from pitbench.store import migrations, refusals, seal
from pitbench.store.logbook import Logbook, restore

OLD = {
    "pitbench": {"logbook": {"schema": 1, "written_by": "0.0.9"}},
    "motor": {"m1": {"id": "m1", "name": "Heron"}},
    "build": {"b1": {"id": "b1", "motor_id": "m1"}},
    "bench_run": {
        key: {"id": key, "motor_id": "m1", "build_id": "b1", "taken_at": day, **more}
        for key, day, more in (
            ("r1", "2026-04-12", {"timing_abc_deg": [42.1, 42.4, 41.9]}),
            ("r2", "2026-04-12", {"timing_abc_deg": [42.0, None, 42.2]}),
            ("r3", "2026-04-13", {}),
            ("r4", "2026-04-12", {}),
        )
    },
    "changes": {"1": {"id": "1", "at": "2026-04-12", "words": "old", "before": [], "after": []}},
}


@pytest.fixture
def old(tmp_path):
    path = tmp_path / "logbook.json"
    path.write_bytes(b"".join(seal.sealed(OLD)))
    return path


def test_old_runs_come_in_their_new_form(old):
    runs = {row["id"]: row for row in Logbook.open(old, write=False).rows("bench_run")}
    timings = [{k[7]: v for k, v in runs[key].items() if k.startswith("timing_")} for key in ("r1", "r2", "r3")]
    assert timings == [{"a": 42.1, "b": 42.4, "c": 41.9}, {"a": 42.0, "c": 42.2}, {}]
    assert [runs[key].get("place", 0) for key in ("r1", "r2", "r3", "r4")] == [0, 1, 0, 2]


def test_the_file_is_written_at_the_next_save_only_and_the_old_one_is_a_backup(old):
    raw = old.read_bytes()
    with Logbook.open(old) as logbook:
        assert not logbook.hand_edited
        assert logbook.journal.undo() is None
        assert old.read_bytes() == raw
        assert not list(old.parent.glob("*.bak-*"))
        logbook.save("one more", [Motor(id="m2", name="Whio")])
    assert json.loads(old.read_bytes())["pitbench"]["logbook"]["schema"] == migrations.SCHEMA
    assert [file.read_bytes() for file in old.parent.glob("*.bak-*")] == [raw]
    assert len(Logbook.open(old, write=False).rows("bench_run")) == 4


def test_an_old_backup_can_be_brought_back(old):
    with Logbook.open(old) as logbook:
        logbook.save("one more", [Motor(id="m2", name="Whio")])
    restore(old, "1")
    logbook = Logbook.open(old, write=False)
    assert len(logbook.rows("motor")) == 1
    assert logbook.row("bench_run", "r1")["timing_b_deg"] == 42.4


@pytest.mark.parametrize("timings", [[1, 2], "42", [1, 2, 3, 4]])
def test_a_list_that_is_no_three_timings_is_refused(old, timings):
    tree = copy.deepcopy(OLD)
    tree["bench_run"]["r1"]["timing_abc_deg"] = timings
    old.write_bytes(b"".join(seal.sealed(tree)))
    with pytest.raises(refusals.Damaged, match="bench_run 'r1': timing_abc_deg is no field pitbench knows"):
        Logbook.open(old)


@pytest.mark.parametrize("motor", [None, {"a": 1}, [1]])
def test_odd_values_do_not_stop_the_migration_from_saying_what_is_wrong(old, motor):
    tree = copy.deepcopy(OLD)
    tree["bench_run"]["r1"]["motor_id"] = motor
    old.write_bytes(b"".join(seal.sealed(tree)))
    with pytest.raises(refusals.Damaged, match="bench_run 'r1': motor_id"):
        Logbook.open(old)


def test_a_hand_edit_of_an_old_file_is_asked_about(old):
    old.write_bytes(old.read_bytes().replace(b"42.4", b"42.5"))
    with pytest.raises(refusals.HandEdited):
        Logbook.open(old)
    with Logbook.open(old, accept_hand_edit=True) as logbook:
        assert logbook.row("bench_run", "r1")["timing_b_deg"] == 42.5


def test_the_track_side_came_without_moving_anything_so_undo_reaches_back(tmp_path):
    path = tmp_path / "logbook.json"
    with Logbook.open(path, create=True) as logbook:
        logbook.save("added Heron", [Motor(id="m1", name="Heron")])
    tree = json.loads(path.read_bytes())
    del tree["seal"]
    tree["pitbench"]["logbook"]["schema"] = 2
    path.write_bytes(b"".join(seal.sealed(tree)))
    with Logbook.open(path) as logbook:
        assert logbook.journal.undo() == "added Heron"
        assert logbook.rows("motor") == []
