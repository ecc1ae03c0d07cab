"""Two logbooks of a team made one: the same record once, the newer edit wins, both are kept on doubt, all is reported.

The same record is one with the same id, or one that says the same of the same thing; see `_key`. One save, one undo.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from pitbench.desk.builds import parts_of
from pitbench.desk.checking import BELONGS
from pitbench.records.kinds import KINDS, model_of
from pitbench.records.names import name_key
from pitbench.records.spoken import listed
from pitbench.records.stamps import shown_stamp, time_key

if TYPE_CHECKING:
    from pitbench.store.logbook import Logbook, Snapshot

Row = dict[str, Any]
MERGED = tuple(kind for kind in KINDS if kind != "settings")
NAMED = ("class_sheet", "motor", "part", "event", "car", "gear")
"""There is one of each name: what two say of it is put together, not kept twice."""
USING = ("cooling", "bench_run", "track_run")
"""What stands on other records: without them it could not be seen."""
_FRAME = ("id", "edited_at")


@dataclass
class Merged:
    """What a merge did, counted by kind. added: only there; same: here already; taken, kept: the newer edit was theirs,
    ours; doubts: a sentence each."""

    added: Counter[str] = field(default_factory=Counter)
    same: Counter[str] = field(default_factory=Counter)
    taken: Counter[str] = field(default_factory=Counter)
    kept: Counter[str] = field(default_factory=Counter)
    doubts: list[str] = field(default_factory=list)


def merge(logbook: "Logbook", other: "Snapshot", words: str) -> Merged:
    """Take over what the other logbook has; one change called `words`, none where nothing is new."""
    merging = _Merging(logbook.snapshot(), other)
    records = [model_of(kind).of(row) for kind, row in merging.to_save.values()]
    if records:
        logbook.save(words, records)
    return merging.found


class _Merging:
    """One pass over the other logbook, kinds in an order in which what a record names comes before it."""

    def __init__(self, ours: "Snapshot", other: "Snapshot") -> None:
        self.found = Merged()
        self.to_save: dict[str, tuple[str, Row]] = {}
        self._ids: dict[str, str] = {}
        """Of the other logbook's records: which record of ours each became."""
        self._ours = {kind: {row["id"]: row for row in _every(ours, kind)} for kind in MERGED}
        self._known = {kind: {_key(kind, row): row["id"] for row in ours.rows(kind)} for kind in MERGED}
        self._names = {row["id"]: row["name"] for kind in ("motor", "event") for row in _every(other, kind)}
        for kind in MERGED:
            for row in sorted(_every(other, kind), key=lambda row: row["id"]):
                self._take(kind, row)
        for kind in USING:
            for row in list(self._ours[kind].values()):
                self._keep_what_it_uses(kind, row)
        self._tell_shared_parts(ours)
        if ours.row("settings", "settings") != other.row("settings", "settings"):
            self.found.doubts.append("The other logbook has other units, weights or limits set; yours were kept.")

    def _tell_shared_parts(self, ours: "Snapshot") -> None:
        """A part is in one motor at a time: where both fitted one of its name to different motors, that is said."""
        names = {row["id"]: row["name"] for row in self._ours["motor"].values()}
        before = {build["id"] for build in ours.rows("build")}
        for part in self._ours["part"].values():
            uses = [b for b in self._ours["build"].values() if b.get("fitted", True) and part["id"] in parts_of(b)]
            here = {b["motor_id"] for b in uses if b["id"] in before}
            there = {b["motor_id"] for b in uses if b["id"] not in before} - here
            if here and there:
                motors = listed(sorted(names[motor] for motor in here | there))
                what = f"{part['kind'].replace('_', ' ')} {part['name']}"
                self.found.doubts.append(f"{motors} are built with one {what} now; rename it where it is another one.")

    def _take(self, kind: str, theirs: Row) -> None:
        row = self._linked(kind, theirs)
        mine = self._ours[kind].get(theirs["id"])
        if row is None:
            self.found.doubts.append(f"{self._spoken(kind, theirs)} names a record nobody has; left out.")
        elif mine is not None:
            self._ids[theirs["id"]] = mine["id"]
            self._edited(kind, mine, row)
        elif "binned_at" not in row:
            self._new(kind, row)

    def _linked(self, kind: str, theirs: Row) -> Row | None:
        """A record with the ids it has here; None where it names one that is in neither logbook."""
        row = dict(theirs)
        for (holder, name), _ in BELONGS.items():
            if holder == kind and name in row:
                if row[name] not in self._ids:
                    return None
                row[name] = self._ids[row[name]]
        return row

    def _edited(self, kind: str, mine: Row, row: Row) -> None:
        """One record, as both have it: the newer edit wins; where neither is newer, both are kept."""
        if _content(mine) == _content(row):
            self.found.same[kind] += 1
        elif _touched(row) < _touched(mine):
            self.found.kept[kind] += 1
        elif _touched(row) == _touched(mine):
            self._doubtful(kind, row)
        elif self._is_free(kind, row):
            self.found.taken[kind] += 1
            self._put(kind, row)
        else:
            spoken = self._spoken(kind, row)
            self.found.doubts.append(f"{spoken} has a name there that another has here; yours was kept.")

    def _is_free(self, kind: str, row: Row) -> bool:
        return kind not in NAMED or "binned_at" in row or self._known[kind].get(_key(kind, row), row["id"]) == row["id"]

    def _new(self, kind: str, row: Row) -> None:
        twin = self._ours[kind].get(self._known[kind].get(_key(kind, row), ""))
        if twin is None:
            self._ids[row["id"]] = row["id"]
            self.found.added[kind] += 1
            self._put(kind, row)
            return
        self._ids[row["id"]] = twin["id"]
        if _content(twin) == _content(row):
            self.found.same[kind] += 1
        elif kind in NAMED:
            self._put_together(kind, twin, row)
        else:
            self._doubtful(kind, row)

    def _put_together(self, kind: str, mine: Row, theirs: Row) -> None:
        """One name described in two logbooks: blanks are filled; where they differ, the newer description stands."""
        newer, older = (theirs, mine) if _touched(theirs) > _touched(mine) else (mine, theirs)
        both = {**older, **newer, "id": mine["id"]}
        shared = (_content(mine).keys() & _content(theirs).keys()) - {"name"}  # which differs in case alone
        differ = sorted(name for name in shared if mine[name] != theirs[name])
        if _content(both) == _content(mine):
            self.found.kept[kind] += 1
        else:
            self.found.taken[kind] += 1
            self._put(kind, both)
        if differ:
            told = ", ".join(name.replace("_", " ") for name in differ)
            stands = f"{'theirs' if newer is theirs else 'yours'} is newer"
            self.found.doubts.append(f"{self._spoken(kind, mine)} is described otherwise there ({told}); {stands}.")

    def _doubtful(self, kind: str, row: Row) -> None:
        """Nobody can say which is right: ours stays, theirs stands beside it under an id of its own."""
        spoken = self._spoken(kind, row)
        if kind in NAMED:
            self.found.kept[kind] += 1
            self.found.doubts.append(f"{spoken} differs and neither is newer; yours was kept.")
            return
        twin = {**row, "id": _twin_id(row["id"])}
        if twin["id"] in self._ours[kind]:  # merged before
            self.found.same[kind] += 1
            return
        if kind == "build":
            twin["fitted"] = False  # what the motor is stays as it is here
        self._set_beside(kind, twin)
        self.found.added[kind] += 1
        self.found.doubts.append(f"{spoken} differs and neither is newer; both were kept.")
        self._put(kind, twin)

    def _set_beside(self, kind: str, row: Row) -> None:
        """Another has its name or its time already."""
        if kind in NAMED:
            row["name"] = f"{row['name'][:60]} (deleted)"
        while "place" in model_of(kind).model_fields and _key(kind, row) in self._known[kind]:
            row["place"] = row.get("place", 0) + 1

    def _keep_what_it_uses(self, kind: str, row: Row) -> None:
        """What was deleted in one logbook and is used in the other stays, or its runs would be lost with it."""
        for (holder, name), target in BELONGS.items():
            used = self._ours[target].get(row.get(name, "")) if holder == kind and "binned_at" not in row else None
            if used is None or "binned_at" not in used or not self.to_save.keys() & {row["id"], used["id"]}:
                continue
            back = {field: value for field, value in used.items() if not field.startswith("binned_")}
            if self._known[target].get(_key(target, back), used["id"]) != used["id"]:
                self._set_beside(target, back)
            self._put(target, back)
            self.found.doubts.append(
                f"{self._spoken(target, back)} was deleted in one and used in the other; it stays."
            )

    def _put(self, kind: str, row: Row) -> None:
        self.to_save[row["id"]] = (kind, row)
        self._ours[kind][row["id"]] = row
        if "binned_at" not in row:
            self._known[kind][_key(kind, row)] = row["id"]

    def _spoken(self, kind: str, row: Row) -> str:
        """A record as a person calls it: the bench run of Heron at 2026-05-17 14:02."""
        what = kind.replace("_", " ").capitalize()
        at = next((row[name] for name in ("taken_at", "started_at", "written_at", "since", "date") if name in row), "")
        whose = row.get("name") or self._names.get(row.get("motor_id", ""), "")
        of = f" of {whose}" if whose and "name" not in row else f" {whose}" if whose else ""
        return f"{what}{of}{f' at {shown_stamp(at)}' if at else ''}"


