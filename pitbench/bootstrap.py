"""The one place that wires a logbook, the desk and a front end together. Light at import: all else on first use."""

from __future__ import annotations

import gc
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.store.logbook import Logbook


def default_path() -> Path:
    """The logbook in the user's data folder."""
    import platformdirs

    return Path(platformdirs.user_data_dir("pitbench", appauthor=False)) / "logbook.json"


def place_to_read(path: Path | None) -> Path:
    """The logbook meant; the default one is refused, naming `load`, as long as not even its folder was made."""
    place = path or default_path()
    if path is None and not place.parent.is_dir():
        from pitbench.store.refusals import Missing

        raise Missing(place)
    return place


def open_for_reading(path: Path | None) -> Logbook:
    """The logbook read-only: nothing is locked and nothing made; a missing file is refused."""
    return _opened(place_to_read(path), write=False)


def open_for_trial(path: Path | None) -> Logbook:
    """As for reading, but a missing one is an empty one: what writing to it would do can be tried, and is not done."""
    if path is None and not default_path().parent.is_dir():
        from pitbench.store.logbook import Logbook

        return Logbook.in_memory()
    return _opened(path or default_path(), write=False, create=True)


def open_other(path: Path) -> Logbook:
    """Another logbook, only read; one that is not there is not to be made."""
    from pitbench.store.refusals import Missing

    try:
        return _opened(path, write=False)
    except Missing:
        raise Refusal(f"{path} does not exist, the path of the other logbook would be right.") from None


def _opened(path: Path, write: bool = True, create: bool = False, accept_hand_edit: bool = False) -> Logbook:
    from pitbench.store.logbook import Logbook

    return Logbook.open(path, write=write, create=create, accept_hand_edit=accept_hand_edit)


def how_to_open(path: Path) -> str:
    """What to type for the app on this logbook."""
    from pitbench.store.refusals import option

    return f"pitbench {option(path)}"


def open_for_writing(path: Path | None, accept_hand_edit: bool = False) -> Logbook:
    """The logbook for one writer; a missing one is made by its first save."""
    return _opened(path or _made_default(), create=True, accept_hand_edit=accept_hand_edit)


def open_for_app(path: Path | None, accept_hand_edit: bool = False) -> Logbook:
    """As for writing; read-only, and saying why, when it is open elsewhere, cannot be locked or may not be written.

    Opening makes many objects that stay and no rubbish: the collector neither looks through them meanwhile nor later.
    """
    gc.disable()
    try:
        return _open_for_app(path, accept_hand_edit)
    finally:
        gc.freeze()
        gc.enable()


def _open_for_app(path: Path | None, accept_hand_edit: bool) -> Logbook:
    from pitbench.store.refusals import BadPlace, Missing, NotLocked, OpenElsewhere

    try:
        return open_for_writing(path, accept_hand_edit)
    except (OpenElsewhere, NotLocked, BadPlace) as refusal:
        elsewhere = isinstance(refusal, OpenElsewhere)  # then it may be a new one that has not saved yet
        try:
            logbook = _opened(path or default_path(), write=False, create=elsewhere, accept_hand_edit=accept_hand_edit)
        except (BadPlace, Missing):
            raise refusal from None
        held = "Read-only: open in another pitbench. Close that one, then start again."
        logbook.read_only_why = held if elsewhere else str(refusal)
        return logbook


def has_terminal() -> bool:
    """Whether somebody can see the screen and press keys."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))


def run_app(path: Path | None, demo: bool = False) -> int:
    """Open the app on a logbook, or a copy of the demo's; its exit status. Without a terminal it is refused: nobody
    could press a key."""
    if not has_terminal():
        raise Refusal("The app needs a terminal; `pitbench rank` prints the ranking without one.")
    gc.disable()  # until the logbook is open: starting up makes no rubbish worth a search before the first frame
    from pitbench.apart import Apart
    from pitbench.app.app import PitbenchApp
    from pitbench.failures import written_down
    from pitbench.store.hands import read_hands, write_hands

    app = PitbenchApp(
        open_logbook=partial(open_for_app, path),
        path=str(path or default_path()),
        hands=read_hands(),
        keep_hands=write_hands,
        written_down=written_down,
        work_apart=Apart(),
        demo=demo,
    )
    app.run()
    if app.failure is not None:
        raise whose_fault(path, app.failure)
    return app.return_code or 0


def whose_fault(path: Path | None, error: Exception) -> Exception:
    """What an error of our own is said to be: a record no model takes, if a seal let one pass; else the error itself.

    Looking at every record takes too long before the first list, so it is done when something went wrong.
    """
    from pitbench.store.refusals import Damaged

    try:
        _opened(path or default_path(), write=False, accept_hand_edit=True).verify()
    except Damaged as damaged:
        return damaged
    except Exception:
        return error
    return error


def _made_default() -> Path:
    """The default place with its folder, readable only by its user."""
    from pitbench.store.refusals import not_writable

    path = default_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError:
        raise not_writable(path) from None
    return path
