"""Paper as a file: in which form, and over which file it may be written.

What pitbench wrote and nobody has touched since may be written anew; any other file, and paper with somebody's own
notes in it, is never lost without a word. The last line is a seal that tells the two apart.
"""

import errno
import hashlib
import re
from pathlib import Path

from pitbench import disk
from pitbench.paper.document import Document
from pitbench.paper.html import html
from pitbench.paper.markdown import markdown
from pitbench.records.refusal import Refusal

_ASIDE = ".pitbench-new"
_AS_USUAL = 0o666
_SEALS = {".html": "<!-- pitbench {} -->", ".md": "[pitbench]: # (paper {})"}
"""By the ending of a file: a comment nobody sees."""
_SEAL = re.compile(r"\n(?:<!-- pitbench ([0-9a-f]{16}) -->|\[pitbench\]: # \(paper ([0-9a-f]{16})\))\n\Z")
ENDINGS = tuple(_SEALS)


class Taken(Refusal):
    """A file is there that may not be written over unless somebody says so."""


def form_of(path: Path) -> str:
    """Which of the two forms a file is to have, told by its ending; Refusal for any other ending."""
    ending = path.suffix.casefold()
    if ending not in ENDINGS:
        raise Refusal(f"{path} ends neither in .html nor in .md, one of them would be right.")
    return ending


def as_text(document: Document, form: str) -> str:
    """The whole file: always the same for the same document."""
    body = html(document) if form == ".html" else markdown(document)
    return f"{body}\n{_SEALS[form].format(_sum(body))}\n"


def _sum(body: str) -> str:
    return hashlib.sha256(body.encode("utf-8", "replace")).hexdigest()[:16]


def must_be_free(path: Path, logbook: Path, replace: bool = False) -> bool:
    """Whether there is a file to be replaced; Refusal where it must stay. replace: somebody has said that it may go.

    The logbook itself never goes.
    """
    try:
        form_of(path)
        if path.is_dir():
            raise Refusal(f"{path} is a folder, a file in it would be right.")
        if not path.exists():
            return False
        if logbook.exists() and path.samefile(logbook):
            raise Refusal(f"{path} is the logbook itself, another file would be right.")
        if not replace and not _untouched(path):
            raise Taken(f"{path} is there already, and not as pitbench wrote it")
    except ValueError:
        raise Refusal(f"{str(path)!r} is no path, a file ending in .html or .md would be right.") from None
    return True


def _untouched(path: Path) -> bool:
    try:
        text = disk.read_whole(path)[0].decode()
    except (OSError, UnicodeDecodeError):
        return False
    found = _SEAL.search(text)
    return found is not None and _sum(text[: found.start()]) in found.groups()


def write(path: Path, text: str) -> None:
    """Whole or not at all, links followed; Refusal where it cannot be."""
    place = path.resolve()
    try:
        disk.write_together(place.parent, {place.name: [text.encode("utf-8", "replace")]}, (), _ASIDE, _AS_USUAL)
    except (FileNotFoundError, NotADirectoryError):
        raise Refusal(f"There is no folder {path.parent} to write {path.name} in.") from None
    except PermissionError:
        raise Refusal(f"{path.parent} may not be written to, a folder you may write to would be right.") from None
    except OSError as error:
        if error.errno == errno.ENAMETOOLONG:
            raise
        why = (error.strerror or type(error).__name__).lower()
        raise Refusal(f"{path} was not written ({why}); what stood there stands.", status=1) from None
