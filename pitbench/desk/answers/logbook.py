"""What became of sheets, and whether the logbook is whole."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pitbench.sheets.reading import Fault


@dataclass(frozen=True)
class LoadedFile:
    """What became of one sheet; of a problem line and column are counted from 1 as an editor shows them."""

    file: str
    sheet: str | None
    rows: int
    added: int
    same: int
    differs: int
    replaced: int
    unknown_columns: list[str]
    problems: list["Fault"]


@dataclass(frozen=True)
class Suspect:
    """A number that is unlikely and was stored as typed."""

    file: str
    line: int
    column: str
    value: str
    chance: float | None
    likely_cause: str | None
    suggested: float | None


@dataclass(frozen=True)
class LoadAnswer:
    """What `load` did, or would do."""

    files: list[LoadedFile]
    motors_added: list[str]
    suspects: list[Suspect]


@dataclass(frozen=True)
class CheckAnswer:
    """Whether the logbook is whole: seal good, broken or none; a count is None where the file cannot be read so far."""

    ok: bool
    schema: int | None
    seal: str
    records: dict[str, int | None]
    problems: list[str]
    backups: list[str]
