"""Names and notes: cleaned once and for all, matched without case, the nearest one for a slip."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.records.names import LONGEST_NOTE, clean_name, clean_note, clean_text, name_key, nearest

ANY = st.text(max_size=40)


@given(ANY)
def test_a_text_cleaned_once_stays_as_it_is(text):
    cleaned = clean_text(text)
    assert clean_text(cleaned) == cleaned
    assert not any(unicodedata.category(character) in {"Cc", "Cf", "Cs"} for character in cleaned)
    assert cleaned == cleaned.strip()


@given(st.text("ab \t\n", max_size=20))
def test_blanks_are_joined_and_nothing_else_is_lost(text):
    assert clean_text(text).split() == text.split()


@given(st.text("abcXYZ éß", min_size=1, max_size=20))
def test_case_and_blanks_do_not_part_two_names(text):
    assert name_key(text.upper()) == name_key(text.lower().upper())
    assert name_key(f"  {text} ") == name_key(text)


def test_a_name_has_between_one_and_eighty_characters():
    assert clean_name("x" * 80) == "x" * 80
    with pytest.raises(ValueError, match="at most 80"):
        clean_name("x" * 81)
    with pytest.raises(ValueError, match="a name would be right"):
        clean_name(" \u200b ")


def test_a_note_is_measured_after_cleaning():
    assert clean_note("x \n" * 1000) == ("x " * 1000).strip()
    with pytest.raises(ValueError, match="at most 2000"):
        clean_note("x" * (LONGEST_NOTE + 1))


def test_a_composed_letter_is_one_with_its_parts():
    assert clean_text("e\u0301") == "é"
    assert clean_text("e\u200d\u0301") == "é"


def test_the_nearest_known_name():
    assert nearest("hern", ["Heron", "Plover"]) == "Heron"
    assert nearest("xyz", ["Heron", "Plover"]) is None
