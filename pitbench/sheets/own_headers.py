"""A column of the user's own may be called like one of ours elsewhere: an apostrophe before it keeps the two apart."""

import re

from pitbench.sheets.columns import guarded, unguarded
from pitbench.sheets.tables import KNOWN_HEADERS

_OURS = re.compile(rf"'*({'|'.join(sorted(KNOWN_HEADERS | {'time_s'}))})$", re.IGNORECASE)


def written(header: str) -> str:
    """The header as export writes it.

    >>> [written(header) for header in ("Humidity", "Teeth", "'id", "=A1")]
    ['Humidity', "'Teeth", "''id", "'=A1"]
    """
    return f"'{header}" if _OURS.match(header) else guarded(header)


def unwritten(header: str) -> str:
    """The header as it was before `written`."""
    return header[1:] if header.startswith("'") and _OURS.match(header) else unguarded(header)
