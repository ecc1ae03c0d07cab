"""A list that is narrowed as you type: the filter line, and how it is opened, kept and cleared."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Input, Label

from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.widgets.typed import Typed
from pitbench.desk.lists.narrow import grown

Narrowing = Callable[[str, Sequence[int] | None], list[int]]
"""Places of the lines all words are true of, among some or all; see `desk/lists/narrow.py`."""


class FindScreen(ListScreen):
    """A subclass says what narrows its list in `begin_narrowing`, and draws it in `show_found`."""

    FIND_FOOTER: ClassVar = (
        "list-down=to the list",
        "open-record=keep",
        "go-back=clear",
        "open-palette",
        "quit-app",
    )
    found_words: str = ""
    narrowed: tuple[str, list[int]] = ("", [])
    """The words the list was narrowed to last, and the places of its hits."""
    _narrowing: Narrowing | None = None

    def begin_narrowing(self, narrowing: Narrowing, count: int) -> None:
        """Another list of so many lines: all of them are hits until words narrow it."""
        self._narrowing = narrowing
        self.narrowed = ("", list(range(count)))

    def narrow(self) -> None:
        """Words that only grew narrow the hits there are; anything else starts from all."""
        if self._narrowing is not None:
            before, hits = self.narrowed
            among = hits if grown(before, self.found_words) else None
            self.narrowed = (self.found_words, self._narrowing(self.found_words, among))

    def show_found(self) -> None:
        """Draw what was found."""
        raise NotImplementedError

    @property
    def finding(self) -> bool:
        """Whether the filter line has the cursor."""
        return self.query_one("#filter").has_focus

    def compose_filter(self) -> ComposeResult:
        words = "words, a leading - leaves out"
        with Horizontal(id="filter-line"):
            yield Label(" / ")
            yield Typed(id="filter", compact=True, placeholder=words, select_on_focus=False)

    def stands(self) -> None:
        self.show_filter(False)

    def show_filter(self, shown: bool) -> None:
        """The filter line, or none."""
        self.query_one("#filter-line").display = shown

    def action_find_records(self) -> None:
        box = self.query_one("#filter", Input)
        self.show_filter(True)
        box.select_all()  # here and not when the focus comes, which may be behind the first letters
        box.focus()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        if self.pit.logbook is not None:
            self.logbook_changed()
            self.show_found()

    def on_input_changed(self, event: Input.Changed) -> None:
        self.found_words = event.value
        if self.pit.logbook is not None:
            self.narrow()
            self.show_found()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        self._to_the_list()

    def on_key(self, event: events.Key) -> None:
        if event.key == "down" and self.finding:
            event.stop()
            self._to_the_list()

    def _to_the_list(self) -> None:
        self.show_filter(bool(self.query_one("#filter", Input).value))
        self.pane.list.focus()

    def clear_filter(self) -> bool:
        """Show the whole list again; False when nothing was typed."""
        box = self.query_one("#filter", Input)
        typed = bool(box.value) or self.finding
        box.value = self.found_words = ""
        self._to_the_list()
        return typed

    def action_go_back(self) -> None:
        self.clear_filter()
