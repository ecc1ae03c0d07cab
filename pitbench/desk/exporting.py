"""The logbook as sheets that `load` takes back as they were: rows of values here, CSV in `sheets.writing`.

Only sheets that hold rows; what lies in the bin, undo and settings stay in the logbook.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pitbench.desk.builds import Row, own_part_name, parts_of, since_key
from pitbench.desk.loading_book import DEFAULTS
from pitbench.desk.workshop import Workshop
from pitbench.records.names import name_key
from pitbench.records.refusal import Refusal
from pitbench.records.stamps import time_key
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
    pages = _Pages(snapshot)
    rows = {"classes": pages.classes(), "motors": pages.motors(), "builds": pages.builds(), "bench": pages.bench()}
    return {sheet.name: sheet_text(sheet, rows[sheet.name]) for sheet in SHEETS if rows[sheet.name]}


class _Pages:
    """Rows of values of every sheet, in an order that does not hang on the order of entry."""

    def __init__(self, snapshot: "Snapshot") -> None:
        self._snapshot = snapshot
        self._workshop = Workshop(snapshot)
        self._motors = {row["id"]: row for row in snapshot.rows("motor")}
        self._class_names = {row["id"]: row["name"] for row in snapshot.rows("class_sheet")}

    def classes(self) -> list[Row]:
        return [{**row, "class": row["name"]} for row in sorted(self._snapshot.rows("class_sheet"), key=_by_name)]

    def motors(self) -> list[Row]:
        return [self._motor(row) for row in sorted(self._snapshot.rows("motor"), key=_by_name)]

    def _motor(self, row: Row) -> Row:
        first = self._workshop.first(row)
        names = self._workshop.names(first) if first else {}
        parts = {kind: name for kind, name in names.items() if name != own_part_name(row["name"], kind)}
        return {
            **DEFAULTS,
            **row,
            "motor": row["name"],
            "class": self._class_names.get(row.get("class_id", "")),
            **parts,
        }

    def builds(self) -> list[Row]:
        """Fitted builds with a date; the first build stands in motors.csv, what was only tried in bench.csv."""
        dated = [row for row in self._of_motors("build") if row.get("fitted", True) and "since" in row]
        dated.sort(key=lambda row: (since_key(row), self._motor_key(row), row["id"]))
        return [{**row, "motor": self._motor_name(row), **self._workshop.names(row)} for row in dated]

    def bench(self) -> list[Row]:
        runs = sorted(self._of_motors("bench_run"), key=self._run_order)
        return [{**row, "motor": self._motor_name(row), **self._tested(row)} for row in runs]

    def _of_motors(self, kind: str) -> list[Row]:
        """What belongs to a motor in the bin stays with it."""
        return [row for row in self._snapshot.rows(kind) if row["motor_id"] in self._motors]

    def _run_order(self, run: Row) -> tuple[Any, ...]:
        return (time_key(run["taken_at"]), self._motor_key(run), run.get("place", 0), run["id"])

    def _tested(self, run: Row) -> Mapping[str, Any]:
        """The parts of a run that was made with others than those in force."""
        in_force = self._workshop.history.in_force(run["motor_id"], run["taken_at"])
        build = self._workshop.build(run["build_id"])
        if build is None or (in_force is not None and parts_of(in_force) == parts_of(build)):
            return {}
        return {**self._workshop.names(build), "fitted": False}

    def _motor_name(self, row: Row) -> str:
        return str(self._motors[row["motor_id"]]["name"])

    def _motor_key(self, row: Row) -> str:
        return name_key(self._motor_name(row))


def _by_name(row: Row) -> tuple[str, str]:
    return (name_key(row["name"]), row["id"])


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
