"""The logbook: the one door to what is stored. Records in, records and plain rows out, undo and redo.

One action is one save, and one change for undo, which is the journal's. Saves belong to one thread; snapshots may be
read in any. The file itself, its seal, lock and backups are the business of the neighbours of this module; other rooms
import only this one.
"""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from functools import partial
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from pitbench import disk
from pitbench.records.kinds import KINDS, Row, kind_of
from pitbench.store import opening, refusals
from pitbench.store.backups import Backup
from pitbench.store.care import Examined, examine, has_good_backup, list_backups, rescue, restore
from pitbench.store.changes import Change
from pitbench.store.drafts import Drafts
from pitbench.store.journal import Journal
from pitbench.store.lock import WriterLock
from pitbench.store.storage import FileStorage, MemoryStorage
from pitbench.store.view import SETTINGS_ID, Snapshot, Tree, View

if TYPE_CHECKING:
    from pitbench.records.frame import Record
    from pitbench.records.models import Settings

Clock = Callable[[], datetime]
Listener = Callable[[int, frozenset[str]], None]

__all__ = [
    "Backup",
    "Change",
    "Examined",
    "Logbook",
    "Snapshot",
    "examine",
    "has_good_backup",
    "list_backups",
    "rescue",
    "restore",
]


class Logbook(View):
    """One logbook, in a file or in memory. `on_saved(revision, kinds)` is called after every save; `journal` puts
    records into the bin, takes back what was done and does it again.

    unchecked: a seal vouches for the records, nobody looked at them yet; the first save does.
    """

    def __init__(
        self, storage: MemoryStorage, clock: Clock, lock: WriterLock | None, read_only_why: str | None
    ) -> None:
        self.path = storage.path if isinstance(storage, FileStorage) else None
        self.revision = 0
        self.read_only_why = read_only_why
        self.on_saved: Listener | None = None
        self._storage, self._lock = storage, lock
        self.journal = Journal(storage, clock, self._must_be_writable, self._told)
        self._drafts = Drafts(self.path)
        self._told(frozenset())

    # opening and closing

    @classmethod
    def in_memory(cls, clock: Clock = datetime.now) -> Self:
        """An empty logbook that is gone when it is closed."""
        return cls(MemoryStorage(), clock, None, None)

    @classmethod
    def open(
        cls,
        path: Path | str,
        *,
        write: bool = True,
        create: bool = False,
        accept_hand_edit: bool = False,
        clock: Clock = datetime.now,
    ) -> Self:
        """The logbook in a file, or a Refusal. `create`: a missing file is an empty logbook, made by the first save.

        With `write` the lock is held until `close`; without, nothing is locked or made, and saving is refused.
        """
        place = opening.resolved(Path(path))
        if write:
            opening.must_have_room(place)
        lock = WriterLock(place) if write else None
        try:
            load = partial(opening.load, place, create=create, accept_hand_edit=accept_hand_edit)
            storage = FileStorage(place, load, clock)
        except BaseException:
            if lock is not None:
                lock.release()
            raise
        if lock is not None:
            disk.clear_strays(place)
        return cls(storage, clock, lock, None if lock is not None else f"{place} was opened for reading only.")

    def close(self) -> None:
        """Give up the lock; saving is refused from here on."""
        self._drafts.close()
        if self._lock is not None:
            self._lock.release()
            self._lock = None
        self.read_only_why = self.read_only_why or "The logbook is closed; open it again to save."

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # reading

    def _tree(self) -> Tree:
        return self._storage.tree

    def snapshot(self) -> Snapshot:
        """The logbook as it stands, for a worker."""
        return Snapshot(self.revision, self._storage.tree)

    def verify(self) -> None:
        """Check the records of a file whose seal vouched for them; raises Damaged."""
        if self.unchecked:
            self.take_check(self.revision, self.flaw())

    def take_check(self, revision: int, flaw: str | None) -> None:
        """What a worker found who looked through the records of a revision, see `flaw`; raises Damaged."""
        if revision != self.revision:
            return
        if flaw is not None:
            raise refusals.Damaged(
                f"{self.path} holds a record this pitbench does not take: {flaw}; `pitbench check` lists them all."
            )
        self.unchecked = False

    def reread(self) -> bool:
        """For one opened for reading: read the file again if it was changed; True when it was. Raises a Refusal, once,
        when it was changed to something that is no logbook; what was read before then stays."""
        if not isinstance(self._storage, FileStorage) or self._lock is not None or not self._storage.follow():
            return False
        self._told(frozenset(KINDS))
        return True

    # saving

    def save(self, words: str, records: "Iterable[Record]", versions: Mapping[str, Row | None] | None = None) -> None:
        """Store records, new and known by id, as one action called `words`; what changes nothing is left out. A merge
        brings `versions` of its own, by record."""
        self.journal.act(words, [(kind_of(record), record.row()) for record in records], versions)

    def save_settings(self, words: str, settings: "Settings") -> None:
        """Store the team's settings."""
        self.save(words, [settings.with_(id=SETTINGS_ID)])

    def _must_be_writable(self) -> None:
        if self.read_only_why is not None:
            raise refusals.ReadOnly(f"Nothing was saved. {self.read_only_why}")
        self.verify()

    def _told(self, kinds: frozenset[str]) -> None:
        """What was just read or written: whether it is a hand edit, what is still to be checked, and who is told."""
        found = self._storage.contents
        self.hand_edited, self.unchecked = found.seal != "good", found.vouched
        self.revision += 1
        if self.on_saved is not None:
            self.on_saved(self.revision, kinds)

    # drafts

    def save_draft(self, draft: dict[str, Any]) -> None:
        """Keep half-filled forms beside the file; nobody waits for the disk."""
        if self.read_only_why is not None:
            raise refusals.ReadOnly(f"The draft was not kept. {self.read_only_why}")
        self._drafts.save(draft)

    def draft(self) -> dict[str, Any] | None:
        """The forms left half filled, if there are any."""
        return self._drafts.read()

    def drop_draft(self) -> None:
        """None is half filled any more."""
        if self.read_only_why is None:
            self._drafts.drop()
