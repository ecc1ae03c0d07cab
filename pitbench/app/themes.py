"""The four looks: dark, light, sunlight and 16 colours. Colour only repeats what a character already says.

Contrast of each text colour is at least 4.5 on each ground it can stand on (WCAG 2), in sunlight 7, also where a
terminal has 256 colours and takes the nearest. What it makes of its 16 colours nobody knows: that look has its own ink
and ground alone, bold, underlined or reversed.
"""

from textual.theme import Theme

THEME_NAMES = ("dark", "light", "sunlight", "16 colours")


NAMES = ("bars", "field", "marked", "text", "quiet", "accent", "good", "warn", "bad", "shown")
"""Of our own variables: three grounds, six inks, and the ink of what is shown on a ground of accent."""


def _own(*colours: str) -> dict[str, str]:
    return {f"pit-{name}": colour for name, colour in zip(NAMES, colours, strict=True)}


def _theme(name: str, dark: bool, grounds: tuple[str, str, str, str], inks: tuple[str, ...], shown: str) -> Theme:
    page, bars, field, marked = grounds
    text, quiet, accent, good, warn, bad = inks
    return Theme(
        name=name,
        dark=dark,
        primary=accent,
        secondary=accent,
        accent=accent,
        foreground=text,
        background=page,
        surface=page,
        panel=bars,
        success=good,
        warning=warn,
        error=bad,
        text_alpha=1.0,
        variables={
            **_own(bars, field, marked, *inks, shown),
            "input-cursor-background": text,
            "input-cursor-foreground": page,
            "input-selection-background": accent,
            "input-selection-foreground": shown,
            "screen-selection-background": accent,
            "screen-selection-foreground": shown,
            "block-cursor-background": marked,
            "block-cursor-foreground": text,
            "block-cursor-blurred-background": marked,
            "block-cursor-blurred-foreground": text,
            "scrollbar": quiet,
            "scrollbar-hover": quiet,
            "scrollbar-active": accent,
            "scrollbar-background": bars,
        },
    )


DARK = _theme(
    "dark",
    True,
    ("#14181c", "#1f2326", "#292e32", "#30363a"),
    ("#dde3e6", "#9aa7ae", "#7cc4d8", "#93cf9b", "#edc16a", "#f2a08e"),
    "#0d1518",
)
LIGHT = _theme(
    "light",
    False,
    ("#f6f4ee", "#eae8e3", "#fffdf8", "#dce3e3"),
    ("#22282b", "#565f63", "#0f5e73", "#22643a", "#6e4200", "#9a2a1b"),
    "#ffffff",
)
SUNLIGHT = _theme(
    "sunlight",
    False,
    ("#ffffff", "#e9ecee", "#ffffff", "#dde3e6"),
    ("#000000", "#2f3539", "#002a5c", "#002e12", "#5a2f00", "#7a0012"),
    "#ffffff",
)


def sixteen_colours() -> Theme:
    """Ground and ink are the terminal's own; built on textual's ansi theme, which carries all it needs."""
    from textual.theme import BUILTIN_THEMES

    base, own = BUILTIN_THEMES["ansi-dark"], "ansi_default"
    return Theme(
        name="16 colours",
        ansi=True,
        dark=True,
        primary=own,
        secondary=own,
        accent=own,
        warning=own,
        error=own,
        success=own,
        foreground=own,
        background=own,
        surface=own,
        panel=own,
        boost=own,
        variables={**base.variables, **_own(*[own] * len(NAMES))},
    )


def variable_defaults() -> dict[str, str]:
    """Defaults of our own variables, for the moment before a theme is set."""
    return {name: value for name, value in DARK.variables.items() if name.startswith("pit-")}
