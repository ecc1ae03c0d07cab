"""What a file is before it is a logbook: read, judged, and refused in one sentence when it is none."""

import errno
import os
from pathlib import Path

from pitbench import disk
from pitbench.records.refusal import Refusal
from pitbench.store import backups, contents, refusals
from pitbench.store.contents import Contents

Loaded = tuple[Contents, disk.Stamp | None]


def resolved(path: Path) -> Path:
    """Where the file really stands: a symbolic link would be replaced by the first save."""
    try:
        whole = path.expanduser()
    except RuntimeError:
        raise refusals.BadPlace(
            f"{path} cannot be found, this computer has no home folder for {path.parts[0]}; name the whole path."
        ) from None
    try:
        return whole.resolve()
    except (OSError, RuntimeError) as error:
        why = error if isinstance(error, OSError) else OSError(errno.ELOOP, "its links run in a circle")
        raise refusals.cannot_open(path, why) from None
    except ValueError:
        raise refusals.BadPlace(f"{str(path)!r} is no name of a file; name another one.") from None


def must_have_room(path: Path) -> None:
    """A file to be written has backups beside it: raises BadPlace when its name is too long for theirs."""
    try:
        longest = os.pathconf(path.parent, "PC_NAME_MAX")
    except (AttributeError, OSError, ValueError):
        longest = _USUAL_LONGEST
    room = longest - len(backups.LONGEST_ENDING)
    if len(os.fsencode(path.name)) > room:
        raise refusals.BadPlace(
            f"{path} has too long a name for the lock and the backups beside it; "
            f"give it a shorter one, of {room} bytes at most, or name another one."
        )


_USUAL_LONGEST = 255


def load(path: Path, *, create: bool = False, accept_hand_edit: bool = False) -> Loaded:
    """The logbook at a path and the stamp of its file; raises a Refusal, and never changes anything."""
    try:
        raw, stamp = disk.read_whole(path)
    except OSError as error:
        refusal = unreadable(path, error)
        if create and isinstance(refusal, refusals.Missing):
            return Contents(contents.new_tree()), None
        raise refusal from None
    try:
        found = contents.read(raw)
    except contents.Flaw as flaw:
        raise refusal_of(path, flaw) from None
    if found.problems:
        more = f" (and {len(found.problems) - 1} more, `pitbench check` lists them)" if found.problems[1:] else ""
        raise refusals.Damaged(f"{path}: {found.problems[0]}{more}; {backups.way_back(path)}.")
    if found.seal != "good" and not accept_hand_edit:
        raise refusals.HandEdited(hand_edit(path))
    return found, stamp


def unreadable(path: Path, error: OSError) -> Refusal:
    """The refusal for a file that could not be read; one that is gone and left backups is no fresh start."""
    refusal = refusals.cannot_open(path, error)
    if isinstance(refusal, refusals.Missing) and backups.found(path):
        return refusals.Damaged(
            f"{path} is gone but its backups are there; {backups.way_back(path)}, or move them away to start afresh."
        )
    return refusal


def refusal_of(path: Path, flaw: contents.Flaw) -> Refusal:
    """The refusal for bytes that are no logbook."""
    if isinstance(flaw, contents.NotOurs):
        stood = f" If a logbook stood here, {backups.way_back(path)}." if backups.found(path) else ""
        return refusals.Foreign(f"{path} {flaw}; name another file, this one was left as it is.{stood}")
    if isinstance(flaw, contents.FromNewer):
        return refusals.Newer(f"{path} {flaw}; install the newer pitbench, this file was left as it is.")
    return refusals.Damaged(f"{path} {flaw}; {backups.way_back(path)}.")


def hand_edit(path: Path) -> str:
    """The sentence for a file that is valid but not as pitbench wrote it."""
    return (
        f"{path} was changed by something else than pitbench, though every record in it is valid; "
        f"if that was you, `pitbench check --accept {refusals.option(path)}` takes it as it is, "
        f"else {backups.way_back(path)}."
    )
