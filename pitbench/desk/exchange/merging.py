"""Two logbooks of a team made one: every record once, what either side changed since both were the same, and each clash
named. The same comes out on both laptops, in whatever order; once more adds nothing. One save, one undo.

Which records are one, `merging_pairs` knows; how two copies are put together, `merging_copies`.
"""

from collections import Counter
from dataclasses import dataclass, field, replace
from itertools import count
from typing import Any

from pitbench.desk.builds import own_part_name, parts_of
from pitbench.desk.checking import BELONGS, NAMED
from pitbench.desk.exchange.keys import key_of
from pitbench.desk.exchange.merging_copies import OWNER, Copies, one_log, put_together, says_the_same
from pitbench.desk.exchange.merging_names import Names
from pitbench.desk.exchange.merging_pairs import Pairs, Told, motors_alike
from pitbench.records.kinds import KINDS, Row, model_of
from pitbench.records.names import LONGEST_NAME, name_key
from pitbench.records.spoken import listed
from pitbench.records.versions import grown, renamed
from pitbench.store.logbook import Logbook, Snapshot

MERGED = tuple(kind for kind in KINDS if kind != "settings")
USING = ("load_log", "cooling", "bench_run", "track_run")
"""What stands on other records: without them it could not be seen. A run that comes back needs its motor."""
LINKS = {kind: [name for holder, name in BELONGS if holder == kind] for kind in MERGED}
TOLD_NOTHING = Told()


@dataclass
class Merged:
    """What a merge did, counted by kind. added: only there; same: here already; taken: something changed here; kept:
    only ours was changed. both: records edited on both sides; doubts: a sentence each."""

    added: Counter[str] = field(default_factory=Counter)
    same: Counter[str] = field(default_factory=Counter)
    taken: Counter[str] = field(default_factory=Counter)
    kept: Counter[str] = field(default_factory=Counter)
    both: list[str] = field(default_factory=list)
    doubts: list[str] = field(default_factory=list)
    saved: bool = False


def merge(logbook: Logbook, other: Snapshot, words: str, told: Told = TOLD_NOTHING) -> Merged:
    """Take over what the other logbook has; one change called `words`, none where nothing is new. Raises Refusal
    where only the user can say whether two motors of one name are one."""
    merging = _Merging(logbook.snapshot(), other, told)
    records = [model_of(kind).of(row) for kind, row in merging.to_save.values()]
    merging.found.saved = bool(records)
    if records or merging.versions:
        logbook.save(words, records, merging.versions)
    return merging.found


