"""What a load log's headers are: what stands under each, what it likely is, and whether anybody has to be asked.

Reads only some rows, without numpy: it is asked while somebody waits for the next key to work.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pitbench.desk.load.loading import remembered
from pitbench.records.kinds import Source
from pitbench.records.numbers import shown
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.sheets.log_values import Seen


@dataclass(frozen=True)
class Header:
    """One header, from where to where its numbers go ("" where there are none), and the unit it states itself, by what
    it may be: {"time": "ms"}."""

    name: str
    span: str
    stated: Mapping[str, str]


@dataclass(frozen=True)
class Headers:
    """The headers of one file, what they were taken for before or likely are, {header: column}, and whether that is to
    be asked."""

    file: str
    headers: tuple[Header, ...]
    columns: Mapping[str, str]
    asks: bool


def headers_of(source: Source, path: Path) -> Headers:
    """Of a file that was chosen. Raises Refusal where it is no load log."""
    from pitbench.sheets import load_log, log_columns, log_values

    head = load_log.look(path)
    seen = log_values.seen(path, head)
    known = remembered(source, head.headers)
    likely = log_values.likely(head, seen)
    try:
        columns, asks = load_log.mapped(head, {}, known), False
    except Refusal:
        columns, asks = {}, True
    if not known:
        whats = {log_columns.COLUMNS[column][0] for column in columns}
        more = {
            column: header
            for column, header in likely.items()
            if log_columns.COLUMNS[column][0] not in whats and header not in columns.values()
        }
        columns, asks = columns | more, asks or bool(more)
    stated = [*head.stated, *[""] * (len(head.headers) - len(head.stated))]
    found = tuple(
        Header(name, _span(of), _stated(name, unit)) for name, of, unit in zip(head.headers, seen, stated, strict=True)
    )
    return Headers(head.name, found, {header: column for column, header in columns.items()}, asks)


def _span(of: "Seen") -> str:
    if of.low is None or of.high is None:
        return of.first
    return shown(of.low) if of.low == of.high else f"{_short(of.low)} to {_short(of.high)}"


def _short(number: float) -> str:
    return shown(round(number, 0 if abs(number) >= 1000 else 2))


def _stated(header: str, unit: str) -> dict[str, str]:
    from pitbench.sheets.log_columns import MEANINGS, unit_in

    units = {what: unit_in(header, what) or unit_in(f"({unit})", what) for what in MEANINGS}
    return {what: each for what, each in units.items() if each}


def what_of(column: str) -> str:
    """What a column is, whatever its unit."""
    from pitbench.sheets.log_columns import COLUMNS

    return COLUMNS[column][0]


def columns_for(what: str, header: Header) -> list[str]:
    """The columns a header may be that is this: one where it states its unit, else one a unit, the one whose numbers
    tell it first."""
    from pitbench.sheets.log_columns import COLUMNS, DUTY, THROTTLE, TIME

    if what in (THROTTLE, DUTY):  # its numbers tell its unit, whatever is stated
        return [what]
    of = {unit: name for name, (each, unit) in COLUMNS.items() if each == what and name != TIME}
    stated = header.stated.get(what)
    return [of[stated]] if stated in of else [name for name in COLUMNS if name in of.values()]


def lacking(columns: Mapping[str, str]) -> list[str]:
    """What a log needs and {header: column} has not, each as one of its columns."""
    from pitbench.sheets.log_columns import missing

    return missing(what_of(column) for column in columns.values())
