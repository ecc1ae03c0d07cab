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
        await hands.press("3")
        assert any("Heron" in row and "drift" in row for row in hands.rows)
