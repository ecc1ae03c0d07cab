"""What a list screen shows: words on top, a list as high as there is room for, what stands below it, a plot."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeVar

from pitbench.app.widgets.bars import FooterLine, MessageLine
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import INDENT, Line, Lines, Role, greyed, line, width_of, wrapped
from pitbench.app.widgets.plot_box import PlotBox

if TYPE_CHECKING:
    from pitbench.app.answers import Key
    from pitbench.app.lists.list_screen import ListScreen

Plot = TypeVar("Plot", bound=PlotBox)
STANDS_STILL = 8
"""Lines of a list from which on it has one to spare."""


class Pane:
    """Of one screen; only here its widgets are found by their names."""

    def __init__(self, screen: ListScreen) -> None:
        self._screen = screen
        self._words: list[Line] = []
        self._height = -1
        self.kept = 0
        """Lines kept free for a plot under the list."""

    # words

    def say(self, *sentences: str) -> None:
        """The answer in words, folded to the width of the screen."""
        self.say_lines(self.folded(*sentences))

    def folded(self, *sentences: str, role: Role = "text") -> list[Line]:
        """Lines of sentences as wide as the screen."""
        width = max(20, self._screen.size.width - 2)
        return [line((row, role)) for text in sentences for row in wrapped(text, width)]

    def indented(self, *sentences: str, role: Role = "quiet") -> list[Line]:
        """Lines of sentences under the list, whose lines begin at the same cell."""
        width = max(20, self._screen.size.width - INDENT - 1)
        return [line(" " * INDENT, (row, role)) for text in sentences for row in wrapped(text, width)]

    def say_close(self, first: str, *rest: str) -> None:
        """The same with few lines: the others flow into one another where each on its own would take more of them."""
        width = max(20, self._screen.size.width - 2)
        flowing = " ".join(rest)
        apart = sum(len(wrapped(text, width)) for text in rest)
        self.say(first, *(rest if apart <= len(wrapped(flowing, width)) else (flowing,)))

    def say_lines(self, words: list[Line]) -> None:
        """The same in lines of its own."""
        self._words = words
        self.say_age()

    def say_age(self) -> None:
        """What stands on top; grey while something shown is of records as they were before, which is said over it."""
        told = self._screen.asking.told_age() if self._words else ""
        width = self._screen.size.width - 2
        self._screen.query_one("#age", Lines).show([line((f" {told:>{width}}", "warn"))])
        if self._words:
            self._screen.query_one("#words", Lines).show(greyed(self._words) if told else self._words)

    def say_waiting(self, key: Key) -> None:
        """Nothing to show yet of what is asked, and nothing of what stood there stays."""
        failed = self._screen.pit.answers.failed(key)
        self.show()
        self.below()
        self.no_plot()
        self._screen.asking.nothing_shown = not failed
        words = f"No {key[0]} could be worked out." if failed else f"Working out the {key[0]} …"
        self._screen.query_one("#words", Lines).show([line(words)])
        self._words = []
        self.say_age()

    # the list and what stands round it

    @property
    def list(self) -> LineList:
        return self._screen.query_one(LineList)

    @property
    def key(self) -> str | None:
        """What the line stands for that the mark is on."""
        return self.list.key

    def show(
        self,
        keys: Sequence[str | None] = (),
        draw: Callable[[int], Line] = lambda index: (),
        heads: Sequence[Line] = (),
    ) -> None:
        """The lines of the list under their heads; see LineList.show."""
        self._screen.asking.nothing_shown = False
        self._screen.query_one("#columns", Lines).show(heads)
        self.list.show(keys, draw)
        self.fit()

    def below(self, lines: Sequence[Line] = ()) -> None:
        """What stands right under the list."""
        more = self._screen.query_one("#more", Lines)
        stood = len(more.lines)
        more.show(lines)
        if len(more.lines) != stood:
            self.fit()

    def footer(self, entries: tuple[str, ...]) -> None:
        self._screen.query_one(FooterLine).show_actions(entries)

    def plot(self, kind: type[Plot]) -> Plot:
        """The plot of this kind, put there when it is first shown."""
        if not self._screen.query(kind):
            self._screen.mount(kind(), after="#more")
        plot = self._screen.query_one(kind)
        plot.display = True
        return plot

    def no_plot(self) -> None:
        self._screen.query(PlotBox).set(display=False)

    def stand(self, table: bool = True, below: bool = True) -> None:
        """Whether the list under its heads, and what stands below it, are to be seen."""
        for name, seen in (("#columns", table), ("#list", table), ("#more", below)):
            self._screen.query_one(name).display = seen

    def fit(self) -> None:
        """The list is as high as its lines, but never takes the room of what stands below it.

        A message covers no text: the list gives way. A high one keeps a line free for it, so that it stands still when
        something is said.
        """
        screen, listed, message = self._screen, self.list, self._screen.query_one(MessageLine)
        others = [w for w in screen.query(Lines) if w.display and w.id in {"words", "columns"}]
        taken = sum(len(w.lines) + 1 for w in others if w.lines) + screen.FRAME_LINES + self.kept
        taken += 2 * sum(1 for w in screen.query("#filter-line") if w.display)
        said = len(message.lines) if message.display else 0
        height = self._height_with(taken, said)
        if STANDS_STILL <= height < listed.count and not said:
            height = self._height_with(taken, 1)
        if height != self._height:
            self._height = listed.styles.height = height  # setting it lays the whole screen out again

    def _height_with(self, taken: int, said: int) -> int:
        """Lines of the list beside so many taken and said; blank lines at the end of what stands below may go."""
        below = self._screen.query_one("#more", Lines).lines
        text = next((nth for nth in range(len(below), 0, -1) if width_of(below[nth - 1])), 1)
        room = self._screen.size.height - taken - 1 - max(len(below), text + said)
        return max(3, min(self.list.count, room))
