"""How one cell of a sheet is read and written: numbers, names, texts, yes or no, a choice, a time, a part.

The one place that turns cells into values and values into cells; what is read here is written back the same.
Readers raise ValueError with a clause for a person.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pitbench.records.harmless import harmless
from pitbench.records.names import Gap, clean_name, clean_note, without_date
from pitbench.records.numbers import read_number, shown
from pitbench.records.quantities import MEANINGS, QUANTITIES
from pitbench.records.stamps import read_stamp

# A spreadsheet takes text beginning with one of these for a formula, wide forms and blanks before it included; an
# apostrophe keeps it text.
_BEGINS = r"\s*[=+\-@＝＋－＠]"
_FORMULA = re.compile(rf"'*{_BEGINS}")
_YES, _NO = {"yes", "y", "true", "1"}, {"no", "n", "false", "0"}


@dataclass(frozen=True)
class Day:
    """What a reader of times must know: the computer's clock and the order of day and month."""

    now: datetime
    day_first: bool = True


Reader = Callable[[str, Day], Any]
Writer = Callable[[Any], str]


@dataclass(frozen=True)
class Column:
    """One column: `form` says in a word how it is written; `stored` is whether the record's field bears its name.

    `about` is the entry of MEANINGS that says what it is, where that is not its name's; a `rare` one is exported only
    where a row has it.
    """

    name: str
    form: str
    read: Reader
    write: Writer
    required: bool = False
    stored: bool = True
    about: str = ""
    rare: bool = False

    @property
    def meaning(self) -> str:
        """The line that forms and docs show too."""
        return QUANTITIES[self.name].meaning if self.name in QUANTITIES else MEANINGS[self.about or self.name]

    def other_unit(self) -> tuple[str, str] | None:
        """The header in the other unit, and that unit: motor_temp_f beside motor_temp_c."""
        unit = QUANTITIES[self.name].unit if self.name in QUANTITIES else ""
        if unit == "°C":
            return self.name.removesuffix("_c") + "_f", "f"
        if unit == "mm":
            return self.name.removesuffix("_mm") + "_in", "in"
        return None

    def in_unit(self, unit: str) -> Reader:
        """The reader of a column whose bare numbers are in `unit`."""
        quantity = QUANTITIES[self.name]
        return lambda cell, day: read_number(cell, quantity, unit)


def number(name: str, *, required: bool = False, stored: bool = True) -> Column:
    """A number in its quantity's unit."""
    quantity = QUANTITIES[name]
    return Column(name, "number", lambda cell, day: read_number(cell, quantity), shown, required, stored)


def numbers(name: str) -> Column:
    """Numbers joined by blanks; a comma behind one only parts it from the next."""
    quantity = QUANTITIES[name]

    def read(cell: str, day: Day) -> list[float]:
        return [read_number(word, quantity) for word in (part.rstrip(",;") for part in cell.split()) if word]

    return Column(name, "numbers joined by blanks", read, lambda values: " ".join(map(shown, values)))


def name(column: str, *, required: bool = False, stored: bool = True) -> Column:
    """A name: matched without case."""
    return Column(column, "name", lambda cell, day: clean_name(cell), guarded, required, stored)


def event() -> Column:
    """An event by its name, with its date behind it where the name alone could be another one's."""
    return Column("event", "event", _event, guarded, stored=False)


def text(column: str) -> Column:
    """Free text."""
    return Column(column, "text", lambda cell, day: clean_note(cell), guarded)


def record_id(column: str) -> Column:
    """The id of another record, where nothing else tells it."""
    return Column(column, "id", lambda cell, day: clean_note(cell), guarded, stored=False, rare=True)


def stamp(column: str, *, required: bool = True, stored: bool = True) -> Column:
    """A point in time."""
    return Column(column, "time", lambda cell, day: read_stamp(cell, day.now, day.day_first), str, required, stored)


def yes_no(column: str, *, stored: bool = True, about: str = "") -> Column:
    """Yes or no."""
    return Column(column, "yes or no", _yes_or_no, lambda value: "yes" if value else "no", stored=stored, about=about)


def choice(column: str, *words: str, required: bool = False, about: str = "") -> Column:
    """One of a few words."""

    def read(cell: str, day: Day) -> str:
        if cell.casefold() not in words:
            raise ValueError(f"is none of its words, {', '.join(words[:-1])} or {words[-1]} would be right")
        return cell.casefold()

    return Column(column, ", ".join(words), read, str, required, about=about)


def part(kind: str) -> Column:
    """A part's name, or the word that says there is none in the motor."""

    def read(cell: str, day: Day) -> str | Gap:
        return Gap.MISSING if cell.casefold() == Gap.MISSING.value else clean_name(unguarded(cell, _GAP_TOO))

    def write(value: str | Gap) -> str:
        return value.value if isinstance(value, Gap) else guarded(value, _GAP_TOO)

    return Column(kind, "part", read, write, stored=False)


_GAP_TOO = re.compile(rf"'*({Gap.MISSING.value}$|{_BEGINS})", re.IGNORECASE)


def guarded(value: str, danger: re.Pattern[str] = _FORMULA) -> str:
    """Text as it is written: with an apostrophe where it could be taken for something else."""
    told = harmless(value)
    return f"'{told}" if danger.match(told) else told


def unguarded(cell: str, danger: re.Pattern[str] = _FORMULA) -> str:
    """Text as it was before `guarded`.

    >>> [unguarded(guarded(text)) for text in ("=A1", "'=A1", "'tis", "-")]
    ['=A1', "'=A1", "'tis", '-']
    """
    return cell[1:] if cell.startswith("'") and danger.match(cell) else cell


def _event(cell: str, day: Day) -> str:
    """A name of an event may be as long as any, and its date comes on top."""
    named, date = without_date(cell)
    return f"{clean_name(named)} {read_stamp(date, day.now)}" if date else clean_name(cell)


def _yes_or_no(cell: str, day: Day) -> bool:
    if cell.casefold() not in _YES | _NO:
        raise ValueError("is neither yes nor no, one of them would be right")
    return cell.casefold() in _YES
