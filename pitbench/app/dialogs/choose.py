"""A question answered with one key: each choice has its letter or digit."""

from collections.abc import Sequence

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import ModalScreen

from pitbench.app.actions import bindings
from pitbench.app.widgets.paint import Line, Lines, line


class Choose(ModalScreen[str | None]):
    """Returns the value of the choice taken, or None."""

    BINDINGS = bindings(("leave-form",))
    DEFAULT_CSS = """
    Choose { align: center middle; }
    Choose > #box { width: 72; height: auto; background: $pit-bars; padding: 1 2; }
    """

    def __init__(self, question: str, choices: Sequence[tuple[str, str, str]], chosen: str | None = None) -> None:
        """`choices`: (key, value, words)."""
        super().__init__()
        self._question, self._choices, self._chosen = question, choices, chosen

    def compose(self) -> ComposeResult:
        rows: list[Line] = [line((self._question, "strong")), ()]
        for key, value, words in self._choices:
            mark = "▸ " if value == self._chosen else "  "
            rows.append(line((mark, "accent"), (key, "accent"), f"   {words}"))
        with Vertical(id="box"):
            yield Lines([*rows, (), line(("Esc leaves it as it is", "quiet"))])

    def on_key(self, event: events.Key) -> None:
        for key, value, _ in self._choices:
            if event.character == key:
                event.stop()
                self.dismiss(value)

    def action_leave_form(self) -> None:
        self.dismiss(None)
