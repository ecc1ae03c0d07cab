"""How one cell of a sheet is read and written, by the table of fields; what is read here is written back the same.

Readers raise ValueError with a clause for a person.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pitbench.records import fields
from pitbench.records.fields import Datum
from pitbench.records.harmless import harmless
from pitbench.records.names import Gap
from pitbench.records.numbers import read_number, shown
from pitbench.records.reading import Day, read_text

# A spreadsheet takes text beginning with one of these for a formula, wide forms and blanks before it included; an
# apostrophe keeps it text.
_BEGINS = r"\s*[=+\-@＝＋－＠]"
_FORMULA = re.compile(rf"'*{_BEGINS}")
_GAP_TOO = re.compile(rf"'*({Gap.MISSING.value}$|{_BEGINS})", re.IGNORECASE)


@dataclass(frozen=True)
class Column:
    """One column: a field as a sheet has it. `form` says in a word how it is written."""

    datum: Datum

    @property
    def name(self) -> str:
        return self.datum.name

    @property
    def form(self) -> str:
        return ", ".join(self.datum.words) or self.datum.form

    @property
    def required(self) -> bool:
        return self.datum.required

    @property
    def stored(self) -> bool:
        """Whether the record's field bears its name."""
        return self.datum.field == self.name and self.datum.form != fields.ID

    def read(self, cell: str, day: Day) -> Any:
        """The value of a cell; of a part also the word that says there is none in the motor."""
        if self.datum.form == fields.PART:
            gap = cell.casefold() == Gap.MISSING.value
            return Gap.MISSING if gap else read_text(self.datum, unguarded(cell, _GAP_TOO), day)
        return read_text(self.datum, cell, day)

    def write(self, value: Any) -> str:
        """The cell of a value."""
        if isinstance(value, Gap):
            return value.value
        if self.datum.form == fields.PART:
            return guarded(value, _GAP_TOO)
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, list | tuple):
            return " ".join(each if isinstance(each, str) else shown(each) for each in value)
        return guarded(value) if isinstance(value, str) else shown(value)

    def other_unit(self) -> tuple[str, str] | None:
        """The header in the other unit, and that unit: motor_temp_f beside motor_temp_c."""
        if self.datum.unit == "°C":
            return self.name.removesuffix("_c") + "_f", "f"
        if self.datum.unit == "mm":
            return self.name.removesuffix("_mm") + "_in", "in"
        return None

    def in_unit(self, unit: str) -> Callable[[str, Day], Any]:
        """The reader of a column whose bare numbers are in `unit`."""
        return lambda cell, day: read_number(cell, self.datum, unit)


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
