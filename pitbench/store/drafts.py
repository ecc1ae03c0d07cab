"""Half-filled forms, kept beside the logbook until they are saved: no backup, no undo, no export.

Whoever types never waits for the disk: a thread writes, without a sync, and only the newest.
"""

from contextlib import suppress
from pathlib import Path
from threading import Condition, Thread
from typing import Any

from pitbench import disk
from pitbench.store import refusals
from pitbench.store.json_text import PydanticSerializationError, from_json, to_json

AT_MOST_EVERY_S = 0.2
"""So much of what was typed a process may lose that is killed."""
CLOSES_WITHIN_S = 5.0


class Drafts:
    """The drafts of a logbook at `path`, plain values; without a path they are kept in memory alone."""

    def __init__(self, path: Path | None) -> None:
        self._writer = _Writer(path.with_name(path.name + ".draft")) if path else None
        self._kept: dict[str, Any] | None = None
        self._known = path is None

    def save(self, draft: dict[str, Any]) -> None:
        """Keep plain values; raises NotSaved, also for what the thread could not write since it was asked last."""
        try:
            raw = to_json(draft)
        except PydanticSerializationError:
            raise refusals.NotSaved("The draft holds something that is no text; type it again.") from None
        self._kept, self._known = from_json(raw), True
        if self._writer is not None:
            self._writer.put(raw)

    def read(self) -> dict[str, Any] | None:
        """What is kept, if there is something that can be read."""
        if not self._known and self._writer is not None:
            self._kept, self._known = self._writer.read(), True
        return self._kept

    def drop(self) -> None:
        """Forget them; a second call does nothing."""
        self._kept, self._known = None, True
        if self._writer is not None:
            self._writer.put(None)

    def close(self) -> None:
        """Wait until the file is as it was asked for last; a disk that hangs is not waited for without end."""
        if self._writer is not None:
            self._writer.close()


class _Writer:
    """Puts the newest bytes in the place of a file, None for no file; a thread of its own, once there is something."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._newest: bytes | None = None
        self._asked, self._done = 0, 0
        self._closed = False
        self._failed: OSError | None = None
        self._changed = Condition()
        self._thread: Thread | None = None

    def read(self) -> dict[str, Any] | None:
        with suppress(OSError, ValueError):
            found = from_json(disk.read_whole(self._path)[0])
            return found if isinstance(found, dict) else None
        return None

    def put(self, raw: bytes | None) -> None:
        """Raises NotSaved for a write that failed before; it is tried again with these bytes all the same."""
        with self._changed:
            self._newest, self._asked = raw, self._asked + 1
            self._changed.notify_all()
            failed, self._failed = self._failed, None
        if self._thread is None:
            self._thread = Thread(target=self._write_on, name="drafts", daemon=True)
            self._thread.start()
        if failed is not None:
            raise refusals.not_saved(self._path, failed, replaced=False) from None

    def close(self) -> None:
        with self._changed:
            self._closed = True
            self._changed.notify_all()
            self._changed.wait_for(lambda: self._done == self._asked, CLOSES_WITHIN_S)

    def _write_on(self) -> None:
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._closed or self._done != self._asked)
                if self._done == self._asked:
                    return
                raw, number = self._newest, self._asked
            failed = self._write(raw)
            with self._changed:
                self._done, self._failed = number, failed
                self._changed.notify_all()
                self._changed.wait_for(lambda: self._closed, AT_MOST_EVERY_S)

    def _write(self, raw: bytes | None) -> OSError | None:
        try:
            if raw is None:
                self._path.unlink(missing_ok=True)
            else:
                disk.write_whole(self._path, raw, sync=False)
        except OSError as error:
            return error
        return None
