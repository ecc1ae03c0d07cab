"""The bar beside a list is painted only when its thumb moves, and then always."""

import pytest
from textual.app import App, ComposeResult

from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import line

INKS = ("text", "quiet", "accent", "good", "warn", "bad", "shown", "marked")


class OneList(App[None]):
    def compose(self) -> ComposeResult:
        yield LineList()

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return {f"pit-{ink}": "#808080" for ink in INKS}


def bar(app):
    """What stands in the last column of the screen, row by row."""
    return [list(strip.crop(strip.cell_length - 1)) for strip in app.screen._compositor.render_strips()]


@pytest.mark.parametrize("count", [21, 23, 60, 400, 9000])
async def test_the_bar_stands_where_it_would_when_painted_anew(count):
    app = OneList()
    async with app.run_test(size=(40, 20)) as pilot:
        listed = app.query_one(LineList)
        listed.show([str(nth) for nth in range(count)], lambda index: line(f"line {index}"))
        await pilot.pause()
        seen = set()
        for key in [*["pagedown"] * 3, *["down"] * 25, "end", *["pageup"] * 2, *["up"] * 25, "home"]:
            await pilot.press(key)
            painted = bar(app)
            listed.vertical_scrollbar.refresh()
            await pilot.pause()
            assert painted == bar(app)
            seen.add(str(painted))
        assert len(seen) > 1
