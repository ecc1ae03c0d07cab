"""The four looks: dark, light, sunlight and 16 colours. Colour only repeats what a character already says.

Contrast of each text colour was computed on each ground it can stand on (WCAG 2): at least 4.5, in sunlight 7.
"""

from textual.theme import Theme

THEME_NAMES = ("dark", "light", "sunlight", "16 colours")


NAMES = ("bars", "field", "marked", "text", "quiet", "accent", "good", "warn", "bad", "shown")
"""Of our own variables: three grounds, six inks, and the ink of what is shown on a ground of accent."""


def _own(*colours: str) -> dict[str, str]:
    return {f"pit-{name}": colour for name, colour in zip(NAMES, colours, strict=True)}


def _theme(name: str, dark: bool, grounds: tuple[str, str, str, str], inks: tuple[str, ...], shown: str) -> Theme:
    page, bars, field, marked = grounds
    text, _, accent, good, warn, bad = inks
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
            "input-cursor-background": accent,
            "input-cursor-foreground": page,
            "block-cursor-background": marked,
            "block-cursor-foreground": text,
        },
    )


DARK = _theme(
    "dark",
    True,
    ("#14181c", "#1c2228", "#262e36", "#2b3741"),
    ("#dde3e6", "#9aa7ae", "#7cc4d8", "#93cf9b", "#edc16a", "#f2a08e"),
    "#0d1518",
)
LIGHT = _theme(
    "light",
    False,
    ("#f6f4ee", "#ebe8df", "#fffdf8", "#d9e4e4"),
    ("#22282b", "#565f63", "#0f5e73", "#22643a", "#7a4a00", "#9a2a1b"),
    "#ffffff",
)
SUNLIGHT = _theme(
    "sunlight",
    False,
    ("#ffffff", "#e9ecee", "#ffffff", "#cfe0ea"),
    ("#000000", "#2f3539", "#003a5c", "#00401a", "#5a2f00", "#7a0012"),
    "#ffffff",
)


def sixteen_colours() -> Theme:
    """Ground and text are the terminal's own; built on textual's ansi theme, which carries all it needs."""
    from textual.theme import BUILTIN_THEMES

    base = BUILTIN_THEMES["ansi-dark"]
    colours = ("cyan", "green", "yellow", "red", "black")
    own = _own(*["ansi_default"] * 5, *(f"ansi_{colour}" for colour in colours))
    return Theme(
        name="16 colours",
        ansi=True,
        dark=True,
        primary="ansi_cyan",
        secondary="ansi_cyan",
        accent="ansi_cyan",
        warning="ansi_yellow",
        error="ansi_red",
        success="ansi_green",
        foreground="ansi_default",
        background="ansi_default",
        surface="ansi_default",
        panel="ansi_default",
        boost="ansi_default",
        variables={**base.variables, **own},
    )


def variable_defaults() -> dict[str, str]:
    """Defaults of our own variables, for the moment before a theme is set."""
    return {name: value for name, value in DARK.variables.items() if name.startswith("pit-")}
