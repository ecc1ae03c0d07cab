"""What a person says of a motor's parts in its form: a name for its own part, a swap, a part out of another motor.

Builds and parts are made by `workshop`, and which is in force `builds` knows; here is only what typed names mean.
"""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from pitbench.desk.builds import BuildHistory, own_part_name, rehoused, since_key
from pitbench.desk.workshop import Named, Workshop
from pitbench.records.fields import PART_KINDS
from pitbench.records.kinds import Row, model_of
from pitbench.records.names import Gap, clean_text, name_key
from pitbench.records.refusal import Refusal
from pitbench.records.stamps import shown_stamp, time_key
from pitbench.records.typed import label_of, sentence
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
            self._swap(swapped)
        self._refuse_shared()

    def records(self) -> "Iterator[Record]":
        """Parts and builds to save, and the runs made on a build that is known only now."""

        before = BuildHistory(self._snapshot.rows("build"))
        runs = {run["id"]: (kind, run) for kind in ("bench_run", "track_run") for run in self._snapshot.rows(kind)}
        rows = [run for _, run in runs.values()]
        moved = self._workshop.settle(rows) | rehoused(before, self._workshop.history, rows)
        yield from self._workshop.to_save.values()
        for run_id, build_id in moved.items():
            kind, run = runs[run_id]
            yield model_of(kind).of({**run, "build_id": build_id})

    def _rename_own(self) -> None:
        """Parts nobody named go by the name of their motor."""
        old = self._snapshot.row("motor", self._motor["id"]) or self._motor
        first = next((build for build in self._workshop.history.of(old["id"]) if "since" not in build), None)
        if first is not None and old["name"] != self._motor["name"]:
            has = self._workshop.names(first)
            own = [kind for kind in PART_KINDS if has[kind] == own_part_name(old["name"], kind)]
            self._workshop.describe(old, {kind: own_part_name(self._motor["name"], kind) for kind in own})

    def _swap(self, parts: Mapping[str, Named]) -> None:
        """Fit parts; a later build that was thought to have the old ones still has the new ones too."""
        before = self._workshop.names(self._workshop.build_at(self._motor, self._since))
        self._workshop.fit(self._motor, self._since, parts)
        for build in self._workshop.history.of(self._motor["id"]):
            if since_key(build) <= time_key(self._since):
                continue
            has = self._workshop.names(build)
            for kind in parts:
                if has[kind] != before[kind]:
                    why = f"cannot be older than the change of its {label_of(kind)} on {shown_stamp(build['since'])}"
                    raise Refusal(sentence(label_of("since"), shown_stamp(self._since), why))
            self._workshop.refit(build, parts)

    def _refuse_shared(self) -> None:
        """A part is in one motor at a time."""
        for build in self._workshop.history.of(self._motor["id"]):
            if build["id"] not in self._workshop.to_save:
                continue
            names = self._workshop.names(build)
            for kind, motor_id in self._workshop.history.sharers(build):
                other = self._snapshot.row("motor", motor_id)
                if other is not None and "binned_at" not in other:
                    why = f"is in {other['name']} from the same time on; another part or another time would be right"
                    raise Refusal(sentence(label_of(kind), str(names[kind]), why))
