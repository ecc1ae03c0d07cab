"""A list drawn by line: only the old and the new line are painted when the mark moves, however long the list is.

Rows come from a function, so that no widget, cell or text exists for a row that is not in sight.
"""

from collections.abc import Callable, Sequence

from textual import events
from textual.geometry import Region, Size
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.scrollbar import ScrollBar
from textual.strip import Strip

from pitbench.app.actions import MOVES, bindings
from pitbench.app.widgets.paint import Line, Painted


class LineList(Painted, ScrollView, can_focus=True):
    """Lines with a mark. `keys[i]` is what line i stands for; None is a line the mark passes over."""

    DEFAULT_CSS = """
    LineList {
        height: 1fr; width: 1fr; background: $background;
        overflow-x: hidden; overflow-y: auto; scrollbar-size-vertical: 1;
    }
    """
    BINDINGS = bindings(MOVES)

    mark: reactive[int] = reactive(0, repaint=False)

    def __init__(self, **names: str) -> None:
        super().__init__(**names)
        self._keys: Sequence[str | None] = ()
        self._draw: Callable[[int], Line] = lambda index: ()
        self._moved = False
        self.anew = False
        """Whether lines shown now are seen for the first time: a mark nobody has moved stands on the first of them."""
        self.moved: Callable[[], None] = lambda: None
        """Called when a key has moved the mark; a message would come a frame later."""
        self._painted: dict[tuple[int, bool], Strip] = {}

    def show(self, keys: Sequence[str | None], draw: Callable[[int], Line]) -> None:
        """Show these lines; `draw(index)` makes one. The mark stays on what it stood on."""
        stood = self.key
        if self.anew and not self._moved:
            self.mark, stood = 0, None
        self._keys, self._draw = keys, draw
        self._painted.clear()
        self.virtual_size = Size(self.size.width, len(keys))
        self.mark = self._find(stood)
        self.refresh()

    def put_mark(self, key: str) -> None:
        """Put the mark on the line that stands for `key`, if there is one, with what stands round it in sight."""
        if key in self._keys:
            self._go(self._keys.index(key))
            self.call_after_refresh(self._to_the_middle)

    def _to_the_middle(self) -> None:
        self.scroll_to(y=max(0, self.mark - self.size.height // 2), animate=False, immediate=True)

    def _find(self, key: str | None) -> int:
        if key is not None and 0 <= self.mark < len(self._keys) and self._keys[self.mark] == key:
            return self.mark
        if key is not None and key in self._keys:
            return self._keys.index(key)
        start = min(self.mark, len(self._keys) - 1)
        return self._next(start, 1) if self._keys else 0

    @property
    def key(self) -> str | None:
        """What the mark stands on."""
        return self._keys[self.mark] if 0 <= self.mark < len(self._keys) else None

    @property
    def count(self) -> int:
        """How many lines there are."""
        return len(self._keys)

    def _next(self, index: int, step: int) -> int:
        """The nearest line from `index` on, in the direction of `step`, that the mark may stand on."""
        count = len(self._keys)
        index = max(0, min(count - 1, index))
        for way in (step, -step):
            at = index
            while 0 <= at < count:
                if self._keys[at] is not None:
                    return at
                at += way
        return index

    def _go(self, index: int) -> None:
        if not self._keys or index == self.mark:
            return
        self._moved = True
        old, self.mark = self.mark, index
        self.refresh_line(old)
        self.refresh_line(index)
        self._keep_in_sight(index)
        self.moved()

    def _keep_in_sight(self, index: int) -> None:
        top, height = self.scroll_offset.y, self.size.height
        wanted = min(index, top) if index < top else max(top, index - height + 1)
        if index <= 1:
            wanted = 0
        if wanted != top:
            self.scroll_to(y=wanted, animate=False, immediate=True)

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        """Lines are painted anew; the bar only when its thumb moves by an eighth of a line, seldom in a long list."""
        bar = self.vertical_scrollbar
        bar.set_reactive(ScrollBar.position, new_value)
        if self._thumb(old_value) != self._thumb(new_value):
            bar.refresh()
        if round(old_value) != round(new_value):
            self.refresh(self.size.region)

    def _thumb(self, top: float) -> int:
        """Eighths of a line above the bar's thumb, as the bar draws it."""
        height, count = self.size.height, len(self._keys)
        return int((height - max(1, height * height / count)) * top / (count - height) * 8) if count > height else 0

    def action_move_mark(self, step: str, way: int) -> None:
        """One line or page up (-1) or down (1), or to that end of the list."""
        far = {"line": 1, "page": self.size.height, "end": len(self._keys)}[step]
        self._go(self._next(self.mark + way * far, way))

    def on_resize(self, event: events.Resize) -> None:
        self._painted.clear()
        self.virtual_size = Size(event.size.width, len(self._keys))

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._painted.clear()

    def render_lines(self, crop: Region) -> list[Strip]:
        """The lines in sight as they were painted before: a list without border or padding needs nothing put round
        them, and the same strip again keeps the bytes it was sent as, so that scrolling paints only what is new."""
        strips = [self.render_line(y).crop_extend(crop.x, crop.right, None) for y in crop.line_range]
        ground = self.background_colors[1]
        for each in self.get_line_filters():
            strips = [strip.apply_filter(each, ground) for strip in strips]
        return strips

    def render_line(self, y: int) -> Strip:
        index = self.scroll_offset.y + y
        width = self.size.width
        if index >= len(self._keys):
            return self.strip_of((), width)
        marked = index == self.mark and self._keys[index] is not None
        strip = self._painted.get((index, marked))
        if strip is None:
            spans = self._draw(index)
            strip = self.strip_of(((" ▸ " if marked else "   ", "accent"), *spans), width, marked)
            if len(self._painted) > 400:
                self._painted.clear()
            self._painted[index, marked] = strip
        return strip
