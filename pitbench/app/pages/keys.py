"""All keys, made from the action declarations, so that the list cannot differ from what the keys do."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

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
    keys_of,
)
from pitbench.app.pages.scrolled import ScrolledPage
from pitbench.app.widgets.paint import Line, beside, fitted

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp

KEYS_WIDTH = 16
LEFT, RIGHT = (LISTS, SETUP_LOG, GEARING), (RANKINGS, MOTOR_MODEL, TEMPERATURE, FORM, APP)


class KeysScreen(ScrolledPage):
    """Two columns of keys."""

    TITLE_WORDS = "All keys"

    def rows(self) -> list[Line]:
        half = min(60, self.size.width // 2) - 1  # both columns give one cell for the scroll bar
        left, right = self._column(LEFT, half + 1), self._column(RIGHT, self.size.width - half - 1)
        return beside(left, right, half)

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


def _row(keys: str, words: str, width: int) -> Line:
    return ((f" {fitted(keys, KEYS_WIDTH)} ", "accent"), (fitted(words, width - KEYS_WIDTH - 3), "text"))
