"""What a motor is built from, and when. The one place that knows which build is in force and whose part is where.

Builds and parts are plain rows as stored. A fitted build says what its motor is from `since` on (None: from the
beginning); a part belongs to the motor whose fitted build took it last. A build that is not fitted is only what a
bench run tried. `workshop.py` makes builds and parts; no one else may.
"""

from bisect import insort
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from typing import Any

from pitbench.records.fields import PART_KINDS
from pitbench.records.kinds import Row, Source
from pitbench.records.names import LONGEST_NAME, Gap
from pitbench.records.stamps import time_key

Parts = tuple[str | None, ...]
END_OF_TIME = "9999"


def own_part_name(motor_name: str, kind: str) -> str:
    """What a motor's own part is called before anyone has named it.

    >>> own_part_name("Heron", "end_bell")
    'Heron end bell'
    """
    spoken = f" {kind.replace('_', ' ')}"
    return motor_name[: LONGEST_NAME - len(spoken)].rstrip() + spoken


def parts_of(build: Mapping[str, Any]) -> Parts:
    """Ids of stator, rotor and end bell; None is a gap."""
    return tuple(build.get(f"{kind}_id") for kind in PART_KINDS)


def since_key(build: Mapping[str, Any]) -> str:
    """Sorts builds in time; the first build comes before every date."""
    return time_key(build.get("since") or "")


class BuildHistory:
    """Fitted builds of every motor in order of time, and which builds are one by their parts."""

    def __init__(self, builds: Iterable[Row]) -> None:
        self._by_id: dict[str, Row] = {}
        self._whole: dict[str, tuple[str, Parts]] = {}
        self._alike: dict[tuple[str, Parts], list[tuple[bool, str, str]]] = defaultdict(list)
        self._by_motor: dict[str, list[tuple[str, str]]] = defaultdict(list)
        self._takers: dict[str, list[tuple[str, str, str]]] = defaultdict(list)
        for build in builds:
            self.add(build)

    def add(self, build: Row) -> None:
        """Take in a build, in place of the one of the same id."""
        old = self._by_id.pop(build["id"], None)
        self._group(build)
        if old is not None:
            self._by_motor[old["motor_id"]].remove((since_key(old), old["id"]))
            for part_id in filter(None, parts_of(old)):
                self._takers[part_id].remove((since_key(old), old["motor_id"], old["id"]))
        if not build.get("fitted", True):
            return
        self._by_id[build["id"]] = build
        insort(self._by_motor[build["motor_id"]], (since_key(build), build["id"]))
        for part_id in filter(None, parts_of(build)):
            insort(self._takers[part_id], (since_key(build), build["motor_id"], build["id"]))

    def _group(self, build: Row) -> None:
        if (group := self._whole.pop(build["id"], None)) is not None:
            self._alike[group] = [each for each in self._alike[group] if each[-1] != build["id"]]
        if None not in parts_of(build):
            group = self._whole[build["id"]] = (build["motor_id"], parts_of(build))
            insort(self._alike[group], (not build.get("fitted", True), since_key(build), build["id"]))

    def one(self, build_id: str) -> str:
        """The build that stands for all of its motor with the same three parts, the first that was fitted.

        The same parts together are the same build, be it tried before it was fitted or put back later, and in whatever
        order that became known. One with a gap stands for itself.
        """
        group = self._whole.get(build_id)
        return build_id if group is None else self._alike[group][0][-1]

    def of(self, motor_id: str) -> list[Row]:
        """Fitted builds of one motor, the oldest first."""
        return [self._by_id[build_id] for _, build_id in self._by_motor.get(motor_id, ())]

    def all(self) -> list[Row]:
        """Fitted builds of every motor."""
        return list(self._by_id.values())

    def before(self, build: Row) -> Row | None:
        """The fitted build that this one followed."""
        builds = self._by_motor[build["motor_id"]]
        place = builds.index((since_key(build), build["id"]))
        return self._by_id[builds[place - 1][1]] if place else None

    def in_force(self, motor_id: str, stamp: str | None = None) -> Row | None:
        """What the motor was built from at that time (None: as it is now). Before its first build: that one."""
        at = END_OF_TIME if stamp is None else time_key(stamp)
        builds = self._by_motor.get(motor_id, [])
        found = next((build_id for since, build_id in reversed(builds) if since <= at), None)
        return self._by_id[found] if found else self._by_id[builds[0][1]] if builds else None

    def has_left(self, part_id: str, build: Row, stamp: str | None = None) -> bool:
        """Whether another motor took this part of `build` since, up to that time (None: up to now)."""
        at = END_OF_TIME if stamp is None else time_key(stamp)
        for since, motor_id, _ in reversed(self._takers.get(part_id, [])):
            if since <= since_key(build):
                return False
            if since <= at and motor_id != build["motor_id"]:
                return True
        return False

    def holder(self, part_id: str, stamp: str | None = None) -> str | None:
        """Id of the motor that has this part at that time (None: has it now); None for a spare."""
        at = END_OF_TIME if stamp is None else time_key(stamp)
        took = next((motor_id for since, motor_id, _ in reversed(self._takers.get(part_id, ())) if since <= at), None)
        build = self.in_force(took, stamp) if took else None
        return took if build is not None and part_id in parts_of(build) else None

    def missing(self, motor_id: str, stamp: str | None = None) -> list[str]:
        """Kinds of part the motor lacked at that time (None: lacks now): a part is in one motor at a time."""
        build = self.in_force(motor_id, stamp)
        if build is None:
            return []
        ids = zip(PART_KINDS, parts_of(build), strict=True)
        return [kind for kind, part_id in ids if part_id is None or self.has_left(part_id, build, stamp)]

    def sharers(self, build: Row) -> list[tuple[str, str]]:
        """Kinds of part that another motor claims from the very same time on, with that motor's id: one is wrong."""
        return [
            (kind, motor_id)
            for kind, part_id in zip(PART_KINDS, parts_of(build), strict=True)
            for since, motor_id, _ in self._takers.get(part_id or "", ())
            if since == since_key(build) and motor_id != build["motor_id"]
        ]

    def copy(self) -> "BuildHistory":
        """A history of the fitted builds that can go its own way."""
        return BuildHistory(self._by_id.values())


