"""What belongs to the person at the keyboard, not to the logbook: the look, changed keys, cautions read."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from pitbench.app.themes import DARK, LIGHT, SUNLIGHT, THEME_NAMES, sixteen_colours
from pitbench.records.keys import change_keys
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp


class Hands:
    """`kept` as it was read from the user's own small file; `store` writes it there."""

    def __init__(self, app: PitbenchApp, kept: dict[str, Any], store: Callable[[dict[str, Any]], None]) -> None:
        self._app, self._kept, self.store = app, kept, store

    def get(self, name: str) -> Any:
        """What is kept under a name, or None."""
        return self._kept.get(name)

    def keep(self, name: str, value: Any) -> None:
        """Remember something from now on, and over a restart where it can be stored."""
        self._kept = {**self._kept, name: value}
        try:
            self.store(self._kept)
        except Refusal as refusal:
            self._app.say(str(refusal), trouble=True)

    @property
    def keymap(self) -> dict[str, str]:
        """Keys the user changed, by action id."""
        changed = self.get("keys")
        return {str(name): str(keys) for name, keys in changed.items()} if isinstance(changed, dict) else {}

    def put_on(self) -> None:
        """Give the app our looks and the one worn last, before it runs, or all of its style is worked out twice; and
        sentences the keys as they were changed."""
        for theme in (DARK, LIGHT, SUNLIGHT, sixteen_colours()):
            self._app.register_theme(theme)
        self._app.theme = self._first_theme()
        change_keys(self.keymap)

    def _first_theme(self) -> str:
        kept = self.get("theme")
        if kept in THEME_NAMES:
            return str(kept)
        return "16 colours" if self._app.console.color_system == "standard" else "dark"

    def choose_theme(self) -> None:
        """Only our own looks are offered."""
        from pitbench.app.dialogs.choose import Choose

        def answered(theme: str | None) -> None:
            if theme:
                self._app.theme = theme
                self.keep("theme", theme)

        choices = [(str(nth), name, name) for nth, name in enumerate(THEME_NAMES, 1)]
        self._app.push_screen(Choose("Which look?", choices, self._app.theme), answered)
