"""From the text of one field to its value, as the table of fields says it is read. Forms and sheets both come here.

What cannot be read is a ValueError with a clause for a person that completes a sentence about the text.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pitbench.records import fields
from pitbench.records.fields import FIELDS, Datum
from pitbench.records.names import clean_name, clean_note, clean_text, without_date
from pitbench.records.numbers import read_number
from pitbench.records.stamps import read_stamp

_YES, _NO = {"yes", "y", "true", "1"}, {"no", "n", "false", "0"}


@dataclass(frozen=True)
class Day:
    """What a reader of times must know: the computer's clock and the order of day and month."""

    now: datetime
    day_first: bool = True


def read_text(datum: Datum, text: str, day: Day) -> Any:
    """The value that `text` means in this field."""
    return _READERS[datum.form](datum, text, day)


def read_yes_no(text: str) -> bool:
    """Whether a person said yes.

    >>> read_yes_no("Y"), read_yes_no(" no ")
    (True, False)
    """
    folded = clean_text(text).casefold()
    if folded not in _YES | _NO:
        raise ValueError("must be yes or no")
    return folded in _YES


def read_choice(text: str, words: tuple[str, ...]) -> str:
    """The one of these words that was written, or begun so that no other is meant.

    >>> read_choice("P", ("pinion", "spur")), read_choice("spurs", ("pinion", "spur"))
    ('pinion', 'spur')
    """
    folded = clean_text(text).casefold()
    meant = [word for word in words if folded in (word.casefold(), f"{word}s".casefold())]
    meant = meant or [word for word in words if folded and word.casefold().startswith(folded)]
    if len(meant) != 1:
        raise ValueError(f"must be {', '.join(words[:-1])} or {words[-1]}")
    return meant[0]


def _numbers(datum: Datum, text: str, day: Day) -> list[float]:
    """A comma behind a number only parts it from the next."""
    return [read_number(word, datum) for word in (part.rstrip(",;") for part in text.split()) if word]


def _event(datum: Datum, text: str, day: Day) -> str:
    """A name of an event may be as long as any, and its date comes on top."""
    named, date = without_date(text)
    return f"{clean_name(named)} {read_stamp(date, day.now)}" if date else clean_name(text)


def _columns(datum: Datum, text: str, day: Day) -> list[str]:
    found = list(dict.fromkeys(text.casefold().replace(",", " ").replace(";", " ").split()))
    for name in found:
        if name not in FIELDS:
            raise ValueError(f"names {name[:40]}, which is no column; names like ambient_c joined by blanks would be")
    return found


_READERS: dict[str, Callable[[Datum, str, Day], Any]] = {
    fields.NUMBER: lambda datum, text, day: read_number(text, datum),
    fields.NUMBERS: _numbers,
    fields.YES_NO: lambda datum, text, day: read_yes_no(text),
    fields.CHOICE: lambda datum, text, day: read_choice(text, datum.words),
    fields.TIME: lambda datum, text, day: read_stamp(text, day.now, day.day_first),
    fields.NAME: lambda datum, text, day: clean_name(text),
    fields.PART: lambda datum, text, day: clean_name(text),
    fields.TEXT: lambda datum, text, day: clean_note(text),
    fields.ID: lambda datum, text, day: clean_note(text),
    fields.EVENT: _event,
    fields.COLUMNS: _columns,
}