class _Merging:
    """One pass over the other logbook, kinds in an order in which what a record names comes before it."""

    def __init__(self, ours: Snapshot, other: Snapshot, told: Told) -> None:
        self.found = Merged()
        self.to_save: dict[str, tuple[str, Row]] = {}
        self.versions: dict[str, Row | None] = {}
        self._ours, self._other, self._told = ours, other, told
        self._ids: dict[str, str] = {}
        """Of the other logbook's records: which record of ours each is or became."""
        self._rows: dict[str, dict[str, Row]] = {}
        self._before: dict[str, Row] = {}
        """Of each record both have: the row there, with our ids."""
        self._names = Names(self._rows, other)
        self._news: tuple[set[str], set[str]] = set(), set()
        """Records of which ours, and of which theirs, says something the other does not know."""
        self._foreign: dict[str, str] = {}
        """Motors that are not ours, by their id there: their name here."""
        for kind in MERGED:
            self._merge_kind(kind)
        for kind in USING:
            for row in list(self._rows[kind].values()):
                self._keep_what_it_uses(kind, row)
        for kind in NAMED:
            self._name_apart(kind)
        self._tell_shared_parts()
        if ours.row("settings", "settings") != other.row("settings", "settings"):
            self.found.doubts.append("The other logbook has other units, weights or limits set; yours were kept.")

    # one kind

    def _merge_kind(self, kind: str) -> None:
        pairs = Pairs(self._ours, self._other, kind)
        self._rows[kind] = dict(pairs.ours)
        self._ids |= pairs.ids
        twins = self._twins(kind, pairs)
        self._news[0].update(pairs.ours.keys() - {*pairs.ids.values(), *twins.values()})
        for theirs in pairs.theirs.values():
            row = self._linked(kind, theirs)
            if row is None:
                self.found.doubts.append(f"{self._names.spoken(kind, theirs)} names a record nobody has; left out.")
            elif (key := pairs.ids.get(theirs["id"]) or twins.get(theirs["id"])) is not None:
                self._ids[theirs["id"]] = key
                self._put_together(kind, pairs.ours[key], row, twin=theirs["id"] in twins)
            else:
                self._ids[theirs["id"]] = theirs["id"]
                self._add(kind, row)

    def _twins(self, kind: str, pairs: Pairs) -> dict[str, str]:
        """Records of the other logbook that say they are one of ours, which ours does not know yet."""
        mine, theirs = pairs.alone()
        if kind == "motor":
            alike = motors_alike(self._ours, self._other, pairs, self._told)
            one = {row["id"]: own["id"] for own, row in alike}
            self._learn_foreign(
                [row for row in theirs if row["id"] not in one], {name_key(row["name"]) for row in mine}
            )
            return one
        free: dict[tuple[Any, ...], str] = {}
        for row in mine:
            free.setdefault(key_of(kind, row), row["id"])
        found: dict[str, str] = {}
        for row in theirs:
            linked = self._linked(kind, row)
            if linked is not None and not (kind == "part" and self._is_foreign(row)):
                twin = free.pop(key_of(kind, linked), None)
                found |= {row["id"]: twin} if twin else {}
        return found

    def _learn_foreign(self, motors: list[Row], taken: set[str]) -> None:
        """Motors that come in and are somebody's, or that only share a name with one of ours."""
        for row in motors:
            if name_key(row["name"]) in taken:
                self._foreign[row["id"]] = self._of_somebody(row["name"])
            elif self._told.owner:
                self._foreign[row["id"]] = row["name"]

    def _of_somebody(self, name: str) -> str:
        whose = f" ({(self._told.owner or self._told.there)[:30]})"
        return f"{name[: LONGEST_NAME - len(whose)]}{whose}"

    def _is_foreign(self, part: Row) -> bool:
        """Whether a part of the other logbook stands only in motors that are not ours."""
        users = {build["motor_id"] for build in self._other.rows("build") if part["id"] in parts_of(build)}
        return bool(users) and users <= self._foreign.keys()

    def _linked(self, kind: str, theirs: Row) -> Row | None:
        """A record with the ids it has here; None where it names one that is in neither logbook."""
        named = [name for name in LINKS[kind] if theirs.get(name) is not None]
        if any(theirs[name] not in self._ids for name in named):
            return None
        return {**theirs, **{name: self._ids[theirs[name]] for name in named}}

    def _kept_there(self, kind: str, key: str) -> Row:
        """What the other logbook remembers of a record's edits, with the ids of ours."""
        kept = self._other.versions(key)
        return {**kept, "cells": renamed(kept.get("cells", {}), LINKS[kind], self._ids)}

    def _add(self, kind: str, row: Row) -> None:
        """A record only the other logbook has, from its bin too."""
        kept = self._kept_there(kind, row["id"])
        memory = {name: kept[name] for name in ("cells", "also") if kept.get(name)}
        if memory or self._ours.versions(row["id"]):
            self.versions[row["id"]] = {"id": row["id"], **memory} if memory else None
        self._news[1].add(row["id"])
        self._put(kind, row)
        if "binned_at" not in row:
            self.found.added[kind] += 1
            self._call_foreign(kind, row)

    def _call_foreign(self, kind: str, row: Row) -> None:
        """A motor that is not ours says whose it is, and its parts do not go by the names of ours."""
        if kind == "motor" and row["id"] in self._foreign:
            if self._told.owner and OWNER not in row:  # as seen from here: no edit, so it is not remembered as one
                row = {**row, OWNER: self._told.owner}
                self._put(kind, row)
            self._edit(kind, row, name=self._foreign[row["id"]])
        elif kind == "part" and self._is_foreign(row):
            names = {key: (self._other.row("motor", key) or {})["name"] for key in self._foreign}
            own = {own_part_name(name, row["kind"]): key for key, name in names.items()}
            taken = {key_of(kind, part) for part in self._rows[kind].values() if part["id"] != row["id"]}
            if row["name"] in own:
                self._edit(kind, row, name=own_part_name(self._foreign[own[row["name"]]], row["kind"]))
            elif key_of(kind, row) in taken:
                self._edit(kind, row, name=self._of_somebody(row["name"]))

    def _put_together(self, kind: str, mine: Row, theirs: Row, twin: bool) -> None:
        kept, kept_there = self._ours.versions(mine["id"]), self._kept_there(kind, theirs["id"])
        self._before[mine["id"]] = theirs
        lists, lists_there = kept.get("cells", {}), kept_there["cells"]
        same = says_the_same(mine, {**theirs, "id": mine["id"]})
        if same and lists == lists_there:
            copies = Copies(mine, lists, [], mine_edited=False, theirs_edited=False)
        elif kind == "load_log":
            one, other, results = one_log(mine, theirs)
            copies = put_together(one, other, lists, lists_there)
            copies = replace(copies, row=copies.row | results)
        else:
            copies = put_together(mine, theirs, lists, lists_there)
        self._remember(mine["id"], theirs["id"], copies, kept, kept_there)
        self._tell(kind, mine, copies, twin)
        if says_the_same(copies.row, mine):
            (self.found.same if same else self.found.kept)[kind] += 1
        else:
            self.found.taken[kind] += 1
            self._put(kind, copies.row)

    def _remember(self, key: str, key_there: str, copies: Copies, kept: Row, kept_there: Row) -> None:
        also = sorted({*kept.get("also", ()), *kept_there.get("also", ()), key_there} - {key})
        memory = {name: value for name, value in (("also", also), ("cells", copies.versions)) if value}
        new = {"id": key, **memory} if memory else None
        if new != (kept or None):
            self.versions[key] = new

    def _tell(self, kind: str, mine: Row, copies: Copies, twin: bool) -> None:
        """Each value that does not stand, and each record both sides edited."""
        for news, edited in zip(self._news, (copies.mine_edited, copies.theirs_edited), strict=True):
            news.update({mine["id"]} if edited else ())
        spoken = self._names.spoken(kind, mine)
        for clash in copies.clashes:
            if clash.cell != "name" or name_key(clash.here or "") != name_key(clash.there or ""):
                self.found.doubts.append(f"{spoken}: {self._names.clash(clash)}.")
        if copies.mine_edited and copies.theirs_edited and not twin:
            self.found.both.append(spoken)

    # what is seen only when all are there

    def _keep_what_it_uses(self, kind: str, row: Row) -> None:
        """What was deleted in one logbook and is used by something new in the other stays, or that would be lost."""
        for name in LINKS[kind] if "binned_at" not in row else ():
            target = BELONGS[kind, name]
            used = self._rows[target].get(row.get(name, ""))
            if used is None or "binned_at" not in used or not self._is_used_unseen(target, used["id"], row["id"]):
                continue
            back = {cell: value for cell, value in used.items() if not cell.startswith("binned_")}
            others = {key_of(target, other) for other in self._live(target)}
            if target in NAMED and key_of(target, back) in others:
                back["name"] = f"{back['name'][:60]} (deleted)"
            self._edit(target, used, binned_at=None, binned_why=None, name=back.get("name"))
            for news in self._news:
                news.add(used["id"])
            self.found.doubts.append(
                f"{self._names.spoken(target, back)} was deleted in one and used in the other; it stays."
            )

    def _is_used_unseen(self, kind: str, key: str, user: str) -> bool:
        """Whether the side that did not put a record in the bin knows something of its user that the other does not."""
        copies = self._ours.row(kind, key), self._before.get(key)
        live = [copy is not None and "binned_at" not in copy for copy in copies]
        return any(has and user in news for has, news in zip(live, self._news, strict=True))

    def _name_apart(self, kind: str) -> None:
        """One of each name: of two that both sides know as two, the one of the higher id gets a number behind."""
        live = sorted(self._live(kind), key=lambda row: str(row["id"]))
        seen = Counter(key_of(kind, row) for row in live)
        first: dict[tuple[Any, ...], str] = {}
        for row in live:
            holder = first.setdefault(key_of(kind, row), row["id"])
            if holder == row["id"] or not {holder, row["id"]} & self.to_save.keys():
                continue
            numbered = ({**row, "name": f"{row['name'][:70]} ({number})"} for number in count(2))
            new = next(one for one in numbered if not seen[key_of(kind, one)])
            seen[key_of(kind, new)] += 1
            self._edit(kind, row, name=new["name"])
            self.found.doubts.append(
                f"{self._names.spoken(kind, row)} is the name of two; one is called {new['name']} now."
            )

    def _live(self, kind: str) -> list[Row]:
        return [row for row in self._rows[kind].values() if "binned_at" not in row]

    def _tell_shared_parts(self) -> None:
        """A part is in one motor at a time: where both fitted one of its name to different motors, that is said."""
        names = {row["id"]: row["name"] for row in self._rows["motor"].values()}
        before = {build["id"] for build in self._ours.rows("build")}
        for part in self._rows["part"].values():
            uses = [b for b in self._rows["build"].values() if b.get("fitted", True) and part["id"] in parts_of(b)]
            here = {b["motor_id"] for b in uses if b["id"] in before}
            there = {b["motor_id"] for b in uses if b["id"] not in before} - here
            if here and there:
                motors = listed(sorted(names[motor] for motor in here | there))
                what = f"{part['kind'].replace('_', ' ')} {part['name']}"
                self.found.doubts.append(f"{motors} are built with one {what} now; rename it where it is another one.")

    # writing down

    def _edit(self, kind: str, row: Row, **changes: Any) -> None:
        """Change what a record came to; remembered as an edit of the time of the last one, so on both laptops alike."""
        new = {name: value for name, value in {**row, **changes}.items() if value is not None}
        kept = self.versions.get(row["id"], self._ours.versions(row["id"])) or {}
        cells = grown(kept.get("cells", {}), row, new, str(row.get("edited_at", "")))
        if cells:
            self.versions[row["id"]] = {**kept, "id": row["id"], "cells": cells}
        self._put(kind, new)

    def _put(self, kind: str, row: Row) -> None:
        self.to_save[row["id"]] = (kind, row)
        self._rows[kind][row["id"]] = row
