"""The keys that sentences name: as they are by default, or as the person at the keyboard changed them.

Only the app knows of changed keys and says so when it starts; the command line names the defaults. `app/actions`
declares every action; a test holds the keys here to the keys there.
"""

from collections.abc import Mapping

DEFAULTS = {
    "go-rankings": "3",
    "add-bench-run": "b",
    "repeat-bench-run": "a",
    "add-setup-entry": "c",
    "add-track-run": "t",
    "add-reading": "r",
    "answer-number": "q",
    "read-load-log": "j",
    "edit-event": "E",
    "add-motor": "m",
    "add-gears": "plus",
    "open-record": "enter",
    "edit-record": "e",
    "delete-record": "d",
    "undo-change": "u",
    "redo-change": "U",
    "exclude-record": "x",
    "show-bin": "z",
    "put-beside": "equals_sign",
    "take-away": "minus",
    "explain-figure": "i",
    "next-part": "tab",
    "next-plot": "v",
    "take-outcome": "f4,ctrl+t",
    "toggle-here-only": "h",
    "ambient-up": "o",
    "ambient-down": "O",
    "save-record": "f2,ctrl+s",
    "take-suggestion": "f4,ctrl+t",
    "edit-conditions": "f6,ctrl+o",
    "mark-caution-read": "f7,ctrl+g",
    "edit-weights": "w",
    "leave-form": "escape",
    "go-back": "escape",
    "open-palette": "ctrl+p",
    "quit-app": "ctrl+q",
    "accept-edit": "y",
    "restore-backup": "r",
}
"""By action; the first of several is named."""

_SHOWN = {"enter": "Enter", "escape": "Esc", "slash": "/", "question_mark": "?", "up": "Up", "down": "Down"}
_SHOWN |= {"plus": "+", "equals_sign": "=", "minus": "-", "left": "Left", "right": "Right"}
_SHOWN |= {"pageup": "PgUp", "pagedown": "PgDn", "home": "Home", "end": "End", "shift+tab": "Shift+Tab", "tab": "Tab"}

_changed: dict[str, str] = {}


def change_keys(keymap: Mapping[str, str]) -> None:
    """From now on these keys are named for these actions, and the defaults for all others."""
    _changed.clear()
    _changed.update(keymap)


def key_for(action_id: str) -> str:
    """The key of an action as people read it.

    >>> key_for("add-motor"), key_for("save-record"), key_for("put-beside")
    ('m', 'F2', '=')
    """
    return key_name(_changed.get(action_id, DEFAULTS[action_id]).split(",")[0].strip())


def with_keys(text: str) -> str:
    """A text that stands once and for all, its actions in braces, with their keys of now.

    >>> with_keys("{save-record} saves at once.")
    'F2 saves at once.'
    """
    return text.format_map({name: key_for(name) for name in DEFAULTS})


def key_name(key: str) -> str:
    """A key as people read it.

    >>> [key_name(key) for key in ("ctrl+s", "f2", "U", "question_mark")]
    ['Ctrl+S', 'F2', 'U', '?']
    """
    if key in _SHOWN:
        return _SHOWN[key]
    if key.startswith("ctrl+"):
        return f"Ctrl+{key[5:].upper()}"
    return key.upper() if len(key) > 1 and key[0] == "f" and key[1:].isdigit() else key
