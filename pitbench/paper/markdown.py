"""A document as Markdown (CommonMark with tables), in which no text of the logbook becomes markup.

Pictures are left to HTML: what they show stands in the tables too.
"""

import re
from collections.abc import Iterator, Sequence
from unicodedata import bidirectional

from pitbench.paper.document import Document, Part, Table
from pitbench.records.harmless import harmless

_INSIDE = re.compile(r"[\\`*_{}\[\]<>#&|~^$@]|(?<=\w)\.(?=[^\W\d_])|:(?=/)")
"""What could be markup anywhere in a line, also what only some readers take for a link: addresses."""
_IN_FRONT = re.compile(r"^(?:[-+=:](?!\d)|\d+(?=[.)](?:\s|$)))")
"""What could be a list, a heading or a rule where a line begins."""
_ISOLATE, _END = "\u2068", "\u2069"


def markdown(document: Document) -> str:
    """The whole file as text."""
    return "\n".join(_file(document)).rstrip("\n") + "\n"


def _file(document: Document) -> Iterator[str]:
    yield f"# {text(document.title)}\n"
    yield from (f"{text(each)}\n" for each in document.under)
    yield from (f"**{text(each)}**\n" for each in document.lead)
    for part in document.parts:
        yield from _part(part)
    yield "---\n"
    yield from (f"{text(each)}\n" for each in document.last)


def _part(part: Part) -> Iterator[str]:
    yield f"## {text(part.title)}\n"
    yield from (f"- {text(label)}: {text(said)}" for label, said in part.facts)
    yield from [""] if part.facts else []
    yield from (f"- \\! {text(each)}" for each in part.warnings)
    yield from [""] if part.warnings else []
    yield from [f"{text(' '.join(part.sentences))}\n"] if part.sentences else []
    for table in (part.in_numbers, part.table):
        yield from _table(table) if table else ()


def _table(table: Table) -> Iterator[str]:
    yield _row(table.heads)
    yield _row(["--:" if at in table.numbers else "---" for at in range(len(table.heads))], as_is=True)
    yield from (_row(row) for row in table.rows)
    yield ""


def _row(cells: Sequence[str], as_is: bool = False) -> str:
    return f"| {' | '.join(each if as_is else cell(each) for each in cells)} |"


def text(said: str) -> str:
    r"""Any text as Markdown shows it.

    >>> text("1. *Whio* & <b>"), text("club 13.5T"), text("- www.example.org")
    ('1\\. \\*Whio\\* \\& \\<b\\>', 'club 13.5T', '\\- www\\.example\\.org')
    """
    plain = _INSIDE.sub(r"\\\g<0>", " ".join(harmless(said).split()))
    return _IN_FRONT.sub(lambda found: _escaped(found[0]), plain)


def _escaped(mark: str) -> str:
    return f"{mark}\\" if mark.isdigit() else f"\\{mark}"


def cell(said: str) -> str:
    """A text in a table. One with right-to-left letters stands by itself, or numbers beside it would change places."""
    told = text(said)
    turned = any(bidirectional(letter) in ("R", "AL") for letter in told)
    return f"{_ISOLATE}{told}{_END}" if turned else told
