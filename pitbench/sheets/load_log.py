"""The log of a speed control as columns of samples: what can be used of it, and every dirt found, counted and said.

Any CSV with one row a sample. `log_head` finds how it is written, `log_columns` what its columns are, `log_rows` reads
the numbers, `log_dirt` finds the rows that are none; here they are put together. What the samples tell is no business
of this room.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from hashlib import file_digest
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, cast

from pitbench.records.names import LONGEST_NAME
from pitbench.records.refusal import Refusal
from pitbench.sheets import log_columns as columns
from pitbench.sheets import log_dirt
from pitbench.sheets.files import reading
from pitbench.sheets.log_columns import COLUMNS, Used
from pitbench.sheets.log_head import WANTED, LogHead, look, opened
from pitbench.sheets.log_rows import DAY_S, EARLIEST_DAY_S, blocks, is_clock

if TYPE_CHECKING:
    from pitbench.sheets.log_rows import Numbers

__all__ = ["WANTED", "LogHead", "LogRead", "Note", "digest", "look", "mapped", "read"]

_FINE = {"ms": 1.0, "us": 1.0}
"""Parts of a second in a column of their own: below this, in s, they are added to the seconds."""
MOST_NAMED = 20
"""Headers named in a sentence."""
Told = Callable[[float], None]


@dataclass(frozen=True)
class Note:
    """Something odd that was found, and what was made of it: `why` completes a sentence about `what`."""

    what: str
    why: str


@dataclass
class LogRead:
    """One log as read. columns: which header was taken for which column. samples: arrays [n] by quantity, time rising,
    in s, V, A, rpm, °C, throttle and duty as parts of one; NaN where a cell says nothing. rows: all that the file has.
    unreadable: rows that are no sample, rubbish and those that run back in time among them; repeated: rows that stand
    there twice. notes: all that was odd."""

    columns: dict[str, str]
    samples: "dict[str, Numbers]"
    rows: int = 0
    unreadable: int = 0
    repeated: int = 0
    notes: list[Note] = field(default_factory=list)

    @property
    def began(self) -> datetime | None:
        """When the first sample was taken, where the log has a date and a time of day."""
        if not len(self.samples["time"]) or self.samples["time"][0] < EARLIEST_DAY_S:
            return None
        days, seconds = divmod(float(self.samples["time"][0]), DAY_S)
        return datetime.fromordinal(int(days)) + timedelta(seconds=seconds)


def digest(path: Path) -> str:
    """What tells a file from every other, whatever it is called."""
    with reading(path, WANTED, "load log"), path.open("rb") as file:
        return file_digest(file, "sha256").hexdigest()[:32]


def mapped(
    head: LogHead, told: Mapping[str, str], remembered: Mapping[str, str], alone: bool = False
) -> dict[str, str]:
    """Which header is which column: as told, as remembered, else headers that are names of columns; `alone`: as told
    and nothing besides. Raises Refusal where a column is none, a header is not there or means two columns, or where
    the log would tell nothing."""
    by_fold = {header.casefold(): header for header in head.headers}
    given: dict[str, str] = {}
    for column, header in told.items():
        if column not in COLUMNS:
            raise Refusal(f"A load log has no column {column!r}; {', '.join(COLUMNS)} would be right.")
        if header.casefold() not in by_fold:
            there = _some(head.headers)
            raise Refusal(f"{head.name} has no header {header!r} for {column}; one of {there} would be right.")
        given[column] = by_fold[header.casefold()]
    if len(set(given.values())) < len(given):
        twice = next(header for header in given.values() if list(given.values()).count(header) > 1)
        raise Refusal(f"{head.name}: {twice} cannot be two columns at once, one would be right.")
    known = {column: header for column, header in remembered.items() if header in head.headers and column in COLUMNS}
    found = dict(given)
    for more in () if alone else (known or columns.own_columns(head.headers),):
        whats = {_kind(column) for column in found}
        found |= {
            column: header
            for column, header in more.items()
            if header not in found.values() and _kind(column) not in whats
        }
    lacking = columns.missing(COLUMNS[column][0] for column in found)
    if lacking:
        raise Refusal(f"{head.name}: {_to_map(head, lacking, found)}")
    return {column: found[column] for column in COLUMNS if column in found}


def _kind(column: str) -> str:
    """Columns of one kind exclude each other; the parts of a time stand beside each other."""
    return column if COLUMNS[column][0] == columns.TIME else COLUMNS[column][0]


def _to_map(head: LogHead, lacking: list[str], found: Mapping[str, str]) -> str:
    """What to type, with what the headers most likely are."""
    guess = {
        column: header
        for column, header in columns.suggested(head.headers, head.stated).items()
        if header not in found.values() and len(header) <= LONGEST_NAME
    }
    blind = [column for column in lacking if not any(COLUMNS[each][0] == COLUMNS[column][0] for each in guess)]
    options = [f'--map "{column}={header}"' for column, header in guess.items()]
    options += [f"--map {column}=HEADER" for column in blind]
    there = f" (headers: {_some(head.headers)})" if blind else ""
    return f"no column {' and no '.join(lacking)}; say once which header is which, {' '.join(options)} would do{there}."


def _some(headers: Sequence[str]) -> str:
    """Headers in a sentence: of very many the first, of a very long one its beginning."""
    cut = [header if len(header) <= LONGEST_NAME else f"{header[:LONGEST_NAME]}…" for header in headers[:MOST_NAMED]]
    more = f" and {len(headers) - MOST_NAMED} more" if len(headers) > MOST_NAMED else ""
    return f"{', '.join(cut)}{more}"


def read(path: Path, head: LogHead, mapping: Mapping[str, str], told: Told | None = None) -> LogRead:
    """Read all rows. `told` is told from time to time what part of the file is read. Raises Refusal."""
    import numpy as np

    use = columns.used(mapping, head.headers, head.stated)
    found = LogRead(dict(mapping), {}, notes=[Note(*note) for note in head.notes])
    parts: list[Numbers] = []
    goods = []
    size = max(path.stat().st_size, 1) if told else 1
    with opened(path) as file:
        for numbers, good in blocks(file, head, use):
            parts.append(numbers)
            goods.append(good)
            if told is not None:
                told(min(cast(BinaryIO, file.buffer).tell() / size, 1.0))
    raw = [np.concatenate([part[:, at] for part in parts]) if parts else np.zeros(0) for at in range(len(use))]
    del parts
    good = np.concatenate(goods) if goods else np.zeros(0, dtype=bool)
    found.rows = len(good)
    with np.errstate(all="ignore"):  # numbers no car gives overflow, and are left out as such
        found.samples = _samples(raw, good, use, head, found)
    return found


def _samples(
    raw: "list[Numbers]", good: "log_dirt.Mask", use: list[Used], head: LogHead, found: LogRead
) -> "dict[str, Numbers]":
    """The usable rows, in time; whatever is left out is counted in `found`."""
    dirt = log_dirt.Dirt(good)
    clocks = any(column.what == columns.TIME and is_clock(head, column.place) for column in use)
    dated = any(column.what == columns.DATE for column in use)
    scaled: dict[str, Numbers] = {}
    timed = False
    dirt.all_bits_set(raw)
    for column, numbers in zip(use, raw, strict=True):
        silent = log_dirt.dead_words(numbers[dirt.good]) if column.what not in (columns.TIME, columns.DATE) else ""
        if silent:
            found.notes.append(Note(column.column, silent))
            if column.what not in (columns.VOLTAGE, columns.CURRENT, columns.MOTOR_CURRENT):
                continue
        added, by, guessed = log_dirt.scale_of(column, numbers[dirt.good], clocks)
        if guessed:
            found.notes.append(Note(column.column, guessed))
        kept = numbers if (added, by) == (0.0, 1.0) else (numbers + added) * by
        what = columns.TIME if column.what == columns.DATE else column.what
        if timed and column.unit in _FINE and not (kept[dirt.good] < _FINE[column.unit]).all():
            found.notes.append(Note(column.column, "is a time of its own beside the other: not used"))
            continue
        timed |= column.what == columns.TIME
        scaled[what] = scaled[what] + kept if what in scaled else kept
    names = {column.what: column.column for column in use}
    dirt.impossible(scaled, names)
    dirt.in_time(scaled, clock=clocks and not dated)
    found.unreadable, found.repeated = dirt.unreadable, dirt.repeated
    whole = bool(dirt.good.all())
    samples = {what: numbers if whole else numbers[dirt.good] for what, numbers in scaled.items()}
    found.notes += [Note(*note) for note in dirt.notes()]
    if columns.VOLTAGE in samples and (step := log_dirt.step_of(samples[columns.VOLTAGE])):
        found.notes.append(Note(names[columns.VOLTAGE], f"comes in steps of {step:g} V"))
    return samples
