"""One action, one save, one change: stores what an action did and can take it back.

The list of changes and the records go into the same save, so they never tell two stories. What a change looks like is
the business of `changes.py`; whether one may save at all that of the logbook.
"""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime

from pitbench.records.kinds import KINDS, Row
from pitbench.records.refusal import Refusal
from pitbench.records.stamps import stamp_of
from pitbench.store import changes, refusals, rows
from pitbench.store.changes import Change, Step
from pitbench.store.contents import CHANGES, VERSIONS
from pitbench.store.storage import MemoryStorage, Tables

_BINNED = {"binned_at", "binned_why"}


class Journal:
    """Writes to one storage. `allowed()` raises the Refusal that stands against it, before anything is done;
    `stored(kinds)` is called after whatever changed the tree."""

    def __init__(
        self,
        storage: MemoryStorage,
        clock: Callable[[], datetime],
        allowed: Callable[[], None],
        stored: Callable[[frozenset[str]], None],
    ) -> None:
        self._storage, self._clock, self._allowed, self._stored = storage, clock, allowed, stored
        self._tables = Tables(storage=lambda: storage)

    def now(self) -> str:
        """The time of an action, to the second."""
        return stamp_of(self._clock(), seconds=True)

    def act(self, words: str, new: Iterable[tuple[str, Row]], versions: Mapping[str, Row | None] | None = None) -> None:
        """Store rows (kind, row) as one action; nothing is saved when they change nothing. New versions alone are
        saved, and are nothing to take back."""
        self._allowed()
        at = self.now()
        step = self._step(new, at, versions)
        if step.rows or step.versions:
            self._save(step, [self._entry(step, at, words)] if step.rows else [])

    def bin(self, words: str, kind_ids: Iterable[tuple[str, str]]) -> None:
        """Put records, named by kind and id, into the bin; one thrown there before stays as it is."""
        mark = {"binned_at": self.now(), "binned_why": "deleted"}
        known = [(kind, self._known(kind, key)) for kind, key in kind_ids]
        self.act(words, [(kind, {**row, **mark}) for kind, row in known if row.get("binned_why") != "deleted"])

    def bring_back(self, words: str, kind_ids: Iterable[tuple[str, str]]) -> None:
        """Take records out of the bin."""
        back = [(kind, self._known(kind, key)) for kind, key in kind_ids]
        self.act(words, [(kind, {k: v for k, v in row.items() if k not in _BINNED}) for kind, row in back])

    def _known(self, kind: str, key: str) -> Row:
        row: Row | None = self._storage.tree.get(kind, {}).get(key)
        if row is None:
            raise Refusal(f"There is no {kind.replace('_', ' ')} {key!r} in the logbook.")
        return row

    def undo(self) -> str | None:
        """Take back the newest change that still stands; its words, or None when there is none."""
        self._allowed()
        change = changes.to_undo(self._changes())
        if change is None:
            return None
        at = self.now()
        step = self._step_back(change, at)
        self._save(step, [{**self._entry(step, at, change["words"]), "undoes": change["id"]}])
        return str(change["words"])

    def redo(self) -> str | None:
        """Do again the change taken back last, if nothing else was done since; its words, or None."""
        self._allowed()
        undone = changes.to_redo(self._changes())
        if undone is None:
            return None
        self._save(self._step_back(undone, self.now()), [], struck_out=frozenset({undone["id"]}))
        return str(undone["words"])

    def may_redo(self) -> bool:
        """Whether a change was taken back and nothing else was done since."""
        return changes.to_redo(self._changes()) is not None

    def seal_again(self) -> None:
        """Write the file as it is, with a seal that fits: how a hand edit is accepted for good."""
        self._allowed()
        self._save(Step(), [])

    def listed(self) -> list[Change]:
        """The last changes, newest first, undos left out."""
        return changes.listed(self._changes())

    def _changes(self) -> dict[str, Row]:
        return self._storage.tree.get(CHANGES, {})

    def _entry(self, step: Step, at: str, words: str) -> Row:
        """The step as it is kept. Its words may name a file, and a file may be called anything."""
        from pitbench.records.names import clean_text  # the first list does not wait for it

        return step.entry(changes.next_id(self._changes()), at, clean_text(words))

    def _step(self, new: Iterable[tuple[str, Row]], at: str, versions: Mapping[str, Row | None] | None = None) -> Step:
        try:
            return changes.step(self._storage.tree, new, at, versions)
        except ValueError as why:
            raise refusals.NotSaved(f"Nothing was saved, a value is nothing a logbook can hold ({why}).") from None

    def _step_back(self, change: Row, at: str) -> Step:
        new = changes.as_before(self._storage.tree, change, at)
        try:
            back = [(kind, rows.checked(kind, row).row()) for kind, row in new]
            return self._step(back, at, change.get("versions"))
        except ValueError as why:
            raise refusals.NotSaved(f"{change['words']!r} cannot be taken back any more: {why}.") from None

    def _save(self, step: Step, entries: list[Row], struck_out: frozenset[str] = frozenset()) -> None:
        """One durable save of the rows and of the list of changes; after a failed one the tree may be another too."""
        before = self._storage.tree
        try:
            with self._storage.one_save():
                for kind, new in step.rows.items():
                    self._tables.put(kind, new.values())
                if step.versions:
                    gone = {key for key, row in step.versions.items() if row is None}
                    self._tables.put(VERSIONS, filter(None, step.versions.values()), drop=gone)
                kept = {**self._changes(), **{entry["id"]: entry for entry in entries}}
                self._tables.put(CHANGES, entries, drop=struck_out | changes.too_old(kept))
        except BaseException:
            if self._storage.tree is not before:
                self._stored(frozenset(KINDS))
            raise
        self._stored(frozenset(step.rows))
