"""Sheets out: rows of values to the text of a CSV file that `reading` takes back as it was."""

import csv
import io
from collections.abc import Iterable, Mapping
from typing import Any

from pitbench.sheets.columns import guarded
from pitbench.sheets.tables import ID, Sheet, written


def sheet_text(sheet: Sheet, rows: Iterable[Mapping[str, Any]]) -> str:
    """CSV in UTF-8 with commas and decimal points. A row has `id`, values by column name, and `extra`."""
    rows = list(rows)
    others = _other_headers(rows)
    columns = [c for c in sheet.columns if not c.datum.rare or any(row.get(c.name) is not None for row in rows)]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([ID, *(column.name for column in columns), *map(written, others.values())])
    for row in rows:
        values = ((column, row.get(column.name)) for column in columns)
        cells = ["" if value is None else column.write(value) for column, value in values]
        extra = {header.casefold(): text for header, text in row.get("extra", {}).items()}
        writer.writerow([guarded(row["id"]), *cells, *(guarded(extra.get(folded, "")) for folded in others)])
    return out.getvalue()


def _other_headers(rows: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    """Headers of the users' own columns in alphabetical order; two spellings are one column."""
    spelled = sorted({header for row in rows for header, text in row.get("extra", {}).items() if text})
    return dict(sorted({header.casefold(): header for header in reversed(spelled)}.items()))
