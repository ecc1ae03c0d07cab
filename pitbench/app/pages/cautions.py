"""All cautions at length, as docs/cautions.md has them: opened by name from everywhere."""

from pitbench.app.pages.scrolled import ScrolledPage
from pitbench.app.widgets.paint import Line, line, wrapped
from pitbench.words.cautions import all_cautions

MOST_WIDTH = 100


class CautionsScreen(ScrolledPage):
    """Heads and paragraphs, folded to the width."""

    TITLE_WORDS = "Cautions"

    def rows(self) -> list[Line]:
        width = min(MOST_WIDTH, self.size.width - 4)
        return [row for block in blocks(all_cautions()) for row in _folded(block, width)]


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
