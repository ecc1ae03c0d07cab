"""The palette: every command by name, found as it is typed; a line each, with a mark of our own before the input."""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, NamedTuple, cast

from textual.command import CommandPalette, DiscoveryHit, Hit, Hits, Provider, SearchIcon
from textual.content import Content

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp

MARK = "/"
"""As where lists are narrowed."""
NAME_WIDTH = 25


class Command(NamedTuple):
    """`name` with its keys, what it does in `words`, and what to call."""

    name: str
    words: str
    call: Callable[[], Any]

    @property
    def row(self) -> Content:
        return Content.assemble(f"{self.name:<{NAME_WIDTH}} ", (self.words, "$pit-quiet"))

    def score(self, typed: str) -> float:
        """How well it is meant, 0 for not at all: its name begins so, a word of it does, or what it does says so."""
        name, words = self.name.casefold(), f" {self.name} {self.words}".casefold()
        if name.startswith(typed):
            return 1.0
        if f" {typed}" in f" {name}":
            return 0.8
        if f" {typed}" in words:
            return 0.6
        return 0.4 if all(each in words for each in typed.split()) else 0.0


class Commands(Provider):
    """What can be done on the screen under the palette, in the order of the actions."""

    async def discover(self) -> Hits:
        for each in self._all():
            yield DiscoveryHit(each.row, each.call, each.name)

    async def search(self, query: str) -> Hits:
        typed = " ".join(query.casefold().split())
        found = [(each.score(typed) - nth / 1000, each) for nth, each in enumerate(self._all()) if each.score(typed)]
        for score, each in found or [(1.0, Command("nothing is called so", "Enter lists all keys", self._list_keys))]:
            yield Hit(score, each.row, each.call, each.name)

    def _list_keys(self) -> None:
        cast("PitbenchApp", self.app).action_show_keys()

    def _all(self) -> Iterator[Command]:
        return (Command(*each[:3]) for each in self.app.get_system_commands(self.screen))


class Palette(CommandPalette):
    """Textual's palette but for that mark, which every terminal can show."""

    DEFAULT_CSS = """
    Palette SearchIcon { color: $pit-accent; }
    """

    def __init__(self) -> None:
        super().__init__(placeholder="What to do: card, swap, print …", id="--command-palette")

    def on_mount(self) -> None:
        self.query_one(SearchIcon).icon = MARK
