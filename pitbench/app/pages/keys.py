"""All keys, made from the action declarations, so that the list cannot differ from what the keys do."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.screen import Screen

from pitbench.app.actions import (
    ACTIONS,
    APP,
    FORM,
    GEARING,
    LISTS,
    MOTOR_MODEL,
    MOVES,
    MOVES_IN_WORDS,
    RANKINGS,
    SETUP_LOG,
    TEMPERATURE,
    Action,
    bindings,
    keys_of,
)
from pitbench.app.widgets.bars import FooterLine, HeaderLine
from pitbench.app.widgets.paint import Line, Lines, fitted, width_of
from pitbench.records.keys import key_for

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp

KEYS_WIDTH = 16
LEFT, RIGHT = (LISTS, SETUP_LOG, GEARING), (RANKINGS, MOTOR_MODEL, TEMPERATURE, FORM, APP)


class KeysScreen(Screen[None]):
    """Two columns of keys."""

    BINDINGS = bindings(("go-back",))

    def compose(self) -> ComposeResult:
        yield HeaderLine()
        with VerticalScroll():
            yield Lines(id="keys")
        yield FooterLine()

    def on_mount(self) -> None:
        self.query_one(FooterLine).show_actions(("go-back", "open-palette", "quit-app"))
        self.query_one(VerticalScroll).focus()
        self._show()

    def on_resize(self) -> None:
        self._show()

    def _show(self) -> None:
        self.query_one(HeaderLine).show_title("All keys", f"{key_for('go-back')} back")
        half = min(60, self.size.width // 2) - 1  # both columns give one cell for the scroll bar
        left, right = self._column(LEFT, half + 1), self._column(RIGHT, self.size.width - half - 1)
        rows: list[Line] = []
        for at in range(max(len(left), len(right))):
            first = left[at] if at < len(left) else ()
            second = right[at] if at < len(right) else ()
            gap = " " * max(0, half - width_of(first))
            rows.append((*first, (gap, "text"), *second))
        self.query_one("#keys", Lines).show(rows)

    def _column(self, places: tuple[str, ...], width: int) -> list[Line]:
        lines: list[Line] = []
        for place in places:
            if lines:
                lines.append(())
            lines.append(((f" {place.upper()}", "strong"),))
            listed = [action for action in ACTIONS if action.where == place and action.keys and action.id not in MOVES]
            if place == LISTS:
                goes = [action for action in listed if action.method == "go_to"]
                listed = [action for action in listed if action not in goes]
                lines.append(_row(" ".join(self._keys(action)[0] for action in goes), "go to a screen", width))
                lines.append(_row(*MOVES_IN_WORDS, width))
            for words in dict.fromkeys(action.help for action in listed):
                keys = [key for action in listed if action.help == words for key in self._keys(action)]
                lines.append(_row("  ".join(keys), words, width))
        return lines

    def _keys(self, action: Action) -> list[str]:
        return keys_of(action, cast("PitbenchApp", self.app).hands.keymap)

    def action_go_back(self) -> None:
        self.dismiss(None)


def _row(keys: str, words: str, width: int) -> Line:
    return ((f" {fitted(keys, KEYS_WIDTH)} ", "accent"), (fitted(words, width - KEYS_WIDTH - 3), "text"))
