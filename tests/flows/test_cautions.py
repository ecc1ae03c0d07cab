"""A short caution always stands where the hazard is, its long text folds form by form, and the app shows them all."""

import pytest

from pitbench.app.pages.cautions import blocks
from pitbench.words.cautions import BENCH, READING, SWAP, TRACK, all_cautions

FORMS = {"b": BENCH, "t": TRACK}


def test_short_lines_have_room_for_the_key_beside_them():
    for caution in (BENCH, TRACK, READING, SWAP):
        assert all(len(text) <= (39 if caution is TRACK else 75) for text in caution.short)
        assert "maker" in caution.long and "club" in caution.long and "local codes" in caution.long


@pytest.mark.parametrize("key", FORMS)
async def test_its_lines_stand_whatever_is_said(at_the_keys, two_motors, key):
    async with at_the_keys(two_motors) as hands:
        await hands.press(key)
        for typed in ((), ("f7",), (*"9999", "enter"), ("f2",), ("f8",)):
            await hands.press(*typed)
            for text in FORMS[key].short:
                assert any(text in row for row in hands.rows), typed


async def test_each_form_folds_its_own(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b", "f7", "escape", "t")
        assert "Bare metal burns" in hands.text
        await hands.press("f7", "f7")
        assert "Bare metal burns" in hands.text, "once more unfolds it"
        await hands.press("escape", "b")
        assert "Sleeves" not in hands.text


async def test_the_palette_knows_all_cautions(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.command("cautions", "cautions")
        assert "A motor on the bench" in hands.text and "Clamp it before it gets power" in hands.text
        await hands.press("end")
        await hands.until(lambda: "rule book decide" in hands.text)
        await hands.press("escape")
        assert "Motors" in hands.rows[0]


def test_every_word_of_the_page_is_shown():
    text = all_cautions()
    shown = " ".join(block.lstrip("# ") for block in blocks(text))
    assert shown.split() == text.replace("#", "").split()
