"""The sheets of a folder, written together: all of them or none, over an earlier export and over nothing else."""

import stat
from collections.abc import Mapping
from pathlib import Path

from pitbench import disk
from pitbench.records.refusal import Refusal
from pitbench.sheets.grid import read_grid
from pitbench.sheets.tables import ID, SHEETS, Sheet

_ASIDE = ".pitbench-new"
_AS_USUAL = 0o666
_HEAD = 1 << 16


def write_sheets(folder: Path, texts: Mapping[str, str]) -> list[str]:
    """Write texts, by the names of their sheets, into a folder, made if need be; what an earlier export has beside them
    is removed. The names of the files removed. Raises Refusal."""
    _make(folder)
    gone, left_over = [], []
    for sheet in SHEETS:
        path = folder / f"{sheet.name}.csv"
        ours = _is_export(path, sheet)
        if sheet.name in texts and not ours and (path.exists() or path.is_symlink()):
            raise Refusal(f"{path} {_what_else(path)}, nothing was exported; another folder would be right.")
        if sheet.name not in texts and ours:
            gone.append(path.name)
        left_over.append(path.name + _ASIDE)
    begun: list[bool] = []
    try:
        parts = {f"{name}.csv": [text.encode()] for name, text in texts.items()}
        disk.write_together(folder, parts, [*gone, *left_over], _ASIDE, _AS_USUAL, lambda: begun.append(True))
    except PermissionError:
        raise Refusal(f"{folder} may not be written to, a folder you may write to would be right.") from None
    except OSError as error:
        why = (error.strerror or type(error).__name__).lower()
        became = "was written in part only" if begun else "was not written"
        right = "export again" if begun else "the sheets that stood there stand"
        raise Refusal(f"{folder} {became} ({why}); {right}.", status=1) from None
    return gone


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


def _is_export(path: Path, sheet: Sheet) -> bool:
    """Whether export wrote it: its header begins as only export begins one. Links and pipes are not looked into."""
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            return False
        with path.open(encoding="utf-8-sig", newline="") as file:
            return read_grid(file.readline(_HEAD)).headers[:2] == [ID, sheet.columns[0].name]
    except (OSError, UnicodeDecodeError):
        return False


def _what_else(path: Path) -> str:
    """A sheet typed by hand may hold what the logbook never took."""
    if path.is_symlink():
        return "is a link"
    return "is a folder" if path.is_dir() else "was not written by export and would be lost"
