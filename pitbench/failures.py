"""Errors of our own: a sentence for the person, the details in a file. Nobody else writes a traceback anywhere."""

import os
import sys
from pathlib import Path

from pitbench import __version__
from pitbench.records.harmless import HarmlessStream


def written_down(error: Exception) -> str:
    """The sentence for an error of our own, its details written where they can be looked up. Never raises."""
    what = f"pitbench met an internal error ({type(error).__name__}); what was saved before stands"
    place: Path | None = None
    try:
        place = _place()
        _write(place, error)
    except Exception:  # whatever it is: the sentence matters more than the details
        where = f" to {place}" if place else ""
        return f"{what}, and no details could be written{where}."
    return f"{what}, the details are in {place}."


def _place() -> Path:
    import platformdirs

    return Path(platformdirs.user_state_dir("pitbench", appauthor=False)) / "errors.log"


def _write(place: Path, error: Exception) -> None:
    """Words of the command line may hold anything: bytes that are no letters, and what would steer a terminal."""
    import traceback

    place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    descriptor = os.open(place, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    with os.fdopen(descriptor, "a", encoding="utf-8", errors="backslashreplace") as log:
        HarmlessStream(log).write(
            f"pitbench {__version__}, {' '.join(sys.argv)}\n{''.join(traceback.format_exception(error))}\n"
        )
