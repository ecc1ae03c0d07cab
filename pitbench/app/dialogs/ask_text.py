"""A question answered with one line of text."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Input

from pitbench.app.dialogs.dialog import Dialog
from pitbench.app.widgets.paint import Lines, line, wrapped
from pitbench.app.widgets.typed import Typed
from pitbench.records.harmless import harmless
from pitbench.records.keys import key_for


class AskText(Dialog[str]):
    """Returns the text, or None when left with Esc or empty; with NEEDED it is not left empty by mistake."""

    NEEDED: ClassVar[str] = ""
    """What is said when Enter comes without a text; nothing: then none is needed."""
    DEFAULT_CSS = "AskText Input { margin: 1 0; }"

    def __init__(self, question: str, hint: str, value: str = "") -> None:
        super().__init__()
        self._question, self._hint, self._value = question, hint, value

    def contents(self) -> ComposeResult:
        yield Lines([line((row, "strong")) for row in wrapped(self._question, self.room)])
        yield Typed(harmless(self._value), compact=True, max_length=2000)
        yield from self.compose_more()
        yield Lines([line((row, "quiet")) for row in wrapped(self._hint, self.room)])
        yield Lines([line((f"Enter takes it   {key_for('leave-form')} leaves", "quiet"))], id="ways")

    def compose_more(self) -> ComposeResult:
        """What else stands under the input."""
        yield from ()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        text = event.value.strip()
        if text or not self.NEEDED:
            self.dismiss(text or None)
        else:
            self.query_one("#ways", Lines).show([line((f"{self.NEEDED}   {key_for('leave-form')} leaves", "warn"))])
