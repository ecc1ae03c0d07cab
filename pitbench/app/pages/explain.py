"""What a figure is: formula, source, what it is good for. Opened with `i` from any list screen."""

from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.widgets.paint import Line, Span, line, wrapped
from pitbench.words.explained import EXPLAINED, Explained


class ExplainScreen(ListScreen):
    """The figures by name; the marked one is explained below."""

    FRAME_LINES = 3  # a blank line stands over a list without heads
    FOOTER = ("go-back", "show-keys", "open-palette", "quit-app")

    def __init__(self, first: str = "") -> None:
        """The mark begins on `first`, the figure that matters most where it was asked."""
        super().__init__()
        self._first = first

    def ask(self) -> None:
        self.pane.say("What is what. The mark explains one; docs/figures.md has it all at length.")
        self.pane.show([e.name for e in EXPLAINED], lambda index: line(EXPLAINED[index].name))
        self.mark_moved()
        self.pane.list.put_mark(self._first)
        self._first = ""

    def mark_moved(self) -> None:
        key = self.pane.key
        marked = next((e for e in EXPLAINED if e.name == key), EXPLAINED[0])
        rows = self._rows(marked)
        longest = max(len(self._rows(other)) for other in EXPLAINED)
        self.pane.below([*rows, *[()] * (longest - len(rows))])  # the same room for each, so that the list stands still

    def _rows(self, marked: Explained) -> list[Line]:
        width = max(20, self.size.width - 5)
        texts: tuple[Span, ...] = (
            (marked.formula, "text"),
            (marked.good_for, "text"),
            (f"Source: {marked.source}", "quiet"),
        )
        return [line("   ", (row, role)) for text, role in texts for row in wrapped(text, width)]

    def action_explain_figure(self) -> None:
        self.action_go_back()
