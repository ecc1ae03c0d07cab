"""Where builds are made, and their parts: by name on need, never twice. Forms and sheets both come here.

What must be saved gathers in `to_save`; what an undo took away comes back under its old id. Which build is in force
and whose part is where, `builds.py` knows; the parts stand on `part_shelf.py`.
"""

from collections.abc import Iterable, Mapping
from copy import copy
from typing import TYPE_CHECKING, Any

from pitbench.desk.builds import BuildHistory, Parts, made_at, own_part_name, parts_of, since_key
from pitbench.desk.part_shelf import PartShelf
from pitbench.records.fields import PART_KINDS
from pitbench.records.kinds import Row, Source, model_of
from pitbench.records.names import Gap, name_key
from pitbench.records.stamps import time_key

if TYPE_CHECKING:
    from pitbench.records.frame import Record

Named = str | Gap | None
PartNames = Mapping[str, Named]
"""Kind of part -> its name, a gap, or None (as absent): not said."""


class Workshop:
    """The parts and builds of a logbook while something is being written down. `motor` is always its plain row."""

    def __init__(self, source: Source) -> None:
        self.history = BuildHistory(source.rows("build"))
        self.to_save: dict[str, Record] = {}
        self.parts = PartShelf(source, self.to_save)
        self._binned = {row["id"]: row for row in source.rows("build", binned=True)}
        undone = (row for row in self._binned.values() if row.get("binned_why") == "undone")
        self._undone = {_identity(row): row["id"] for row in undone}
        self._builds: dict[str, Row] = {}
        self._alike: dict[tuple[str, Parts], str] = {}
        for row in source.rows("build"):
            self._remember(row)

    def copy(self) -> "Workshop":
        """A workshop that can go its own way, to be kept or thrown away."""
        twin = copy(self)
        twin.history, twin.to_save = self.history.copy(), dict(self.to_save)
        twin.parts = self.parts.copy(twin.to_save)
        twin._undone, twin._builds, twin._alike = dict(self._undone), dict(self._builds), dict(self._alike)
        return twin

    def names(self, build: Row) -> dict[str, str | Gap]:
        """Names of the parts of a build by kind."""
        ids = zip(PART_KINDS, parts_of(build), strict=True)
        return {kind: self.parts.name(part_id) or Gap.MISSING for kind, part_id in ids}

    def is_built(self, build: Row, names: PartNames) -> bool:
        """Whether a build has the parts that are named; what is not said agrees with anything."""
        has = self.names(build)
        return all(_same(has[kind], name) for kind, name in names.items() if name is not None)

    def build(self, build_id: str | None) -> Row | None:
        """The build of this id, also from the bin."""
        return self._builds.get(build_id or "") or self._binned.get(build_id or "")

    def build_since(self, motor_id: str, since: str) -> Row | None:
        """The build fitted at that very time: live if there is one, else from the bin."""
        live = (build for build in self.history.of(motor_id) if since_key(build) == time_key(since))
        binned = (row for row in self._binned.values() if _identity(row) == (motor_id, time_key(since), None))
        return next(live, None) or next((row for row in binned if row["id"] not in self._builds), None)

    def first(self, motor: Row) -> Row | None:
        """What the motor was built from at the beginning."""
        return next((build for build in self.history.of(motor["id"]) if "since" not in build), None)

    def began_with(self, motor: Row, names: PartNames) -> bool:
        """Whether the first build has these parts, its own where a name is None."""
        first = self.first(motor)
        own = {kind: name or own_part_name(motor["name"], kind) for kind, name in names.items()}
        return not names or (first is not None and self.is_built(first, own))

    def build_at(self, motor: Row, stamp: str) -> Row:
        """The build in force; a motor nobody has described gets a first build of its own parts."""
        return self.history.in_force(motor["id"], stamp) or self.first_build(motor, {})

    def first_build(self, motor: Row, names: PartNames) -> Row:
        """Make the motor's build from the beginning on: the parts named, its own ones where nothing is said."""
        named = {kind: names.get(kind) or own_part_name(motor["name"], kind) for kind in PART_KINDS}
        return self._put_build({"motor_id": motor["id"], **self._slots(named)})

    def describe(self, motor: Row, names: PartNames) -> Row:
        """Say what the motor was built from at the beginning, for the kinds in `names` (None: its own part).

        Where nobody had named the part, the name goes to every build it stands in.
        """
        first = self.first(motor)
        if first is None:
            return self.first_build(motor, names)
        for kind, name in names.items():
            own = own_part_name(motor["name"], kind)
            has, wanted = self.names(first)[kind], name or own
            if _same(has, wanted):
                continue
            if has == own and isinstance(wanted, str):
                self._name_own(kind, first[f"{kind}_id"], wanted)
                first = self.history.in_force(motor["id"], "") or first
            else:
                first = self._put_build({**first, **self._slots({kind: wanted})})
        return first

    def own_parts_only(self, motor: Row) -> bool:
        """Whether nobody has said yet what the motor is built from."""
        own = {kind: own_part_name(motor["name"], kind) for kind in PART_KINDS}
        return all(self.names(build) == own for build in self.history.of(motor["id"]))

    def fit(self, motor: Row, stamp: str, names: PartNames, **more: Any) -> Row:
        """Build the motor like this from `stamp` on; parts not said stay, unless they sit in another motor by now."""
        base = self.build_at(motor, stamp)
        if since_key(base) == time_key(stamp):
            return self.refit(base, names, **more)
        build = {"motor_id": motor["id"], "since": stamp, **self._kept(base, stamp), **self._slots(names), **more}
        return self._put_build({**build, "parts_named": named_kinds(names)})

    def refit(self, build: Row, names: PartNames, **more: Any) -> Row:
        """Correct a build that stands: the parts named take the place of those it has."""
        said = {*build.get("parts_named", ()), *named_kinds(names)} if "parts_named" in build else ()
        named = tuple(kind for kind in PART_KINDS if kind in said)
        return self._put_build({**build, **self._slots(names), **more, "parts_named": named})

    def tested(self, motor: Row, stamp: str, names: PartNames, fitted: bool = False) -> Row:
        """The build a bench run was made on: the one in force, or with other parts a trial, or with `fitted` a new
        build from then on."""
        base = self.build_at(motor, stamp)
        if self.is_built(base, names):
            return base
        if fitted:
            return self.fit(motor, stamp, names)
        slots = {**self._kept(base, stamp), **self._slots(names)}
        known = self._builds.get(self._alike.get((motor["id"], parts_of(slots)), ""))
        if known is not None and parts_of(known) == parts_of(slots):
            return known
        return self._put_build({"motor_id": motor["id"], "fitted": False, **slots})

    def settle(self, runs: Iterable[Row]) -> dict[str, str]:
        """Work out anew, in order of time, what builds and runs that named some parts have for the others, since a
        build may have become known only now; runs that are on another build then: {run id: build id}."""
        built = [build for build in self.history.all() if build.get("parts_named") and "since" in build]
        told = [((False, since_key(build), 0), build, self._said(build, build)) for build in built]
        for run in runs:
            build = self.build(run["build_id"]) if run.get("parts_named") else None
            if build is not None and self.history.of(run["motor_id"]):
                # what was tried may be a build of any time, so it comes last
                tried = "fitted" not in run["parts_named"]
                told.append(((tried, time_key(made_at(run)), run.get("place", 0) + 1), run, self._said(run, build)))
        moved = {}
        for (tried, _, is_run), row, names in sorted(told, key=lambda each: (each[0], each[1]["id"])):
            if not is_run:
                self._fill(row["id"], names)
                continue
            build = self.tested({"id": row["motor_id"]}, made_at(row), names, fitted=not tried)
            if build["id"] != row["build_id"]:
                moved[row["id"]] = build["id"]
        return moved

    def _said(self, row: Row, build: Row) -> PartNames:
        return {kind: name for kind, name in self.names(build).items() if kind in row["parts_named"]}

    def _fill(self, build_id: str, names: PartNames) -> None:
        """Give a fitted build what the one before it had, where it was not said."""
        build = self._builds[build_id]
        before = self.history.before(build)
        filled = {**build, **(self._kept(before, build["since"]) if before else {}), **self._slots(names)}
        if parts_of(filled) != parts_of(build):
            self._put_build(filled)

    def _kept(self, base: Row, stamp: str) -> Row:
        ids = zip(PART_KINDS, parts_of(base), strict=True)
        return {
            f"{kind}_id": None if part_id and self.history.has_left(part_id, base, stamp) else part_id
            for kind, part_id in ids
        }

    def _slots(self, names: PartNames) -> dict[str, str | None]:
        said = {kind: name for kind, name in names.items() if name is not None}
        return {f"{kind}_id": None if isinstance(n, Gap) else self.parts.part(kind, n) for kind, n in said.items()}

    def _name_own(self, kind: str, own_id: str, name: str) -> None:
        if not self.parts.known(kind, name):
            self.parts.rename(own_id, name)
            return
        part_id, slot = self.parts.part(kind, name), f"{kind}_id"
        for build in [build for build in self._builds.values() if build.get(slot) == own_id]:
            self._put_build({**build, slot: part_id})

    def _put_build(self, row: Row) -> Row:
        if "id" not in row and (undone := self._undone.pop(_identity(row), None)):
            row = {**row, "id": undone}
        build = model_of("build").of({key: value for key, value in row.items() if value is not None})
        stored = build.row()
        self._remember(stored)
        self.history.add(stored)
        self.to_save[build.id] = build
        return stored

    def _remember(self, build: Row) -> None:
        """A run that tries known parts belongs to the build that has them, a fitted one before a trial."""
        self._builds[build["id"]] = build
        alike = (build["motor_id"], parts_of(build))
        if build.get("fitted", True) or alike not in self._alike:
            self._alike[alike] = build["id"]


def named_kinds(names: PartNames) -> tuple[str, ...]:
    """The kinds of part that are said."""
    return tuple(kind for kind in PART_KINDS if names.get(kind) is not None)


def _identity(build: Row) -> tuple[str, str, Parts | None]:
    """A fitted build is known by its time, a trial by its parts."""
    return (build["motor_id"], since_key(build), None if build.get("fitted", True) else parts_of(build))


def _same(one: str | Gap, other: str | Gap) -> bool:
    if isinstance(one, Gap) or isinstance(other, Gap):
        return one == other
    return name_key(one) == name_key(other)
