"""A motor whose current stepped up in the middle of a season, by keys: Motors, its page, Rankings."""

from pathlib import Path

import pytest

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import MODELS
from tests.unit.desk.seasons import season


@pytest.fixture
def worn(tmp_path: Path) -> Path:
    """Four motors, eight evenings, raced between; the current of Heron is up by 5 % from the fifth on."""
    path, days = tmp_path / "logbook.json", season({"no_load_current_a": [1.0] * 4 + [1.05] * 4})
    with open_for_writing(path) as book:
        rows = [(model, row) for kind, model in MODELS.items() for row in days.logbook.rows(kind)]
        book.save("season", [model(**row) for model, row in rows])
    return path


async def test_drift_is_marked_named_and_explained(at_the_keys, worn):
    async with at_the_keys(worn) as hands:
        assert "Heron !" in hands.text and "Plover !" not in hands.text
        await hands.press("down")
        assert "Drift" in hands.text and "current up: +0.2" in hands.text
        await hands.press("enter")
        assert "Slower than it was, power at load -" in hands.text
        assert "drag" in hands.text and "Look at the bearings" in hands.text
        (power,) = (row for row in hands.rows if row.strip().startswith("power "))
        assert "down: -" in power and "over 84 track minutes" in power
        assert len(hands.rows) == 24 and all(len(row) == 80 for row in hands.rows)
        await hands.press("tab")
        await hands.until(lambda: "●" in hands.text)
        assert "power at load, % beside" in hands.text and "track minutes" in hands.text
        assert "Slower than it was" in hands.text and "current " in hands.text
        await hands.press("shift+tab")
        assert "bench, and the runs" in hands.text
        await hands.press("3")
        assert any("Heron" in row and "drift" in row for row in hands.rows)


@pytest.mark.parametrize("size", [(100, 30), (160, 45)])
async def test_the_page_itself_has_the_plot_where_there_is_room(at_the_keys, worn, size):
    async with at_the_keys(worn, size=size) as hands:
        await hands.press("down", "enter")
        await hands.until(lambda: "●" in hands.text)
        page = hands.rows
        assert any("power at load, % beside" in row for row in page) and not any(
            "down: -" in row and "power" in row for row in page
        )
        assert sum("●" in row for row in page) >= 2 and any("24 Apr, 2 runs" in row for row in page)


async def test_too_early_is_said_with_what_is_missing(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("enter")
        assert "slower?" in hands.text and "3 more bench sessions needed, raced between" in hands.text
        await hands.press("tab")
        assert "is it getting slower? Too early to say: 3 more" in hands.text
