"""docs/sheets.md says what the tables say."""

from docs.make_sheets import PAGE, page
from pitbench.sheets.tables import SHEETS


def test_the_page_is_the_one_the_tables_make():
    assert PAGE.read_text(encoding="utf-8") == page(), "python docs/make_sheets.py"


def test_every_column_has_a_meaning():
    for sheet in SHEETS:
        for column in sheet.columns:
            assert column.datum.meaning.endswith("."), column.name
