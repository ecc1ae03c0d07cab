"""Text as it may be shown: what a terminal would obey is a blank. The one list of such characters.

Text a person typed is cleaned at the door (`names`); this is for whatever came in by another way: a file name, a
logbook that another program wrote.
"""

from typing import Any, TextIO

_DIRECTIONS = (0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A))
STEERING = dict.fromkeys((*range(32), *range(127, 160), 0x2028, 0x2029, *_DIRECTIONS), " ")
"""Control characters, line breaks, and marks that turn the direction of writing; a table for `str.translate`."""

_KEEPING_LINES = {code: blank for code, blank in STEERING.items() if code not in (ord("\n"), ord("\t"))}


def harmless(text: str) -> str:
    """One line of text that cannot steer the screen.

    >>> harmless("Heron\\x1b[31m")
    'Heron [31m'
    """
    return text.translate(STEERING)


class HarmlessStream:
    """A stream to print to: line breaks and tabs go through, what else would steer the terminal does not."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Print it."""
        return self._stream.write(text.translate(_KEEPING_LINES))

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)
