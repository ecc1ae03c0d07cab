"""The floor of every screen: a bare Textual app with header and footer, as its guide begins.

`--list` redraws one line at a key, `--numpy` has imported numpy.
"""

import sys

from textual.app import App, ComposeResult
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Footer, Header, Static


class OneLine(Widget, can_focus=True):
    """A page of lines of which a key redraws one."""

    BINDINGS = [("down", "step(1)", ""), ("up", "step(-1)", "")]  # noqa: RUF012
    count = 0

    def action_step(self, by: int) -> None:
        self.count += by
        from textual.geometry import Region

        self.refresh(Region(0, self.count % 20, self.size.width, 1))

    def render_line(self, y: int) -> Strip:
        from rich.segment import Segment

        text = f"line {y} {self.count if y == self.count % 20 else ''}"
        return Strip([Segment(text.ljust(self.size.width))])


class Bare(App[None]):
    BINDINGS = [("x", "nothing", "Nothing")]  # noqa: RUF012

    def compose(self) -> ComposeResult:
        yield Header()
        yield Static("floor stands")
        if "--list" in sys.argv:
            yield OneLine()
        yield Footer()

    def on_mount(self) -> None:
        if "--numpy" in sys.argv:
            import numpy  # noqa: F401
        if "--list" in sys.argv:
            self.query_one(OneLine).focus()


if __name__ == "__main__":
    Bare().run()
