"""The logbook as sheets that `load` takes back as they were.

Rows of values come from `exporting_bench` and `exporting_track`, CSV from `sheets.writing`, files from `sheets.folder`.
Only sheets that hold rows; what lies in the bin, undo and settings stay in the logbook.
"""

from pathlib import Path

from pitbench.desk.exchange.exporting_bench import BenchPages
from pitbench.desk.exchange.exporting_track import TrackPages
from pitbench.sheets.folder import write_sheets
from pitbench.sheets.tables import SHEETS
from pitbench.sheets.writing import sheet_text
from pitbench.store.logbook import Snapshot


def export(snapshot: Snapshot, folder: Path) -> tuple[list[str], list[str]]:
    """Write the sheets into a folder, made if need be; the names of the files written, and of those of an earlier
    export that were removed, since the logbook has no rows for them. Raises Refusal."""
    texts = sheets_of(snapshot)
    gone = write_sheets(folder, texts)
    return [f"{name}.csv" for name in texts], gone


def sheets_of(snapshot: Snapshot) -> dict[str, str]:
    """Text of every sheet that holds rows, by its name."""
    bench = BenchPages(snapshot)
    track = TrackPages(snapshot, bench)
    rows = {
        "classes": bench.classes(),
        "motors": bench.motors(),
        "builds": bench.builds(),
        "events": track.events(),
        "bench": bench.bench(),
        "track": track.track(),
        "cooling": track.cooling(),
        "setup": track.setup(),
        "gears": track.gears(),
    }
    return {sheet.name: sheet_text(sheet, rows[sheet.name]) for sheet in SHEETS if rows[sheet.name]}
