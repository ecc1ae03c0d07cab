"""Keys and theme in the user's config folder."""

import pytest

from pitbench.store import hands, refusals


@pytest.fixture
def place(tmp_path, monkeypatch):
    path = tmp_path / "config" / "hands.json"
    monkeypatch.setattr(hands, "place", lambda: path)
    return path


def test_what_was_kept_is_read_again(place):
    assert hands.read_hands() == {}
    hands.write_hands({"theme": "sunlight", "keys": {"undo-change": "x"}})
    assert hands.read_hands() == {"theme": "sunlight", "keys": {"undo-change": "x"}}
    assert place.stat().st_mode & 0o777 == 0o600
    assert [file.name for file in place.parent.iterdir()] == ["hands.json"]


@pytest.mark.parametrize("raw", [b"", b"{", b"[]", b"null", b"\xff", b'{"theme": NaN}', b"[" * 5000])
def test_a_damaged_file_counts_as_none_and_is_written_anew(place, raw):
    place.parent.mkdir()
    place.write_bytes(raw)
    assert hands.read_hands() == {}
    hands.write_hands({"theme": "dark"})
    assert hands.read_hands() == {"theme": "dark"}


def test_no_place_to_write_is_one_sentence(place):
    place.parent.write_text("a file where the folder should be")
    assert hands.read_hands() == {}
    with pytest.raises(refusals.NotSaved, match=r"hands.json was not saved"):
        hands.write_hands({})
