"""What a person says of a motor's parts in its form: a name for its own part, a swap, a part out of another motor.

How parts get into a motor knows `fitting`; here is only what typed names mean.
"""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from pitbench.desk.builds import BuildHistory, own_part_name
from pitbench.desk.fitting import fitted_records, must_not_share, put_in
from pitbench.desk.workshop import Named, Workshop
from pitbench.records.fields import PART_KINDS
from pitbench.records.kinds import Row
from pitbench.records.names import Gap, clean_text, name_key
from pitbench.store.logbook import Snapshot

if TYPE_CHECKING:
    from pitbench.records.frame import Record


def parts_now(snapshot: Snapshot, motor: Row) -> dict[str, str]:
    """Names of the parts in a motor: blank is its own that nobody named, `missing` was fitted elsewhere."""
    history = BuildHistory(snapshot.rows("build"))
    build, gaps = history.in_force(motor["id"]) or {}, history.missing(motor["id"])
    names = {}
    for kind in PART_KINDS:
        part = snapshot.row("part", build.get(f"{kind}_id", ""))
        own = part is not None and part["name"] == own_part_name(motor["name"], kind)
        names[kind] = Gap.MISSING.value if kind in gaps else part["name"] if part and not own else ""
    return names


class Fitting:
    """Puts the typed parts into one motor: `had` are the names it had, `since` is from when on others are in it."""

    def __init__(self, snapshot: Snapshot, motor: Row, had: Mapping[str, str], since: str) -> None:
        self._snapshot, self._motor, self._had, self._since = snapshot, motor, had, since
        self._workshop = Workshop(snapshot)

    def put(self, texts: Mapping[str, str]) -> None:
        """Take the typed names; raises Refusal when a part would be in two motors at a time.

        A new name says what was in there from the beginning; another name than before is a swap, and so is the name
        of a part that is known already: it comes out of another motor. `missing` takes a part out.
        """
        self._rename_own()
        known = {(part["kind"], name_key(part["name"])) for part in self._snapshot.rows("part")}
        built = self._workshop.history.of(self._motor["id"])
        named: dict[str, Named] = {}
        swapped: dict[str, Named] = {}
        for kind in PART_KINDS:
            key, had = name_key(texts.get(kind, "")), self._had.get(kind, "")
            if not key or key == name_key(had or own_part_name(self._motor["name"], kind)):
                continue
            part: Named = Gap.MISSING if key == Gap.MISSING.value else clean_text(texts[kind])
            swap = had or (kind, key) in known or (part is Gap.MISSING and built)
            (swapped if swap else named)[kind] = part
        if named or not built:
            self._workshop.describe(self._motor, named)
        if swapped:
            put_in(self._workshop, self._motor, self._since, swapped)
        must_not_share(self._workshop, self._snapshot, self._motor["id"])

    def records(self) -> "Iterator[Record]":
        """Parts and builds to save, and the runs made on a build that is known only now."""
        return fitted_records(self._workshop, self._snapshot)

    def _rename_own(self) -> None:
        """Parts nobody named go by the name of their motor."""
        old = self._snapshot.row("motor", self._motor["id"]) or self._motor
        first = next((build for build in self._workshop.history.of(old["id"]) if "since" not in build), None)
        if first is not None and old["name"] != self._motor["name"]:
            has = self._workshop.names(first)
            own = [kind for kind in PART_KINDS if has[kind] == own_part_name(old["name"], kind)]
            self._workshop.describe(old, {kind: own_part_name(self._motor["name"], kind) for kind in own})
