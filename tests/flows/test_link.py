"""The bench-to-track link by keys: its place after the card, its plot, and the weight it offers."""

import pytest

from tests.unit.desk.test_link import season_file


@pytest.fixture
def season(tmp_path):
    return season_file(tmp_path / "logbook.json")


async def test_after_the_card_stands_what_told_about_the_track(at_the_keys, season):
    async with at_the_keys(season) as hands:
        await hands.press("3", "tab", "tab")
        assert "Pace: power at load told it, higher is better" in hands.text and "▸ power at load" in hands.text
        assert "What the bench cannot see is 0." in hands.text and not any("…" in row for row in hands.rows)
        await hands.press("down", "v")
        assert "pace, s a lap, below 0 is faster" in hands.text and "A Avocet" in hands.text
        await hands.press("v")
        assert "Finish temperature:" in hands.text and "°C" in hands.text
        assert next(row for row in hands.rows if "▸ " in row[:4]) == hands.rows[_first_line(hands.rows)]
        await hands.press("v", "v", "tab")
        assert "chance of" in hands.text
        await hands.press("shift+tab")
        assert "told it" in hands.text
        await hands.press("shift+tab")
        assert "CARD FOR THE MAIN" in hands.text


def _first_line(rows):
    return next(at for at, row in enumerate(rows) if "told by" in row) + 1


async def test_a_key_of_its_own_and_a_tall_terminal_shows_table_and_plot_together(at_the_keys, season):
    async with at_the_keys(season, (100, 40)) as hands:
        await hands.press("3", "T")
        assert "▸ power at load" in hands.text and "pace, s a lap, below 0 is faster" in hands.text
        assert "power at load, %" in hands.text
        await hands.press("escape")
        assert "chance of" in hands.text


async def test_the_weight_it_offers_counts_only_when_it_is_taken(at_the_keys, season):
    async with at_the_keys(season) as hands:
        await hands.press("3", "T")
        assert "Offered as weight, not counted yet: " in hands.text and "track pace" in hands.text
        await hands.press("w")
        while hands.app.screen.field.name != "weight track_pace_s":
            await hands.press("down")
        assert "which the link to the track offers." in hands.text and "F4 put " in hands.rows[-1]
        assert hands.book.settings().weights == {}
        await hands.press("f4", "f2")
        assert hands.book.settings().weights.keys() == {"track_pace_s"}
        await hands.settle()
        assert "Offered as weight, not counted yet: track pace" not in hands.text
        await hands.press("u")
        assert hands.book.settings().weights == {}


async def test_keys_that_come_before_the_answer_do_no_harm(at_the_keys, season):
    async with at_the_keys(season) as hands:
        await hands.pilot.press("3", "T", "v", "w", "escape", "v", "tab", "tab", "tab", "v")
        await hands.settle()
        assert "told it" in hands.text
