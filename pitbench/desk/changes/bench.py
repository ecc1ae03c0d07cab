"""What the bench says of every group of changes of a class: its runs as builds in their states, drawn once for all.

Which build and which state stood before and after is decided here. What a build is, and which runs count, `pool` knows.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pitbench.desk.builds import BuildHistory
from pitbench.desk.changes.together import Group, builds_of, same_winding
from pitbench.desk.comparing.legal_builds import Triple
from pitbench.desk.comparing.pool import Pool, drawn_of, key_of, pool_of
from pitbench.figures.brought import Brought, brought
from pitbench.figures.comparison import Drawn
from pitbench.records.kinds import Row
from pitbench.records.stamps import time_key
from pitbench.store.logbook import Snapshot

Standing = tuple[str, int]
"""A build by its key, and which of its states."""
NOT_RUN = -1
"""A state nobody ran."""


@dataclass(frozen=True)
class OnTheBench:
    """Bench runs before and after; found: None unless there are some on both sides."""

    before: int
    after: int
    found: Brought | None


def on_the_bench(snapshot: Snapshot, class_name: str, groups: Sequence[Group]) -> list[OnTheBench | None]:
    """Of groups of one class; None where the records do not part before from after, or nothing was ever run."""
    pool = replace(pool_of(snapshot, class_name), legal=())
    if pool.gathered is None:
        return [None] * len(groups)
    history = BuildHistory(snapshot.rows("build"))
    stood = _Stood(pool)
    sides = [stood.around(group, *builds_of(history, group)) for group in groups]
    told = any(both and all(stood.counts(group, *both)) for group, both in zip(groups, sides, strict=True))
    drawn = drawn_of(pool, snapshot.team(), every_state=True) if told else None
    place = {} if drawn is None else _places(pool, drawn)
    found: list[OnTheBench | None] = []
    for group, both in zip(groups, sides, strict=True):
        if both is None:
            found.append(None)
            continue
        before, after = stood.counts(group, *both)
        differs = None
        if drawn and before and after:
            had, has = (place[side] for side in both)
            differs = brought(drawn, had, has, same_winding=same_winding(history, group))
        found.append(OnTheBench(before, after, differs))
    return found


class _Stood:
    """How builds stood: their runs in time, by build, and in every state those at the test voltage."""

    def __init__(self, pool: Pool) -> None:
        assert pool.gathered is not None
        self._state_of = pool.gathered.state_of
        self._made: dict[str, list[tuple[str, int]]] = defaultdict(list)
        for run in pool.gathered.as_built:
            self._made[run["motor_id"]].append((time_key(run["taken_at"]), self._state(run)))
        for made in self._made.values():
            made.sort()
        self._at_voltage: dict[Standing, list[str]] = defaultdict(list)
        for run in pool.gathered.runs:
            self._at_voltage[run["motor_id"], self._state(run)].append(time_key(run["taken_at"]))

    def _state(self, run: Row) -> int:
        return self._state_of.get(run["id"], 0)

    def around(self, group: Group, before: Triple | None, after: Triple | None) -> tuple[Standing, Standing] | None:
        """What stood before and after; None where nothing tells them apart."""
        if before is None or after is None:
            return None
        old, new = self._made[key_of(before)], self._made[key_of(after)]
        last, first = bisect_left(old, (group.began,)) - 1, bisect_left(new, (group.ended,))
        had = key_of(before), old[last][1] if last >= 0 else NOT_RUN
        has = key_of(after), new[first][1] if first < len(new) else NOT_RUN
        return None if had == has else (had, has)

    def counts(self, group: Group, had: Standing, has: Standing) -> tuple[int, int]:
        """Runs before the change, and after it; a build put back may have been run before."""
        before = sum(at < group.began for at in self._at_voltage[had])
        return before, sum(at >= group.ended for at in self._at_voltage[has])


def _places(pool: Pool, drawn: Drawn) -> dict[Standing, int]:
    """Where each build in each state stands among what was drawn."""
    both = zip(*(each.tolist() for each in drawn.asked.drawn_as), strict=True)
    return {(key_of(pool.tested[build]), state): at for at, (build, state) in enumerate(both)}
