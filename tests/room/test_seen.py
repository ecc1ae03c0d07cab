"""The walk sees what it is there to see: screens made wrong on purpose, a fault each."""

import pytest
from textual.app import App
from textual.theme import Theme

from pitbench.app.themes import DARK, sixteen_colours
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import Lines, fitted, line
from pitbench.app.widgets.typed import Typed
from tests.room.seen import faults_of, unreadable, unseen_words

YELLOW = {"pit-warn": "ansi_yellow"}
PALE = {"pit-quiet": "#3c4247"}


class Wrong(App[None]):
    """One widget in a window of 40 by 6."""

    CSS = "Lines { height: 1fr; } LineList { height: 1fr; }"

    def __init__(self, widget, theme=DARK, other=()):
        super().__init__()
        self._widget = widget
        variables = {**theme.variables, **dict(other)}
        whole = {
            name: getattr(theme, name) for name in ("foreground", "background", "surface", "panel", "ansi", "dark")
        }
        self.register_theme(Theme(name="wrong", primary=theme.primary, variables=variables, **whole))
        self.theme = "wrong"

    def get_theme_variable_defaults(self):
        return {name: value for name, value in DARK.variables.items() if name.startswith("pit-")}

    def compose(self):
        yield self._widget() if callable(self._widget) else self._widget  # an input with text needs its app


async def found_in(widget, see=faults_of, **named):
    app = Wrong(widget, **named)
    async with app.run_test(size=(40, 6)) as pilot:
        for _ in range(3):  # a scroll bar comes a frame later
            await pilot.pause()
        return see(app.screen)


class Listed(LineList):
    """Lines with these texts, in a column as wide as asked."""

    def __init__(self, rows, column=0):
        super().__init__(id="list")
        self._rows, self._column = rows, column

    def on_mount(self):
        self.show([str(at) for at in range(len(self._rows))], self.drawn)

    def drawn(self, index):
        text = self._rows[index]
        return line(fitted(text, self._column) if self._column else text)


async def test_what_is_well_is_not_told():
    assert await found_in(Lines([line("a line that fits")] * 6)) == []
    assert await found_in(Listed(["short"] * 20)) == []


@pytest.mark.parametrize(
    ("widget", "words"),
    [
        (lambda: Lines([line("x" * 41)]), "is cut"),
        (lambda: Lines([line("one")] * 7), "nobody sees"),
        (lambda: Listed(["x" * 36] * 20), "reaches the scroll bar"),
        (lambda: Listed(["x" * 40] * 20), "is cut"),
        (lambda: Listed(["Turnstone"], column=6), "cut though"),
    ],
)
async def test_what_is_cut_or_covered_is_told(widget, words):
    found = await found_in(widget())
    assert found and all(words in each for each in found)


async def test_a_message_that_is_not_there_is_told():
    assert await found_in(Lines([line("Not saved.")]), see=lambda screen: unseen_words(screen, "why it was not"))


async def test_ink_that_is_too_pale_is_told_and_any_colour_of_the_terminals():
    pale = Lines([line(("labels", "quiet"))])
    assert await found_in(pale, see=lambda screen: unreadable(screen, "dark")) == []
    pale = Lines([line(("labels", "quiet"))])
    assert "of 4.5" in str(await found_in(pale, see=lambda screen: unreadable(screen, "dark"), other=PALE))
    doubtful = Lines([line(("! look", "warn"))])
    told = await found_in(doubtful, see=lambda s: unreadable(s, "16 colours"), theme=sixteen_colours(), other=YELLOW)
    assert "on a ground nobody knows" in str(told)


@pytest.mark.parametrize("typed", ["", "Dab"])
async def test_where_one_types_is_told_from_the_page_in_16_colours(typed):
    def underlined(screen):
        rows = screen._compositor.render_strips()[:2]
        return [[bool(segment.style.underline) for segment in row] for row in rows]

    first, below = await found_in(lambda: Typed(typed, compact=True), see=underlined, theme=sixteen_colours())
    assert all(first) and not any(below)
