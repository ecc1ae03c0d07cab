"""Parts, driven by keys. The answer is written by hand where what the screen makes of it matters, else worked out."""

from dataclasses import replace

import pytest
from textual import events

from pitbench.bootstrap import open_for_writing
from pitbench.desk.answers import Move
from pitbench.desk.parts import swaps
from pitbench.records.models import Motor
from tests.unit.words import parts_by_hand as hand

SIZES = ((80, 24), (100, 30), (160, 45))


@pytest.fixture
def by_hand(monkeypatch):
    """What is asked of the parts, in order; the answer is the one by hand."""
    asked = []

    def answer(snapshot, class_name=None, now=None):
        asked.append(class_name)
        return hand.answer(class_=class_name)

    monkeypatch.setattr(swaps, "parts_answer", answer)
    return asked


def row_of(hands, text):
    return next(row for row in hands.rows if text in row)


async def test_the_swap_to_try_stands_on_top_and_the_parts_of_a_kind_below(at_the_keys, two_motors, by_hand):
    async with at_the_keys(two_motors) as hands:
        await hands.press("7")
        assert "▸7 Parts" in hands.rows[0]
        assert hands.rows[2].strip() == "Try rotor R8 in Whio: 41 in 100 that it beats Whio as it is, by +0.4 % if so."
        assert "▸ R8 Turnstone 1 " in " ".join(row_of(hands, "▸ R8").split())
        assert "spare" in row_of(hands, " R1 ")
        assert "Tab end bells" in hands.rows[-1]


async def test_tab_goes_through_the_kinds_and_the_mark_is_on_a_part(at_the_keys, two_motors, by_hand):
    async with at_the_keys(two_motors) as hands:
        await hands.press("7", "down", "tab")
        assert row_of(hands, "▸ E").split()[:3] == ["▸", "E6", "Turnstone"]
        await hands.press("tab")
        assert "stator" in row_of(hands, "moved") and "Tab rotors" in hands.rows[-1]
        await hands.press("tab", "shift+tab")
        assert "stator" in row_of(hands, "moved")
        assert len(by_hand) == 1


async def test_after_the_last_kind_comes_the_next_class(at_the_keys, two_motors, by_hand):
    with open_for_writing(two_motors) as book:
        book.save("one more", [Motor(name="Heron")])
    async with at_the_keys(two_motors) as hands:
        await hands.press("7", "tab")
        assert "Tab next class" in hands.rows[-1]
        await hands.press("tab")
        assert by_hand == ["club 13.5T", ""] and "stator" in row_of(hands, "moved")
        await hands.press("shift+tab")
        assert "end bell" in row_of(hands, "moved")


@pytest.mark.parametrize("size", SIZES)
async def test_the_tables_stand_side_by_side_where_there_is_room(at_the_keys, two_motors, by_hand, size):
    async with at_the_keys(two_motors, size) as hands:
        await hands.press("7")
        assert ("S1 R8 E2" in row_of(hands, "▸ R8")) == (size[0] >= 100)
        tried = row_of(hands, "try next")
        assert tried.split()[-1] == "38" and "S1 R8 E2" in tried
        assert ("more builds" in hands.text) == (size[1] < 30)
        assert ("KV +5 ±12 rpm/V" in hands.text) == (size[1] >= 30), "all that the marked part is worth"


async def test_explaining_begins_with_where_a_worth_comes_from(at_the_keys, two_motors, by_hand):
    async with at_the_keys(two_motors) as hands:
        await hands.press("7", "i")
        assert "▸ worth of a part" in hands.text and "Only the rotor has the magnets" in hands.text


@pytest.mark.parametrize("size", SIZES)
async def test_long_names_are_cut_and_no_column_is_lost(at_the_keys, two_motors, monkeypatch, size):
    motors = ["Bar-tailed godwit", "Oystercatcher", "Ringed plover"]
    kinds = ("stator", "rotor", "end bell")
    parts = [hand.part(kind.replace(" ", "_"), f"{motor} {kind}", motor) for kind in kinds for motor in motors]
    builds = [
        (hand.build([f"{motor} {kind}" for kind in kinds], True, 0.3, 1.0 - nth, nth + 1), motor)
        for nth, motor in enumerate(motors)
    ]
    monkeypatch.setattr(swaps, "parts_answer", lambda *_, **__: hand.of(parts, builds))
    async with at_the_keys(two_motors, size) as hands:
        await hands.press("7")
        assert row_of(hands, "+1.0 ±1.0").split()[-1] == "30"


async def test_keys_typed_at_once_mean_the_parts_of_the_class_they_went_to(at_the_keys, two_motors, by_hand):
    with open_for_writing(two_motors) as book:
        book.save("one more", [Motor(name="Heron")])
    async with at_the_keys(two_motors) as hands:
        for key in ("7", "tab", "down", "down", "tab", "down"):
            hands.app.post_message(events.Key(key, key if key == "7" else None))
        await hands.settle()
        assert by_hand == ["club 13.5T", ""]
        assert row_of(hands, "▸ S").split()[1] == "S6"


async def test_the_first_look_is_at_the_part_to_try(at_the_keys, two_motors, monkeypatch):
    advice = replace(hand.ADVICE, moves=[Move("end_bell", "E5", "Plover")])
    monkeypatch.setattr(swaps, "parts_answer", lambda *_, **__: hand.answer(advice=advice))
    async with at_the_keys(two_motors) as hands:
        await hands.press("7")
        assert row_of(hands, "▸ E5").split()[2] == "Plover"
        await hands.press("up", "1", "7")
        assert "▸ E6" in hands.text, "what was marked stays marked"


async def test_nothing_to_say_is_said_and_no_key_stumbles(at_the_keys, empty, monkeypatch):
    monkeypatch.setattr(swaps, "parts_answer", lambda *_, **__: hand.of([], []))
    async with at_the_keys(empty) as hands:
        await hands.press("7", "tab", "enter", "down", "i", "escape", "b")
        assert "No parts yet: " in hands.text


async def test_c_swaps_the_marked_part_and_enter_opens_its_history(at_the_keys, two_motors):
    """Worked out, not by hand: two motors of their own parts, of which nothing was ever moved."""
    async with at_the_keys(two_motors) as hands:
        await hands.press("7")
        assert "Nothing was ever moved" in hands.text
        await hands.press("enter")
        assert "2 bench runs and 0 track runs were made with it." in hands.text
        await hands.press("escape", "c")
        assert "Swap of parts" in hands.rows[0] and "comes out of" in hands.text
        await hands.press("f2", "escape")
        moved = [build for build in hands.book.rows("build") if "since" in build]
        assert len(moved) == 2 and "Nothing was ever moved" not in hands.text
        await hands.press("u")
        assert "Nothing was ever moved" in hands.text
