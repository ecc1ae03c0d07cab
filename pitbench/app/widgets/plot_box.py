"""A plot with the lines round it, drawn once it has its place and again in any other. It knows no plot library, so that
a list may ask for the plots it shows before one is loaded.
"""

from collections.abc import Callable

from textual.containers import Vertical


class PlotBox(Vertical):
    """A subclass hands over what draws it."""

    DEFAULT_CSS = """
    PlotBox { height: 1fr; }
    PlotBox Horizontal, PlotBox Vertical { height: 1fr; }
    """
    _draw: Callable[[], None] | None = None

    def draw_with(self, draw: Callable[[], None]) -> None:
        """Draw this from now on."""
        self._draw = draw
        self.draw_again()

    def draw_again(self) -> None:
        """Its plot has other cells now, by which ticks go: the lines round it have come, or the window has grown."""
        self.call_after_refresh(self._draw_now)

    def _draw_now(self) -> None:
        """The screen may have been left before the frame came."""
        if self._draw is not None and self.is_attached and self.query("QuietPlot"):
            self._draw()
