"""Every colour that text has on every ground it can stand on: as it is, and as a terminal of 256 colours takes it.

The judge is WCAG 2.2 (relative luminance; 1.4.3 asks 4.5, 1.4.6 asks 7 for enhanced contrast).
"""

import pytest
from rich.color import Color, ColorSystem

from pitbench.app.themes import DARK, LIGHT, SUNLIGHT, sixteen_colours
from tests.room.seen import contrast

INKS, GROUNDS = ("text", "quiet", "accent", "good", "warn", "bad"), ("bars", "field", "marked")
LOOKS = [(DARK, 4.5), (LIGHT, 4.5), (SUNLIGHT, 7.0)]
OWN_PAIRS = {
    "selected text": ("input-selection-foreground", "input-selection-background"),
    "text selected with the mouse": ("screen-selection-foreground", "screen-selection-background"),
    "the cursor": ("input-cursor-foreground", "input-cursor-background"),
    "the marked command": ("block-cursor-foreground", "block-cursor-background"),
    "the same while one types": ("block-cursor-blurred-foreground", "block-cursor-blurred-background"),
    "the screen shown, in the header": ("pit-shown", "pit-accent"),
    "the scroll bar": ("scrollbar", "scrollbar-background"),
}


def as_it_is(colour):
    return tuple(Color.parse(colour).get_truecolor())


def of_256(colour):
    return tuple(Color.parse(colour).downgrade(ColorSystem.EIGHT_BIT).get_truecolor())


@pytest.mark.parametrize(
    ("ink", "ground", "ratio"),
    [((0, 0, 0), (255, 255, 255), 21.0), ((0x76, 0x76, 0x76), (255, 255, 255), 4.54)],
)
def test_the_formula_gives_published_ratios(ink, ground, ratio):
    """Black on white is 21 to 1 by the definition; #767676 is the lightest grey that passes 4.5 on white (recalled)."""
    assert contrast(ink, ground) == pytest.approx(ratio, abs=0.005)
    assert contrast((0x77, 0x77, 0x77), (255, 255, 255)) < 4.5


@pytest.mark.parametrize("taken", [as_it_is, of_256])
@pytest.mark.parametrize(("theme", "least"), LOOKS, ids=lambda each: getattr(each, "name", ""))
def test_every_ink_is_readable_on_every_ground(theme, least, taken):
    inks = [theme.variables[f"pit-{name}"] for name in INKS]
    grounds = [theme.background, *(theme.variables[f"pit-{name}"] for name in GROUNDS)]
    assert min(contrast(taken(ink), taken(ground)) for ink in inks for ground in grounds) >= least


@pytest.mark.parametrize("taken", [as_it_is, of_256])
@pytest.mark.parametrize(("theme", "least"), LOOKS, ids=lambda each: getattr(each, "name", ""))
@pytest.mark.parametrize("pair", OWN_PAIRS)
def test_what_is_drawn_on_a_ground_of_its_own_is_readable(theme, least, pair, taken):
    ink, ground = (theme.variables[name] for name in OWN_PAIRS[pair])
    assert contrast(taken(ink), taken(ground)) >= least


def test_sixteen_colours_name_none_that_a_white_or_a_black_ground_may_swallow():
    theme = sixteen_colours()
    ours = {name: colour for name, colour in theme.variables.items() if name.startswith("pit-")}
    named = [theme.primary, theme.accent, theme.success, theme.warning, theme.error, theme.foreground, theme.background]
    assert len(ours) > 8 and {*ours.values(), *named} == {"ansi_default"}
