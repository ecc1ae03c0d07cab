"""The logbook as sheets that `load` takes back as they were.

Rows of values come from `exporting_bench` and `exporting_track`, CSV from `sheets.writing`.

Only sheets that hold rows; what lies in the bin, undo and settings stay in the logbook.
"""

from pathlib import Path
from typing import TYPE_CHECKING

from pitbench.desk.exchange.exporting_bench import BenchPages
from pitbench.desk.exchange.exporting_track import TrackPages
from pitbench.records.refusal import Refusal
from pitbench.sheets.grid import read_grid
from pitbench.sheets.tables import ID, SHEETS
from pitbench.sheets.writing import sheet_text

if TYPE_CHECKING:
    from pitbench.store.logbook import Snapshot


def export(snapshot: "Snapshot", folder: Path) -> list[Path]:
    """Write the sheets into a folder, made if need be; the files written. Raises Refusal, and then writes nothing."""
    texts = {folder / f"{name}.csv": text for name, text in sheets_of(snapshot).items()}
    _make(folder)
    for path in texts:
        _refuse_sheets_of_others(path)
    for path, text in texts.items():
        _write(path, text)
    return list(texts)


def sheets_of(snapshot: "Snapshot") -> dict[str, str]:
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


def _make(folder: Path) -> None:
    try:
        folder.mkdir(exist_ok=True)
    except FileExistsError:
        raise Refusal(f"{folder} is a file, a folder would be right.") from None
    except (FileNotFoundError, NotADirectoryError):
        raise Refusal(f"There is no folder {folder.parent} to make {folder.name} in.") from None
    except PermissionError:
        raise Refusal(f"{folder} may not be made, a folder you may write to would be right.") from None
    except ValueError:
        raise Refusal(f"{str(folder)!r} is no path, a folder would be right.") from None


def _refuse_sheets_of_others(path: Path) -> None:
    """Only an earlier export is written over: a sheet typed by hand may hold what the logbook never took."""
    if path.is_dir():
        raise Refusal(f"{path} is a folder, nothing was exported; another folder would be right.")
    if not path.exists():
        return
    try:
        with path.open(encoding="utf-8-sig", newline="") as sheet:
            ours = read_grid(sheet.readline()).headers[:1] == [ID]
    except (OSError, UnicodeDecodeError):
        ours = False
    if not ours:
        raise Refusal(f"{path} was not written by export and would be lost, another folder would be right.")


def _write(path: Path, text: str) -> None:
    """Whole or not at all."""
    fresh = path.with_name(f".{path.name}.new")
    try:
        fresh.write_text(text, encoding="utf-8", newline="")
        fresh.replace(path)
    except PermissionError:
        raise Refusal(f"{path.parent} may not be written to, a folder you may write to would be right.") from None
    except OSError as error:
        fresh.unlink(missing_ok=True)
        raise Refusal(f"{path} could not be written: {error.strerror or error}.", status=1) from None
