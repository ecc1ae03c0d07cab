"""Names as people write them: cleaned once, matched without case, and the nearest known one for a typing slip."""

import difflib
import unicodedata
from collections.abc import Iterable
from datetime import date
from enum import Enum
from functools import lru_cache

LONGEST_NAME = 80
LONGEST_NOTE = 2000


class Gap(Enum):
    """Stands where a part would be named: it was taken out and nothing has filled the gap."""

    MISSING = "missing"


def clean_text(text: str) -> str:
    """Control and format characters out, line breaks and runs of blanks to one blank, ends trimmed.

    Composed after the characters are out, so that a text cleaned once stays as it is.

    >>> clean_text(" new\\tbearings\\n3 May\\x1b ")
    'new bearings 3 May'
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    spaced = (" " if character.isspace() else character for character in text)
    kept = (character for character in spaced if unicodedata.category(character) not in {"Cc", "Cf", "Cs", "Co", "Cn"})
    return " ".join(unicodedata.normalize("NFC", "".join(kept)).split())


def clean_note(text: str) -> str:
    """A note as it is kept; raises ValueError when it is too long."""
    note = clean_text(text)
    if len(note) > LONGEST_NOTE:
        raise ValueError(f"has {len(note)} characters, at most {LONGEST_NOTE} would be right")
    return note


def clean_name(text: str) -> str:
    """A name as it is shown; raises ValueError when nothing is left or it is too long."""
    name = clean_text(text)
    if not name:
        raise ValueError("is empty, a name would be right")
    if len(name) > LONGEST_NAME:
        raise ValueError(f"has {len(name)} characters, a name of at most {LONGEST_NAME} would be right")
    return name


@lru_cache(maxsize=1024)
def name_key(text: str) -> str:
    """What two spellings of one name have in common.

    >>> name_key(" lapWING ") == name_key("Lapwing")
    True
    """
    return clean_text(text).casefold()


def without_date(text: str) -> tuple[str, str]:
    """A name and the date that stands behind it, if one does: how one event is told from another of its name.

    >>> without_date("Saltmouth 2026-04-12"), without_date("Saltmouth 2026-04-99")
    (('Saltmouth', '2026-04-12'), ('Saltmouth 2026-04-99', ''))
    """
    text = clean_text(text)
    name, _, day = text.rpartition(" ")
    try:
        dated = bool(name) and len(day) == len("2026-04-12") and date.fromisoformat(day).isoformat() == day
    except ValueError:
        dated = False
    return (name, day) if dated else (text, "")


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name most like `name`, or None when nothing comes near."""
    by_key = {name_key(other): other for other in known}
    found = difflib.get_close_matches(name_key(name), by_key, n=1, cutoff=0.5)
    return by_key[found[0]] if found else None
