"""A half-filled form, kept beside the logbook until it is saved: no backup, no undo, no export."""

from contextlib import suppress
from pathlib import Path
from typing import Any

from pitbench import disk
from pitbench.store import refusals
from pitbench.store.json_text import PydanticSerializationError, from_json, to_json


class Drafts:
    """The one draft of a logbook at `path`; without a path it is kept in memory."""

    def __init__(self, path: Path | None) -> None:
        self._path = path.with_name(path.name + ".draft") if path else None
        self._kept: dict[str, Any] | None = None

    def save(self, draft: dict[str, Any]) -> None:
        """Keep plain values; raises NotSaved."""
        try:
            raw = to_json(draft)
            if self._path is None:
                self._kept = from_json(raw)
            else:
                disk.write_whole(self._path, raw)
        except PydanticSerializationError:
            raise refusals.NotSaved("The draft holds something that is no text; type it again.") from None
        except OSError as error:
            assert self._path is not None
            raise refusals.not_saved(self._path, error, replaced=False) from None

    def read(self) -> dict[str, Any] | None:
        """The draft, if there is one that can be read."""
        if self._path is None:
            return self._kept
        with suppress(OSError, ValueError):
            draft = from_json(disk.read_whole(self._path)[0])
            return draft if isinstance(draft, dict) else None
        return None

    def drop(self) -> None:
        """Forget it; a second call does nothing."""
        self._kept = None
        if self._path is not None:
            with suppress(OSError):
                self._path.unlink(missing_ok=True)
