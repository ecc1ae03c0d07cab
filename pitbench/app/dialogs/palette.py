"""The palette: every command by name, found as it is typed; with a mark of our own before the input."""

from textual.command import CommandPalette, SearchIcon

MARK = "/"
"""As where lists are narrowed."""


class Palette(CommandPalette):
    """Textual's palette but for that mark, which every terminal can show."""

    DEFAULT_CSS = """
    Palette SearchIcon { color: $pit-accent; }
    """

    def on_mount(self) -> None:
        self.query_one(SearchIcon).icon = MARK
