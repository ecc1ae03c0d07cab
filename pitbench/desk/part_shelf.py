"""The parts of a logbook by kind and name: matched without case, unique within a kind, made on need, never twice."""

from typing import TYPE_CHECKING

from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import name_key

if TYPE_CHECKING:
    from pitbench.records.frame import Record


class PartShelf:
    """What is made or renamed is put into `to_save` as well."""

    def __init__(self, source: Source, to_save: "dict[str, Record]") -> None:
        self._to_save = to_save
        self._parts = {row["id"]: row for binned in (True, False) for row in source.rows("part", binned=binned)}
        self._ids = {(row["kind"], name_key(row["name"])): row["id"] for row in self._parts.values()}

    def copy(self, to_save: "dict[str, Record]") -> "PartShelf":
        """A shelf that can go its own way."""
        twin = object.__new__(PartShelf)
        twin._to_save, twin._parts, twin._ids = to_save, dict(self._parts), dict(self._ids)
        return twin

    def name(self, part_id: str | None) -> str | None:
        """What a part is called, if there is such a part: an editor may have taken it out of the file."""
        part = self._parts.get(part_id or "")
        return str(part["name"]) if part else None

    def known(self, kind: str, name: str) -> bool:
        """Whether there is a part of this name, also in the bin."""
        return (kind, name_key(name)) in self._ids

    def part(self, kind: str, name: str) -> str:
        """Id of the part of this name, made on need."""
        found = self._ids.get((kind, name_key(name)))
        if found is None or "binned_at" in self._parts[found]:
            found = self._put({"id": found, "kind": kind, "name": name})
        return found

    def rename(self, part_id: str, name: str) -> None:
        """Call a part otherwise; the name must be free."""
        self._put({**self._parts[part_id], "name": name})

    def _put(self, row: Row) -> str:
        part = model_of("part").of({key: value for key, value in row.items() if value is not None})
        if (old := self._parts.get(part.id)) is not None:
            del self._ids[old["kind"], name_key(old["name"])]
        new = self._parts[part.id] = part.row()
        self._ids[new["kind"], name_key(new["name"])] = part.id
        self._to_save[part.id] = part
        return part.id
