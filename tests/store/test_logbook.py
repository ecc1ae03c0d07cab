"""Saving, bin, undo and redo: the same tests on memory and on a real file."""

import threading

import pytest

from pitbench.records.models import BenchRun, Build, Motor, Settings
from pitbench.records.refusal import Refusal
from pitbench.store import changes
from pitbench.store.logbook import Logbook

HERON = Motor(id="m1", name="Heron")


def test_a_new_record_is_there_and_says_when_it_was_written(book):
    book.save("added Heron", [HERON])
    assert book.rows("motor") == [{"id": "m1", "edited_at": "2026-04-11T18:01:00", "name": "Heron"}]
    assert book.row("motor", "m1") == book.rows("motor")[0]
    assert book.row("motor", "m2") is None
    assert book.records("motor") == [HERON.with_(edited_at="2026-04-11T18:01:00")]


def test_a_known_record_is_replaced_where_it_stands(book, plain):
    book.save("added", [HERON, Motor(id="m2", name="Plover")])
    book.save("turns", [HERON.with_(turns=13.5)])
    assert plain(book.rows("motor")) == [{"id": "m1", "name": "Heron", "turns": 13.5}, {"id": "m2", "name": "Plover"}]


def test_a_field_made_blank_is_gone(book):
    book.save("added", [HERON.with_(note="oily")])
    book.save("blank", [HERON])
    assert "note" not in book.row("motor", "m1")
    assert book.journal.undo() == "blank"
    assert book.row("motor", "m1")["note"] == "oily"


def test_what_changes_nothing_is_no_change(book):
    book.save("added", [HERON])
    revision = book.revision
    book.save("again", book.records("motor"))
    book.save("nothing", [])
    assert book.revision == revision
    assert [change.words for change in book.journal.listed()] == ["added"]


def test_of_one_record_given_twice_the_last_counts(book, plain):
    book.save("twice", [HERON.with_(turns=1), HERON.with_(turns=2)])
    assert plain(book.rows("motor")) == [{"id": "m1", "name": "Heron", "turns": 2}]


def test_a_snapshot_stays_as_it_was_while_saves_go_on(book):
    book.save("added", [HERON])
    snapshot = book.snapshot()
    rows = snapshot.rows("motor")
    seen = []
    reader = threading.Thread(target=lambda: seen.extend(snapshot.rows("motor") for _ in range(200)))
    reader.start()
    for turns in range(1, 20):
        book.save("turns", [HERON.with_(turns=turns)])
    book.journal.bin("gone", [("motor", "m1")])
    reader.join()
    assert all(found == rows for found in seen)
    assert snapshot.row("motor", "m1") == rows[0]
    assert "turns" not in rows[0]
    assert snapshot.revision < book.revision


def test_the_listener_hears_revision_and_kinds_after_the_save(book):
    heard = []
    book.on_saved = lambda revision, kinds: heard.append((revision, kinds, len(book.rows("motor"))))
    book.save("added", [HERON, Build(id="b1", motor_id="m1")])
    book.journal.undo()
    assert heard == [(2, frozenset({"motor", "build"}), 1), (3, frozenset({"motor", "build"}), 0)]


def test_the_bin_takes_and_gives_back(book, plain):
    book.save("added", [HERON])
    book.journal.bin("Heron to the bin", [("motor", "m1")])
    assert book.rows("motor") == [] == book.records("motor")
    assert plain(book.rows("motor", binned=True)) == [{"id": "m1", "name": "Heron", "binned_why": "deleted"}]
    book.journal.bring_back("Heron back", [("motor", "m1")])
    assert plain(book.rows("motor")) == [{"id": "m1", "name": "Heron"}]
    assert book.journal.undo() == "Heron back"
    assert book.journal.undo() == "Heron to the bin"
    assert plain(book.rows("motor")) == [{"id": "m1", "name": "Heron"}]


def test_only_what_is_there_goes_to_the_bin(book):
    with pytest.raises(Refusal, match="no motor 'm9' in the logbook"):
        book.journal.bin("gone", [("motor", "m9")])


def test_undo_and_redo_walk_back_and_forth(book, plain):
    book.save("one", [HERON])
    book.save("two", [HERON.with_(turns=13.5)])
    book.save("three", [HERON.with_(turns=13.5, note="new bearings"), Motor(id="m2", name="Plover")])
    states = [plain(book.rows("motor"))]
    for words in ("three", "two", "one"):
        assert book.journal.undo() == words
        states.append(plain(book.rows("motor")))
    assert book.journal.undo() is None
    assert states[3] == []
    assert {row["binned_why"] for row in book.rows("motor", binned=True)} == {"undone"}
    for words, state in zip(("one", "two", "three"), reversed(states[:3]), strict=True):
        assert book.journal.redo() == words
        assert plain(book.rows("motor")) == state
    assert book.journal.redo() is None


