"""Keys and theme: they belong to the hands at this keyboard, not to the team, so they have a file of the user's own.

A damaged or foreign file counts as none; it is written anew when something is changed.
"""

from contextlib import suppress
from pathlib import Path
from typing import Any

import platformdirs

from pitbench import disk
from pitbench.store import refusals


def place() -> Path:
    """Where the file stands."""
    return Path(platformdirs.user_config_dir("pitbench", appauthor=False)) / "hands.json"


def read_hands() -> dict[str, Any]:
    """What is set, else nothing."""
    with suppress(OSError, ValueError):
        raw, _ = disk.read_whole(place())
        from pitbench.store.json_text import (
            from_json,  # the first frame does not wait for it where nothing was ever set
        )

        found = from_json(raw, allow_inf_nan=False)
        return found if isinstance(found, dict) else {}
    return {}


def write_hands(hands: dict[str, Any]) -> None:
    """Keep what is set; raises NotSaved."""
    from pitbench.store.json_text import to_json

    path = place()
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        disk.write_whole(path, to_json(hands, indent=2))
    except OSError as error:
        raise refusals.not_saved(path, error, replaced=False) from None
