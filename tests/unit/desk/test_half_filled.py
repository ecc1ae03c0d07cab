"""Drafts by name: each form has its own, in the units of then, until what it becomes is in the logbook."""

import json
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry import half_filled
from pitbench.desk.entry.half_filled import About, drop, keep, kept, still_stands
from pitbench.records.ids import new_id
from pitbench.records.models import Motor, Settings
from pitbench.records.units import Units
from pitbench.store.logbook import Logbook
from pitbench.words.drafts import draft_words, there_already

NOW = datetime(2026, 5, 17, 14, 2)
KINDS = ("bench_run", "track_run", "setup_entry", "event", "motor", "gear", "cooling", "gear_plan", "weights")


@pytest.fixture
def book():
    return Logbook.in_memory()


def units(book, temperature, length):
    book.save_settings("units", Settings(temperature_unit=temperature, length_unit=length))


NAMES = st.sampled_from(["motor", "ambient_c", "tyre_diameter_mm", "kv_rpm_per_v", "note", "weight kv_rpm_per_v"])
DRAFTS = st.dictionaries(
    st.tuples(st.sampled_from(KINDS), st.sampled_from([None, "a1", "b2"])),
    st.dictionaries(NAMES, st.text(st.characters(exclude_categories=["Cs"]), max_size=6)),
)


@given(DRAFTS)
def test_every_form_keeps_its_own_texts_as_typed_and_the_last_one_gone_leaves_nothing(drafts):
    book = Logbook.in_memory()
    abouts = {About(kind, edits): texts for (kind, edits), texts in drafts.items()}
    for about, texts in abouts.items():
        keep(book, about, {"texts": texts, "was": {}}, NOW)
    for about, texts in abouts.items():
        assert kept(book, about)["texts"] == texts
        assert draft_words(about, kept(book, about)).startswith("A half-filled ")
    for about in abouts:
        drop(book, about)
        assert kept(book, about) is None
    assert book.draft() is None


@given(
    st.floats(-10, 60).map(lambda c: round(c, 1)),
    st.floats(30, 90).map(lambda mm: round(mm, 2)),
    st.tuples(st.sampled_from("CF"), st.sampled_from(["mm", "in"])),
    st.tuples(st.sampled_from("CF"), st.sampled_from(["mm", "in"])),
)
def test_what_was_typed_in_other_units_means_the_same(warm, across, before, after):
    book, about = Logbook.in_memory(), About("track_run")
    units(book, *before)
    stored = {"ambient_c": warm, "tyre_diameter_mm": across}
    texts = {name: Units(*before).typed(name, value) for name, value in stored.items()}
    keep(book, about, {"texts": texts | {"note": "20"}}, NOW)
    units(book, *after)
    found = kept(book, about)["texts"]
    for name, value in stored.items():
        assert Units(*after).read(name, found[name]) == pytest.approx(value, abs=1e-6)
    assert found["note"] == "20" and (before != after or found == texts | {"note": "20"})


def test_drafts_of_before_are_read(book):
    book.save_draft({"texts": {"motor": "Whio"}, "fields": []})  # as when bench runs alone had one
    assert kept(book, About("bench_run"))["texts"] == {"motor": "Whio"} and kept(book, About("track_run")) is None
    keep(book, About("track_run"), {"texts": {"laps": "22"}}, NOW)
    assert kept(book, About("bench_run"))["texts"] == {"motor": "Whio"}
    units(book, "F", "mm")
    was = {"track_run": {"texts": {"ambient_c": "20"}, "units": {"temperature": "C", "length": "mm"}}}
    book.save_draft(was)  # as when it named no record
    assert kept(book, About("track_run", None, new_id()))["texts"] == {"ambient_c": "68"}


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["motor", "C", "x"]), inner, max_size=3)
    ),
    max_leaves=6,
)


@given(st.dictionaries(st.sampled_from(["texts", "units", "was", "becomes"]), JSON), st.booleans())
def test_a_draft_that_is_none_is_passed_over(draft, alone):
    book = Logbook.in_memory()
    book.save_draft(draft if alone else {"bench_run": draft})
    found = kept(book, About("bench_run", None, new_id()))
    assert found is None or (found["texts"] == draft["texts"] and isinstance(found["was"], dict))


def test_one_whose_record_is_there_is_not_offered_and_not_saved_twice(book):
    about = About("motor", None, new_id())
    keep(book, about, {"texts": {"motor": "Whio"}}, NOW)
    later = About("motor", None, new_id())  # the form opened again
    assert kept(book, later)["becomes"] == about.becomes and not about.is_there(book)
    book.save("motor", [Motor(id=about.becomes, name="Whio")])
    assert kept(book, later) is None and about.is_there(book)
    assert there_already(about, book) == "This motor is in the logbook already; nothing was saved twice."
    book.journal.bin("away", [("motor", about.becomes)])
    assert kept(book, later) is None
    assert there_already(about, book) == "This motor lies in the bin (z) already; nothing was saved twice."


def test_an_edit_is_offered_while_what_it_changes_stands_as_it_did(book):
    about = About("bench_run", "a1")
    keep(book, about, {"texts": {"note": "oiled"}, "was": {"note": "dry"}}, NOW)
    assert draft_words(about, kept(book, about)) == "A half-filled edit of this bench run was kept."
    assert still_stands(kept(book, about), {"note": "dry", "kv_rpm_per_v": "3950"})
    assert not still_stands(kept(book, about), {"note": "oiled"})  # saved, and the power went before it was forgotten
    assert not still_stands(kept(book, about), {})


def test_a_time_of_day_alone_keeps_its_day(book):
    for typed, meant in (("13:41", "2026-05-17 13:41"), ("13:4", "13:4"), ("yesterday", "yesterday"), ("", "")):
        keep(book, About("bench_run"), {"texts": {"taken_at": typed, "note": typed}}, NOW)
        assert kept(book, About("bench_run"))["texts"] == {"taken_at": meant, "note": typed}


def test_what_is_kept_is_plain_json(book):
    keep(book, About("event", None, new_id()), {"texts": {"event": "Saltmouth"}}, NOW)
    assert json.loads(json.dumps(book.draft())) == book.draft()
    assert (
        draft_words(About("event"), half_filled.kept(book, About("event"))) == "A half-filled event Saltmouth was kept."
    )
