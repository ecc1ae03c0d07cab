"""Errors of our own: a sentence for the person, the details in a file. Nobody else writes a traceback anywhere."""

import os
import sys
from pathlib import Path

from pitbench import __version__


def written_down(error: Exception) -> str:
    """The sentence for an error of our own, its details written where they can be looked up."""
    import traceback

    import platformdirs

    place = Path(platformdirs.user_state_dir("pitbench", appauthor=False)) / "errors.log"
    what = f"pitbench met an internal error ({type(error).__name__}); what was saved before stands"
    try:
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with os.fdopen(os.open(place, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600), "a", encoding="utf-8") as log:
            log.write(f"pitbench {__version__}, {' '.join(sys.argv)}\n{''.join(traceback.format_exception(error))}\n")
    except OSError:
        return f"{what}, and no details could be written to {place}."
    return f"{what}, the details are in {place}."
