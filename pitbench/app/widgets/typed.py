"""An input of one line that can be told from the page in every look: where there is no ground for it, by a line under
it."""

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widgets import Input

UNDERLINED = Style(underline=True)


class Typed(Input):
    """As wide as it is, also where nothing is typed yet."""

    def render_line(self, y: int) -> Strip:
        strip = super().render_line(y)
        if not self.app.native_ansi_color:
            return strip
        whole = strip.extend_cell_length(self.size.width, self.rich_style)
        return Strip(Segment.apply_style(whole, post_style=UNDERLINED), whole.cell_length)
