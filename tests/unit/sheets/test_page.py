"""docs/sheets.md says what the tables say."""

from pathlib import Path

from pitbench.sheets.page import page
from pitbench.sheets.tables import SHEETS


def test_the_page_is_the_one_the_tables_make():
    stands = Path(__file__).parents[3] / "docs" / "sheets.md"
    assert stands.read_text(encoding="utf-8") == page(), "python -m pitbench.sheets.page > docs/sheets.md"


def test_every_column_has_a_meaning():
    for sheet in SHEETS:
        for column in sheet.columns:
            assert column.datum.meaning.endswith("."), column.name