OWN = "own"


def part_words(source: Source, build: Row, gaps: Collection[str] = ()) -> dict[str, str]:
    """The parts of a build by kind in a word each: its name, `own` for one nobody has named yet, `missing` for a gap.

    gaps: kinds that the motor lacks though the build has them, since they were fitted elsewhere.
    """
    motor = source.row("motor", build["motor_id"]) or {}
    own = {kind: own_part_name(motor.get("name", ""), kind) for kind in PART_KINDS}
    names = part_names(source, build)
    return {
        kind: Gap.MISSING.value if kind in gaps else OWN if name == own[kind] else name for kind, name in names.items()
    }


def part_names(source: Source, build: Row) -> dict[str, str]:
    """The names of the parts of a build by kind, also of own ones; `missing` for a gap."""
    rows = {kind: source.row("part", build.get(f"{kind}_id") or "") for kind in PART_KINDS}
    return {kind: str(row["name"]) if row else Gap.MISSING.value for kind, row in rows.items()}


def parts_text(source: Source, build: Row | None, gaps: Collection[str] = ()) -> str:
    """The parts of a build in a few letters: `S4 R2 E1`; a build of nothing but own parts is an empty text."""
    words = part_words(source, build, gaps).values() if build else ()
    return "" if set(words) == {OWN} else " ".join(words)


def named_parts(source: Source, build: Row | None, gaps: Collection[str] = ()) -> str:
    """The same without the own ones, for where that is too long."""
    return " ".join(word for word in part_words(source, build, gaps).values() if word != OWN) if build else ""


def parts_said(source: Source, build: Row | None, gaps: Collection[str] = ()) -> str:
    """The same where there is room, the kind of each said once: beside own parts and gaps of the others too."""
    words = part_words(source, build, gaps) if build else {}
    if words and not {OWN, Gap.MISSING.value} & set(words.values()):
        return " ".join(words.values())
    spoken = {kind.replace("_", " "): word for kind, word in words.items() if word != OWN}
    named = [word if word.endswith(f" {kind}") else f"{kind} {word}" for kind, word in spoken.items()]
    return ", ".join([*named, "else its own"] if OWN in words.values() else named) if named else "its own parts"


def made_at(run: Mapping[str, Any]) -> str:
    """When a bench run or track run was made."""
    return str(run.get("taken_at") or run["started_at"])


def in_order(row: Mapping[str, Any]) -> tuple[str, int, str]:
    """Sorts track runs and setup entries in time; equal times by place, then by id, so that lists stand still."""
    return (time_key(row.get("started_at") or row["written_at"]), row.get("place", 0), row["id"])


def rehoused(before: BuildHistory, after: BuildHistory, runs: Iterable[Row]) -> dict[str, str]:
    """Runs to be moved to another build, because a build became known only later: {run id: build id}.

    A run made on the build in force belongs to the build in force; one that tried other parts stays where it is. Of
    runs that named parts `Workshop.settle` knows.
    """
    moved = {}
    for run in runs:
        old, new = (history.in_force(run["motor_id"], made_at(run)) for history in (before, after))
        if "parts_named" not in run and old and new and run["build_id"] == old["id"] and new["id"] != old["id"]:
            moved[run["id"]] = new["id"]
    return moved
