"""TinyDB on a storage of our own: the whole tree in memory, one save at a time, all of it or nothing.

TinyDB's own storages write in place, so they are not used, and its tables copy what they read, so rows are read from
`tree`. A tree is never changed once it stands there: a save works on a draft of it and puts a new one in its place.
That is why a snapshot may be read in another thread meanwhile.
"""

from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import Any

from tinydb import TinyDB
from tinydb.storages import Storage
from tinydb.table import Table

from pitbench import disk
from pitbench.records.kinds import Row
from pitbench.records.refusal import Refusal
from pitbench.store import contents, refusals, seal
from pitbench.store.backups import Backups
from pitbench.store.migrations import Tree
from pitbench.store.opening import Loaded


class MemoryStorage(Storage):
    """Keeps the tree in memory alone; the base of the one that keeps it in a file."""

    def __init__(self) -> None:
        self.contents = contents.Contents(contents.new_tree())
        self.tree: Tree = self.contents.tree
        self._draft: Tree | None = None

    def read(self) -> Tree:
        """What TinyDB sees: within a save its draft, a new dict of the same tables."""
        return self.tree if self._draft is None else self._draft

    def write(self, data: Tree) -> None:
        """Called by TinyDB after each table; kept back until the save ends."""
        if self._draft is None:
            raise RuntimeError("tables are written within a save only")
        self._draft = data

    @contextmanager
    def one_save(self) -> Iterator[None]:
        """All tables written inside go to the disk together when the block ends, or not at all."""
        self._draft = dict(self.tree)
        try:
            yield
            draft, self._draft = self._draft, None
            self._commit(draft)
        finally:
            self._draft = None

    def _commit(self, tree: Tree) -> None:
        self.tree = tree


class FileStorage(MemoryStorage):
    """Keeps the tree in a file. `stamp` is that of the file the tree was read from or written to."""

    def __init__(self, path: Path, load: Callable[[], Loaded], clock: Callable[[], datetime]) -> None:
        super().__init__()
        self.path = path
        self._load, self._clock = load, clock
        self._backups = Backups(path)
        self._stamp: disk.Stamp | None = None
        self._refused: disk.Stamp | None = None
        self.reload()

    def reload(self) -> None:
        """Start afresh from the file; on a refusal the tree stays as it was."""
        self.contents, self._stamp = self._load()
        self.tree = self.contents.tree

    def follow(self) -> bool:
        """Read again when another process replaced the file. A bad one is refused once; one gone may come back."""
        try:
            now = disk.stamp(self.path)
        except OSError:
            return False
        if now in {None, self._stamp, self._refused}:
            return False
        self._refused = now
        self.reload()
        return True

    def _commit(self, tree: Tree) -> None:
        """Raises NotSaved or another Refusal; the tree is then what the file says."""
        try:
            self._must_be_as_known()
            disk.write_whole(self.path, *seal.sealed(tree), before_replacing=self._keep_old)
            self._stamp = disk.stamp(self.path)
        except OSError as error:
            raise refusals.not_saved(self.path, error, replaced=self._start_afresh()) from error
        except BaseException:
            self._start_afresh()
            raise
        self.tree, self.contents = tree, contents.Contents({})
        self._backups.thin(self._clock())
        _give_memory_back()

    def _keep_old(self) -> None:
        """Writing took a while, so the file is looked at once more: whatever stands there now was read or is kept."""
        self._backups.keep(unsealed=self.contents.seal != "good")
        self._must_be_as_known()

    def _must_be_as_known(self) -> None:
        if disk.stamp(self.path) not in {None, self._stamp}:
            raise refusals.NotSaved(
                f"{self.path} was not saved, another program changed it meanwhile; "
                "look at it as it is now and enter the last change again."
            )

    def _start_afresh(self) -> bool:
        """After a failed save: read the file again if it is another one than before. True when it is."""
        self._backups.take_back()
        with suppress(OSError):
            now = disk.stamp(self.path)
            if now in {None, self._stamp}:
                return False  # also when it was deleted: what is in memory is all there is
        try:
            self.reload()
        except Refusal as refusal:
            refusal.can_rescue = True
            raise
        return True


class RecordTable(Table):
    """A table keyed by the records' own ids."""

    document_id_class = str  # type: ignore[assignment]


class Tables(TinyDB):
    """TinyDB with our tables on our storage."""

    table_class = RecordTable
    default_table_name = contents.CHANGES

    def put(self, kind: str, rows: Iterable[Row], drop: Collection[str] = ()) -> None:
        """Add or replace rows by their ids and drop others; the rows that stood there are left as they are."""

        def renew(table: dict[Any, Any]) -> None:
            for key in drop:
                table.pop(key, None)
            table.update({row["id"]: row for row in rows})

        self.table(kind)._update_table(renew)


def _give_memory_back() -> None:
    """A save takes the size of the file twice for a moment, and glibc holds on to what is free: less than a millisecond
    hands it back to the system. Nothing happens where that cannot be asked."""
    with suppress(ImportError, OSError, AttributeError, TypeError):
        import ctypes

        ctypes.CDLL(None).malloc_trim(0)
