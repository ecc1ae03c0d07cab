"""A page of text under a title: arrows and Page scroll it, Esc leads back."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.screen import Screen

from pitbench.app.actions import bindings
from pitbench.app.widgets.bars import FooterLine, HeaderLine
from pitbench.app.widgets.paint import Line, Lines
from pitbench.records.keys import key_for


class ScrolledPage(Screen[None]):
    """A subclass gives its title, and its lines for the width there is."""

    TITLE_WORDS: ClassVar[str] = ""
    BINDINGS = bindings(("go-back",))

    def compose(self) -> ComposeResult:
        yield HeaderLine()
        with VerticalScroll():
            yield Lines(id="text")
        yield FooterLine()

    def on_mount(self) -> None:
        self.query_one(FooterLine).show_actions(("go-back", "open-palette", "quit-app"))
        self.query_one(VerticalScroll).focus()
        self._show()

    def on_resize(self) -> None:
        self._show()

    def _show(self) -> None:
        self.query_one(HeaderLine).show_title(self.TITLE_WORDS, f"{key_for('go-back')} back")
        self.query_one("#text", Lines).show(self.rows())

    def rows(self) -> list[Line]:
        raise NotImplementedError

    def action_go_back(self) -> None:
        self.dismiss(None)
