"""All cautions at length, as docs/cautions.md has them: opened by name from everywhere."""

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.screen import Screen

from pitbench.app.actions import bindings
from pitbench.app.widgets.bars import FooterLine, HeaderLine
from pitbench.app.widgets.paint import Line, Lines, line, wrapped
from pitbench.records.keys import key_for
from pitbench.words.cautions import all_cautions

MOST_WIDTH = 100


class CautionsScreen(Screen[None]):
    """Heads and paragraphs, folded to the width; arrows and Page scroll."""

    BINDINGS = bindings(("go-back",))

    def compose(self) -> ComposeResult:
        yield HeaderLine()
        with VerticalScroll():
            yield Lines(id="cautions")
        yield FooterLine()

    def on_mount(self) -> None:
        self.query_one(FooterLine).show_actions(("go-back", "open-palette", "quit-app"))
        self.query_one(VerticalScroll).focus()
        self._show()

    def on_resize(self) -> None:
        self._show()

    def _show(self) -> None:
        self.query_one(HeaderLine).show_title("Cautions", f"{key_for('go-back')} back")
        width = min(MOST_WIDTH, self.size.width - 4)
        rows: list[Line] = []
        for block in blocks(all_cautions()):
            rows += _folded(block, width)
        self.query_one("#cautions", Lines).show(rows)

    def action_go_back(self) -> None:
        self.dismiss(None)


def blocks(text: str) -> list[str]:
    """Heads, paragraphs and items of a page, each as one line.

    >>> blocks("# A\\n\\none\\ntwo\\n\\n- x\\n  y\\n- z")
    ['# A', 'one two', '- x y', '- z']
    """
    found: list[str] = []
    goes_on = False
    for row in text.splitlines():
        said = row.strip()
        begins = said.startswith(("#", "- ")) or not goes_on
        if said and begins:
            found.append(said)
        elif said:
            found[-1] += f" {said}"
        goes_on = bool(said) and not said.startswith("#")
    return found


def _folded(block: str, width: int) -> list[Line]:
    if block.startswith("#"):
        return [(), line((f" {block.lstrip('# ')}", "strong")), ()]
    lead = "· " if block.startswith("- ") else ""
    first, *others = wrapped(block.removeprefix("- "), width - 2)
    return [line(f" {lead}{first}"), *(line(f" {' ' * len(lead)}{row}") for row in others)]
