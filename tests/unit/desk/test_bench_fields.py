"""The fields of the bench form: hidden, moved, all back again; each one action that one undo takes back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.desk.entry.bench_fields import FIGURE_FIELDS, figure_fields, hide_field, order_fields, show_all_fields
from pitbench.records.models import Settings
from pitbench.records.refusal import Refusal
from pitbench.store.logbook import Logbook

ALL = (*FIGURE_FIELDS, "note")


@given(st.permutations(FIGURE_FIELDS), st.sets(st.sampled_from(FIGURE_FIELDS), max_size=9))
def test_any_order_is_asked_for_as_it_was_set_and_hidden_fields_keep_their_place(order, hidden):
    book = Logbook.in_memory()
    order_fields(book, (*order, "note"))
    assert figure_fields(book, None) == (*order, "note")
    for name in sorted(hidden):
        hide_field(book, name)
    shown = [name for name in order if name not in hidden]
    assert figure_fields(book, None) == (*shown, "note")
    order_fields(book, (*reversed(shown), "note"))
    assert figure_fields(book, None) == (*reversed(shown), "note")
    assert [name in hidden for name in book.settings().entry_line] == [name in hidden for name in order]
    show_all_fields(book)
    assert figure_fields(book, None) == ALL


def test_each_is_one_undo():
    book = Logbook.in_memory()
    hide_field(book, "timing_deg")
    order_fields(book, ("no_load_current_a", "kv_rpm_per_v", "motor_temp_c"))
    assert figure_fields(book, None)[:3] == ("no_load_current_a", "kv_rpm_per_v", "motor_temp_c")
    assert book.journal.undo() == "the order of the bench form"
    assert figure_fields(book, None) == tuple(name for name in ALL if name != "timing_deg")
    assert book.journal.undo() is not None and figure_fields(book, None) == ALL


def test_a_tester_that_tells_rpm_keeps_it_in_an_order_of_its_own():
    book, last = Logbook.in_memory(), {"rpm": 14600}
    assert figure_fields(book, last)[0] == "rpm"
    order_fields(book, ("no_load_current_a", *(n for n in figure_fields(book, last) if n != "no_load_current_a")))
    assert figure_fields(book, last)[:2] == ("no_load_current_a", "rpm") and "kv_rpm_per_v" not in figure_fields(
        book, last
    )


def test_the_note_and_the_last_figure_stay():
    book = Logbook.in_memory()
    with pytest.raises(Refusal, match="note stays"):
        hide_field(book, "note")
    book.save_settings("one left", Settings(hidden_fields=FIGURE_FIELDS[1:]))
    with pytest.raises(Refusal, match="KV stays"):
        hide_field(book, FIGURE_FIELDS[0])
