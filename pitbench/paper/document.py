"""What a piece of paper holds, before anybody has said how it is written: HTML and Markdown take it from here.

All texts are plain, as they came out of the logbook or `words`; whoever writes them makes them harmless.
"""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Table:
    """Rows of texts under their heads; numbers: places of the columns set to the right."""

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    numbers: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Bar:
    """One line of a picture: five points of a spread, ascending, the best guess amid them; what is said behind it."""

    name: str
    points: Sequence[float]
    said: str


@dataclass(frozen=True)
class Picture:
    """Bars on one scale in `unit`, with an upright line where something ends, such as a limit."""

    title: str
    unit: str
    bars: Sequence[Bar]
    limit: float | None = None
    limit_called: str = ""


@dataclass(frozen=True)
class Part:
    """A part under its title. facts: label and text; warnings: what speaks against it; in_numbers: what a picture
    shows, for where none can be drawn."""

    title: str
    sentences: Sequence[str] = ()
    facts: Sequence[tuple[str, str]] = ()
    warnings: Sequence[str] = ()
    pictures: Sequence[Picture] = ()
    table: Table | None = None
    in_numbers: Table | None = None


@dataclass(frozen=True)
class Document:
    """One piece of paper: its title, what stands under it, the answer in sentences, the parts, the last words."""

    title: str
    under: Sequence[str]
    lead: Sequence[str]
    parts: Sequence[Part]
    last: Sequence[str]
