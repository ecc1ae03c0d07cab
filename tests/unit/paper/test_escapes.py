"""Whatever somebody typed is text on paper, in HTML and in Markdown, as parsers that are not ours read it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.paper import html, markdown
from pitbench.paper.pictures import shortened
from pitbench.records.harmless import STEERING, harmless
from tests.unit.paper.outside import STRICT, WITH_MORE, read_html, read_tables, tokens

MARKUP = (
    "# head", "- item", "1. first", "12) second", "+ more", "===", "---", "***", "> quoted", "```", "~~~", "    code",
    "[a](b)", "![a](data:x)", "[a]: /b", "<b>", "</td></tr></table>", "<script>x</script>", "<!-- x -->", "&lt;",
    "&#60;", "a | b", r"\|", "*a*", "**a**", "_a_", "__a__", "`a`", "~~a~~", "http://example.org/a", "mailto:a@b.org",
    "www.example.org", "a@b.example", "example.com", "a\\", "a  ", "\"quoted\" 'so'", "]]>", "x\u202ey", "אדום 31/72",
    "عربي", "\x1b[31m", "\x00", "$x$", "a:b:c", ": term", "[ ] task", "| --- |", "a<b>c", "1.", "-", "+", "é", "n" * 99,
)  # fmt: skip
PIECES = st.lists(st.one_of(st.sampled_from(MARKUP), st.text(max_size=6)), max_size=4)
ANY = st.one_of(
    PIECES.map("".join), PIECES.map(" ".join), st.text("\\`*_{}[]()#+-.!|<>&\"' \t\n\u05d0a1:=~@/", max_size=14)
)
PLAIN = {"paragraph_open", "paragraph_close", "inline", "text", "text_special"}


def plain(text):
    return " ".join(harmless(text).split())


@pytest.mark.parametrize("parser", [STRICT, WITH_MORE], ids=["strict", "with more"])
@given(ANY)
def test_a_line_of_markdown_is_one_paragraph_of_text(parser, text):
    found = tokens(parser, markdown.text(text))
    assert {token.type for token in found} <= PLAIN
    assert "".join(token.content for token in found if token.type.startswith("text")) == plain(text)


@given(ANY)
def test_a_list_item_a_heading_and_strong_words_hold_text_alone(text):
    for around, kinds in (
        ("## {}", {"heading_open", "heading_close"}),
        ("- said: {}", {"bullet_list_open", "bullet_list_close", "list_item_open", "list_item_close"}),
        ("**said {}.**", {"strong_open", "strong_close"}),
    ):
        found = tokens(WITH_MORE, around.format(markdown.text(text)))
        assert {token.type for token in found} <= PLAIN | kinds
        assert plain(text) in "".join(token.content for token in found if token.type.startswith("text"))


@given(st.lists(ANY, min_size=2, max_size=4))
def test_a_row_of_markdown_has_its_cells_and_no_more(texts):
    row = f"| {' | '.join(map(markdown.cell, texts))} |"
    head = f"| {' | '.join('h' for _ in texts)} |\n| {' | '.join('---' for _ in texts)} |"
    read = read_tables(f"{head}\n{row}\n")
    assert [cell.strip("\u2068\u2069") for cell in read[1]] == list(map(plain, texts))


@given(ANY)
def test_html_holds_the_very_text_and_no_tag_of_it(text):
    read = read_html(f"<p>{html.text(text)}</p><text>{html.text_in_svg(text)}</text>")
    assert set(read.tags) <= {"p", "bdi", "text"}
    assert read.attributes == [] and read.comments == []
    assert read.said == harmless(text) * 2
    assert not set(read.said) & {chr(code) for code in STEERING}


def test_right_to_left_letters_stand_apart_so_that_numbers_keep_their_order():
    assert html.text("31/72 אדום כהה 44.5") == "31/72 <bdi>אדום כהה</bdi> 44.5"
    assert markdown.cell("אדום 3") == "\u2068אדום 3\u2069"
    assert html.text("Whio 31/72") == "Whio 31/72" == markdown.cell("Whio 31/72")


def test_a_long_name_is_cut_in_a_picture_by_its_width():
    assert shortened("n" * 80) == "n" * 18 + "…"
    assert shortened("号" * 80) == "号" * 9 + "…"
