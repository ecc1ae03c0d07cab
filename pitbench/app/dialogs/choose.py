"""A question answered with one key: each choice has its letter or digit; arrows and Enter do as well.

Enter takes nothing while no choice is marked: where something would be lost by it, and once a key was typed that is no
choice, for figures meant for a form must not answer by their Enter.
"""

from collections.abc import Sequence

from textual import events

from pitbench.app.dialogs.dialog import Dialog
from pitbench.app.widgets.paint import Line, Lines, line, wrapped
from pitbench.records.keys import key_for


class Choose(Dialog[str]):
    """Returns the value of the choice taken, or None when left with Esc."""

    def __init__(
        self,
        question: str,
        choices: Sequence[tuple[str, str, str]],
        chosen: str | None = None,
        left: str = "leaves it as it is",
    ) -> None:
        """`choices`: (key, value, words); the mark stands on `chosen`, if any; `left`: what leaving does."""
        super().__init__()
        self._question, self._choices, self._left = question, choices, left
        self._at = next((at for at, (_, value, _) in enumerate(choices) if value == chosen), -1)

    def rows(self) -> list[Line]:
        rows: list[Line] = [*(line((text, "strong")) for text in wrapped(self._question, self.room)), ()]
        for at, (key, _, words) in enumerate(self._choices):
            rows.append(line(("▸ " if at == self._at else "  ", "accent"), (key, "accent"), f"   {words}"))
        return [
            *rows,
            (),
            line((f"Its key takes one, or arrows and Enter   {key_for('leave-form')} {self._left}", "quiet")),
        ]

    def on_key(self, event: events.Key) -> None:
        taken = next((value for key, value, _ in self._choices if event.character == key), None)
        if event.key == "enter" and self._at >= 0:
            taken = self._choices[self._at][1]
        if taken is not None:
            event.stop()
            self.dismiss(taken)
        elif event.key in {"up", "down"}:
            step = 1 if event.key == "down" else -1
            self._mark(max(0, min(len(self._choices) - 1, self._at + step)))
        elif event.is_printable:
            self._mark(-1)

    def on_paste(self, event: events.Paste) -> None:
        self._mark(-1)

    def _mark(self, at: int) -> None:
        self._at = at
        self.query_one(Lines).show(self.rows())
