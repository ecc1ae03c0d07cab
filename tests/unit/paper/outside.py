"""What other programs read out of paper: the standard library's parser for HTML, a CommonMark parser for Markdown."""

from dataclasses import dataclass, field
from html.parser import HTMLParser

from markdown_it import MarkdownIt

VOID = ("meta", "wbr", "br", "path", "circle")
STRICT = MarkdownIt("commonmark")
WITH_MORE = MarkdownIt("gfm-like")
"""With tables, strike-through, and bare addresses taken for links."""


@dataclass
class Read(HTMLParser):
    """Tags in order, texts of the cells of every table row, all text, and every attribute."""

    tags: list[str] = field(default_factory=list)
    rows: list[list[str]] = field(default_factory=list)
    said: str = ""
    attributes: list[tuple[str, str, str | None]] = field(default_factory=list)
    comments: list[str] = field(default_factory=list)
    open: list[str] = field(default_factory=list)

    def __post_init__(self):
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(tag, name, value) for name, value in attrs]
        if tag not in VOID:
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        assert self.open.pop() == tag, "every tag is closed where it was opened"

    def handle_data(self, data):
        if "td" in self.open or "th" in self.open:
            self.rows[-1][-1] += data
        if "style" not in self.open:
            self.said += data

    def handle_comment(self, data):
        self.comments.append(data)


def read_html(text):
    """The file as HTMLParser reads it."""
    read = Read()
    read.feed(text)
    read.close()
    assert read.open == []
    return read


def tokens(parser, text):
    """Every token, those inside of a line too."""
    return [one for token in parser.parse(text) for one in (token, *(token.children or ()))]


def read_tables(text):
    """Rows of all tables, as texts of their cells."""
    rows, inside = [], False
    for token in WITH_MORE.parse(text):
        if token.type == "tr_open":
            rows.append([])
        inside = token.type in ("td_open", "th_open") or (inside and token.type == "inline")
        if inside and token.type == "inline":
            rows[-1].append("".join(child.content for child in token.children))
    return rows
