"""A document as one HTML file that names nothing outside itself: no script, no link, no font, no picture but its own.

Every text goes through `text`, so whatever somebody typed stays text. Right-to-left letters stand in <bdi>: numbers
beside them keep their order.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from html import escape
from unicodedata import bidirectional

from pitbench.paper.document import Document, Part, Table
from pitbench.paper.pictures import svg
from pitbench.records.harmless import harmless

STYLE = """\
:root { color: #14181c; background: #fff; font: 10pt/1.35 sans-serif; }
body { max-width: 62em; margin: 1.5em auto; padding: 0 1em; }
h1 { font-size: 1.5em; margin: 0; }
h2 { font-size: 1em; margin: 1.1em 0 .3em; border-bottom: 1px solid #4d5a61; }
p, ul, dl, table { margin: .25em 0; }
ul { padding-left: 1.2em; }
.under { color: #4d5a61; }
.lead { font-weight: bold; }
.against { list-style: "! "; }
table { border-collapse: collapse; width: 100%; font-size: .86em; }
th, td { text-align: left; vertical-align: top; padding: .1em .7em .1em 0; }
th { color: #4d5a61; font-weight: normal; vertical-align: bottom; border-bottom: 1px solid #c3ccd1; }
td { min-width: 5em; overflow-wrap: anywhere; }
th.n, td.n { text-align: right; }
td.n { min-width: 0; white-space: nowrap; }
tr { break-inside: avoid; }
dl { display: grid; grid-template-columns: 8.5em 1fr; }
dt { color: #4d5a61; }
dd { margin: 0; overflow-wrap: anywhere; }
p, li { overflow-wrap: anywhere; }
.two { display: grid; grid-template-columns: 1fr 1fr; gap: 0 2em; align-items: start; }
svg { display: block; width: 100%; height: auto; margin: .3em 0; }
h2, svg { break-after: avoid; break-inside: avoid; }
footer { margin-top: 1em; font-size: .86em; color: #4d5a61; }
@media screen and (max-width: 50em) { .two { display: block; } }
@media print {
  :root { font-size: 8pt; }
  body { max-width: none; margin: 0; padding: 0; }
  @page { margin: 12mm; }
}
"""
ONLY_ITSELF = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
_RIGHT_TO_LEFT = ("R", "AL")


def html(document: Document) -> str:
    """The whole file as text."""
    return "\n".join(_file(document)) + "\n"


def _file(document: Document) -> Iterator[str]:
    yield '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">'
    yield f'<meta http-equiv="Content-Security-Policy" content="{escape(ONLY_ITSELF)}">'
    yield '<meta name="viewport" content="width=device-width">'
    yield f"<title>{escape(harmless(document.title))}</title>\n<style>\n{STYLE}</style>\n</head>"
    yield f"<body>\n<h1>{text(document.title)}</h1>"
    yield from (f'<p class="under">{text(each)}</p>' for each in document.under)
    yield from (f'<p class="lead">{text(each)}</p>' for each in document.lead)
    for part in document.parts:
        yield from _part(part)
    yield "<footer>"
    yield from (f"<p>{text(each)}</p>" for each in document.last)
    yield "</footer>\n</body>\n</html>"


def _part(part: Part) -> Iterator[str]:
    drawn = [svg(picture, text_in_svg) for picture in part.pictures]
    yield f"<section>\n<h2>{text(part.title)}</h2>"
    if part.facts or part.warnings:
        yield from ('<div class="two">\n<div>', *_facts(part), "</div>\n<div>", *drawn, "</div>\n</div>")
    if part.sentences:
        yield f"<p>{text(' '.join(part.sentences))}</p>"
    if drawn and not (part.facts or part.warnings):
        yield from ('<div class="two">', *drawn, "</div>")
    if part.table is not None:
        yield from _table(part.table)
    yield "</section>"


def _facts(part: Part) -> Iterator[str]:
    facts = (f"<dt>{text(label)}</dt><dd>{text(said)}</dd>" for label, said in part.facts)
    yield from ("<dl>", *facts, "</dl>") if part.facts else ()
    if part.warnings:
        yield from ('<ul class="against">', *(f"<li>{text(each)}</li>" for each in part.warnings), "</ul>")


def _table(table: Table) -> Iterator[str]:
    yield f"<table>\n<thead>{_row(table.heads, 'th', table.numbers)}</thead>\n<tbody>"
    yield from (_row(row, "td", table.numbers) for row in table.rows)
    yield "</tbody>\n</table>"


def _row(cells: Sequence[str], tag: str, numbers: Iterable[int]) -> str:
    told = (f"<{tag}{' class=n' if at in numbers else ''}>{text(each)}</{tag}>" for at, each in enumerate(cells))
    return f"<tr>{''.join(told)}</tr>"


def text(said: str) -> str:
    """Any text as HTML shows it.

    >>> text("<b> & Co")
    '&lt;b&gt; &amp; Co'
    """
    return "".join(
        f"<bdi>{escape(run)}</bdi>" if turned else escape(run) for run, turned in _directions(harmless(said))
    )


def text_in_svg(said: str) -> str:
    """The same where <bdi> is not known."""
    return escape(harmless(said))


def _directions(said: str) -> Iterator[tuple[str, bool]]:
    """The text in pieces, and whether each is written from right to left; marks between such letters go with them."""
    turned = "".join("r" if bidirectional(letter) in _RIGHT_TO_LEFT else "l" for letter in said)
    last = 0
    for found in re.finditer(r"r(?:.{0,3}r)*", turned):
        yield said[last : found.start()], False
        yield said[found.start() : found.end()], True
        last = found.end()
    yield said[last:], False