def test_any_other_change_ends_redo(book):
    book.save("one", [HERON])
    book.save("two", [HERON.with_(turns=13.5)])
    book.journal.undo()
    book.save("other", [HERON.with_(turns=21.5)])
    assert book.journal.redo() is None
    assert book.journal.undo() == "other"
    assert book.journal.redo() == "other"
    assert book.journal.undo() == "other"
    assert book.journal.undo() == "one"


def test_undo_counts_as_an_edit_so_that_the_newer_state_is_known(book):
    book.save("one", [HERON])
    book.save("two", [HERON.with_(turns=13.5)])
    edited = book.row("motor", "m1")["edited_at"]
    book.journal.undo()
    assert book.row("motor", "m1")["edited_at"] > edited


def test_an_added_record_is_kept_once(book):
    """It is named in the list of changes by id only, and of an edit only the old values of what changed."""
    book.save("one", [HERON.with_(turns=13.5)])
    book.save("two", [HERON.with_(turns=21.5)])
    first, second = book._tree()["changes"].values()
    assert first == {
        "id": "1",
        "at": "2026-04-11T18:01:00",
        "words": "one",
        "before": [],
        "after": [{"kind": "motor", "ids": ["m1"]}],
    }
    assert second["before"] == [{"kind": "motor", "rows": [{"id": "m1", "turns": 13.5}]}]


def test_the_last_200_changes_can_be_taken_back(clock):
    """In memory only: in a file it would be 400 durable saves of the same code."""
    book = Logbook.in_memory(clock)
    for turns in range(1, changes.KEPT + 6):
        book.save(f"turns {turns}", [HERON.with_(turns=turns / 2)])
    assert len(book.journal.listed()) == changes.KEPT
    for turns in range(changes.KEPT + 5, 5, -1):
        assert book.journal.undo() == f"turns {turns}"
    assert book.journal.undo() is None
    assert book.row("motor", "m1")["turns"] == 5 / 2
    assert book.journal.redo() == "turns 6"


def test_the_list_of_changes_says_what_stands(book):
    book.save("one", [HERON])
    book.save("two", [HERON.with_(turns=13.5), Motor(name="Plover")])
    book.journal.undo()
    listed = [(change.words, change.records, change.taken_back) for change in book.journal.listed()]
    assert listed == [("two", 2, True), ("one", 1, False)]


def test_settings_are_one_record_and_can_be_undone(book):
    assert book.settings().ceiling_c == Settings().ceiling_c
    book.save_settings("limit 85", book.settings().with_(ceiling_c=85))
    book.save_settings("in F", book.settings().with_(temperature_unit="F"))
    assert (book.settings().ceiling_c, book.settings().temperature_unit) == (85, "F")
    assert book.snapshot().settings() == book.settings()
    assert len(book.rows("settings")) == 1
    book.journal.undo()
    assert book.settings().temperature_unit == "C"


def test_a_value_json_cannot_hold_is_refused_and_nothing_stored(book):
    run = BenchRun(id="r1", motor_id="m1", build_id="b1", taken_at="2026-04-11")
    with pytest.raises(Refusal, match="Nothing was saved"):
        book.save("bad", [HERON, run.model_copy(update={"kv_rpm_per_v": float("nan")})])
    assert book.rows("motor") == []
    book.save("good", [HERON])
    assert len(book.rows("motor")) == 1


def test_rows_are_copies_of_what_was_handed_in(book):
    record = HERON.with_(extra={"colour": "red"})
    book.save("added", [record])
    record.extra["colour"] = "blue"
    assert book.row("motor", "m1")["extra"] == {"colour": "red"}


def test_an_unknown_kind_is_an_error_of_ours(book):
    with pytest.raises(KeyError, match="no kind of record"):
        book.rows("motors")


def test_nothing_to_undo_is_said_by_none(book):
    assert book.journal.undo() is None
    assert book.journal.redo() is None


def test_a_closed_logbook_saves_nothing(book):
    book.close()
    with pytest.raises(Refusal, match="closed"):
        book.save("late", [HERON])
    assert book.rows("motor") == []


def test_the_draft_is_kept_until_dropped(book):
    assert book.draft() is None
    book.save_draft({"motor": "Heron", "kv": "39"})
    book.save("a save leaves the draft alone", [HERON])
    assert book.draft() == {"motor": "Heron", "kv": "39"}
    book.drop_draft()
    book.drop_draft()
    assert book.draft() is None