def _every(source: "Snapshot", kind: str) -> Iterator[Row]:
    yield from source.rows(kind)
    yield from source.rows(kind, binned=True)


def _content(row: Row) -> Row:
    return {name: value for name, value in row.items() if name not in _FRAME}


def _touched(row: Row) -> str:
    return max(time_key(row.get("edited_at", "")), time_key(row.get("binned_at", "")))


def _twin_id(key: str) -> str:
    """The id of a record kept beside another; always the same, so that merging twice adds nothing."""
    return f"{key[:60]}.two"


def _key(kind: str, row: Row) -> tuple[Any, ...]:
    """What a record is the same by, whatever its id."""
    if kind == "part":
        return (row["kind"], name_key(row["name"]))
    if kind == "event":
        return (name_key(row["name"]), row["date"][:10])
    if kind == "gear":
        return (row["kind"], row["teeth"], row["module"])
    if kind in NAMED:
        return (name_key(row["name"]),)
    if kind == "build":
        return (row["motor_id"], time_key(row.get("since", "")), row.get("fitted", True), *_parts(row))
    if kind == "cooling":
        return (row["track_run_id"], row["after_s"])
    if kind == "setup_entry":
        return (time_key(row["written_at"]), row.get("motor_id"), name_key(row["what"]))
    at = row["taken_at" if kind == "bench_run" else "started_at"]
    return (row["motor_id"], time_key(at), row.get("place", 0))


def _parts(build: Row) -> tuple[Any, ...]:
    """Of a build that was only tried its parts tell it; a fitted one is told by its time."""
    return () if build.get("fitted", True) else parts_of(build)
