"""What the track says of every group of changes: which runs tell of it, and the steps in pace and heat they show.

Work on a motor and swaps are judged by all runs of that motor, whatever the event; what is changed on a car, by the
runs of its event. Which runs were made with a change on, `Since` knows.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pitbench.desk.answered import counting
from pitbench.desk.builds import END_OF_TIME, in_order
from pitbench.desk.changes.together import Group, is_of_the_motor, parted
from pitbench.desk.comparing.pace import hour_of, raced
from pitbench.desk.comparing.track_evidence import as_classed
from pitbench.desk.forecasting.heat import heat_of
from pitbench.desk.lists.setup_since import Since
from pitbench.desk.told import changes_rollout, things
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.stamps import time_key

if TYPE_CHECKING:
    from pitbench.figures.arrays import Bools
    from pitbench.figures.track_steps import Brought, Step

TIMING = {"timing_mark_deg", "esc_timing_deg"}
"""A change of one of these is judged at its own timing, as one of the gears at its own rollout."""


@dataclass(frozen=True)
class Sides:
    """Ids of track runs: before the change, after it while it was on, and all since."""

    before: Collection[str]
    after: Collection[str]
    since: Collection[str]


@dataclass(frozen=True)
class OnTheTrack:
    """Track runs before and after, and what they show; None where they do not tell it."""

    before: int
    after: int
    pace: "Brought | None"
    heat: "Brought | None"


def on_the_track(source: Source) -> list[tuple[Group, OnTheTrack | None]]:
    """Every change, with those told together, and what the track says; None where no run went before or came after."""
    source = as_classed(source)
    runs = sorted(counting(source.rows("track_run")), key=in_order)
    since = Since(source)
    single = _single(source, since, runs)
    motors = [group for group in single if _is_of_motor(group)]
    sides = [_of_motor(motors, each, runs) if _is_of_motor(each) else _of_car(since, each, runs) for each in single]
    together = _together(single, sides, runs)
    classes: dict[str | None, list[list[int]]] = defaultdict(list)
    for places in together:
        told = {run_id for at in places for side in (sides[at].before, sides[at].after) for run_id in side}
        newest = next((run for run in reversed(runs) if run["id"] in told), None)
        if newest is not None:
            motor = source.row("motor", newest["motor_id"]) or {}
            classes[motor.get("class_id")].append(places)
    found: dict[int, OnTheTrack] = {}
    for class_id, asked in classes.items():
        answers = _of_class(source, class_id, single, sides, asked)
        found |= {places[0]: answer for places, answer in zip(asked, answers, strict=True)}
    groups = [Group(sorted((e for at in places for e in single[at].entries), key=in_order)) for places in together]
    return [(group, found.get(places[0])) for group, places in zip(groups, together, strict=True)]


def _single(source: Source, since: Since, runs: Sequence[Row]) -> list[Group]:
    """Changes of one motor, or of one car at one event, that no run parts; those for one motor only stand apart."""
    of_motor: dict[str, list[Row]] = defaultdict(list)
    of_car: dict[tuple[str, ...], list[Row]] = defaultdict(list)
    for entry in source.rows("setup_entry"):
        if is_of_the_motor(entry):
            of_motor[entry["motor_id"]].append(entry)
        else:
            where = entry.get("event_id", entry["written_at"][:10])
            of_car[where, entry.get("car_id", ""), entry.get("motor_id", "")].append(entry)
    groups = []
    for motor_id, entries in sorted(of_motor.items()):
        groups += parted(entries, (run["started_at"] for run in runs if run["motor_id"] == motor_id))
    for _, entries in sorted(of_car.items()):
        groups += parted(entries, {run["started_at"] for entry in entries for run in since.beside(entry)[0]})
    return groups


def _together(groups: Sequence[Group], sides: Sequence[Sides], runs: Sequence[Row]) -> list[list[int]]:
    """Places of groups of one day that the same runs see as one step: some after all of them, and none between."""
    order = sorted(range(len(groups)), key=lambda at: groups[at].began)
    started = {run["id"]: time_key(run["started_at"]) for run in runs}
    found: list[list[int]] = []
    for at in order:
        own = sides[at]
        for others in found:
            both = [sides[other] for other in others]
            seen = set(own.after).intersection(*(side.after for side in both))
            between = set(own.before).intersection(*(side.after for side in both))
            parted_by = any(max(groups[other].ended for other in others) <= started[run] for run in between)
            if seen and not parted_by and groups[others[0]].began[:10] == groups[at].began[:10]:
                others.append(at)
                break
        else:
            found.append([at])
    return found


def _is_of_motor(group: Group) -> bool:
    return is_of_the_motor(group.entries[0])


def _of_motor(groups: Sequence[Group], group: Group, runs: Sequence[Row]) -> Sides:
    """All runs of the motor since the work before, and until the next; groups: those of all motors."""
    motor_id = group.entries[0]["motor_id"]
    others = [each for each in groups if each.entries[0]["motor_id"] == motor_id]
    begun = max((each.ended for each in others if each.ended < group.began), default="")
    ends = min((each.began for each in others if each.began > group.ended), default=END_OF_TIME)
    own = [run for run in runs if run["motor_id"] == motor_id]
    times = [time_key(run["started_at"]) for run in own]
    first, start, stop, last = (bisect_left(times, at) for at in (begun, group.began, group.ended, ends))
    ids = [run["id"] for run in own]
    return Sides(ids[first:start], ids[stop:last], ids[stop:])


def _of_car(since: Since, group: Group, runs: Sequence[Row]) -> Sides:
    """Runs of the event with all that was changed on, and those before with all as it was before."""
    first = {name_key(entry["what"]): entry for entry in reversed(group.entries)}
    last = {name_key(entry["what"]): entry for entry in group.entries}
    before = [_before(since, entry, group.began) for entry in first.values()]
    after = [{run["id"] for run in since.runs(entry)} for entry in last.values()]
    later = [_later(since, entry, on) for entry, on in zip(last.values(), after, strict=True)]
    return Sides(*(_common(sets, runs) for sets in (before, after, later)))


def _common(sets: Sequence[Collection[str]], runs: Sequence[Row]) -> list[str]:
    return [run["id"] for run in runs if all(run["id"] in each for each in sets)]


def _before(since: Since, entry: Row, began: str) -> set[str]:
    """Runs made with what was on before: since the same was last changed at the event."""
    near, _ = since.beside(entry)
    alike = [e for e in since.alike(entry) if time_key(e["written_at"]) < began]
    begun = max((time_key(e["written_at"]) for e in alike), default="")
    return {run["id"] for run in near if begun <= time_key(run["started_at"]) < began}


def _later(since: Since, entry: Row, on: Collection[str]) -> set[str]:
    """Runs after the change that carry its step: with it on, and from when the same was changed again."""
    near, again = since.beside(entry)
    at = time_key(entry["written_at"])
    later = ((run["id"], time_key(run["started_at"])) for run in near)
    return {run_id for run_id, started in later if started >= at and (run_id in on or started >= again)}


def _of_class(
    source: Source,
    class_id: str | None,
    single: Sequence[Group],
    sides: Sequence[Sides],
    asked: Sequence[Sequence[int]],
) -> list[OnTheTrack]:
    """asked: places of the groups that are told together."""
    from pitbench.figures.track_steps import heat_steps, pace_steps

    (runs, told, builds), heat = raced(source, class_id, lambda run: True), heat_of(source, class_id)
    columns = sorted({at for places in asked for at in places})
    all_of = [_all_of([sides[at] for at in places]) for places in asked]
    of_pace, of_heat = _Over(runs, builds), _Over(heat.runs)
    paces = pace_steps(told, *of_pace.steps(single, sides, columns, asked, all_of))
    hours = [hour_of(run) for run in heat.runs]
    heats = heat_steps(heat.columns, hours, *of_heat.steps(single, sides, columns, asked, all_of))
    both = zip(all_of, paces, heats, strict=True)
    return [OnTheTrack(len(each.before), len(each.after), pace, warmth) for each, pace, warmth in both]


def _all_of(sides: Sequence[Sides]) -> Sides:
    """The runs that see all of some changes."""
    first, *others = sides
    before, after, since = (
        [run_id for run_id in own if all(run_id in each for each in rest)]
        for own, rest in (
            (first.before, [each.before for each in others]),
            (first.after, [each.after for each in others]),
            (first.since, [each.since for each in others]),
        )
    )
    return Sides(before, after, since)


@dataclass(frozen=True)
class _Over:
    """The runs that figures compare; builds: place of every build, where motors put together anew are told apart."""

    runs: Sequence[Row]
    builds: Mapping[str, int] | None = None

    def steps(
        self,
        single: Sequence[Group],
        sides: Sequence[Sides],
        columns: Sequence[int],
        asked: Sequence[Sequence[int]],
        all_of: Sequence[Sides],
    ) -> "tuple[Bools, list[Step]]":
        """Which runs came after each change [runs × columns], and what is asked of these columns."""
        import numpy as np

        swapped = [self._swapped(single[at], sides[at]) for at in columns]
        none = np.zeros(len(self.runs), dtype=bool)
        since = [none if pair else self._among(sides[at].since) for at, pair in zip(columns, swapped, strict=True)]
        place = {at: i for i, at in enumerate(columns)}
        found = [
            self._step([place[at] for at in places], [single[at] for at in places], both, swapped)
            for places, both in zip(asked, all_of, strict=True)
        ]
        return np.array(since).T.reshape(len(self.runs), len(columns)), found

    def _step(
        self, of: Sequence[int], groups: Sequence[Group], sides: Sides, swapped: "Sequence[tuple[int, int] | None]"
    ) -> "Step":
        from pitbench.figures.track_steps import Step

        of_car = [entry for each in groups if not _is_of_motor(each) for entry in each.entries]
        return Step(
            of=of,
            before=self._among(sides.before),
            after=self._among(sides.after),
            geared=any(map(changes_rollout, of_car)),
            marked=any(things(entry) & TIMING for entry in of_car),
            builds=next((pair for at in of if (pair := swapped[at])), None),
        )

    def _among(self, ids: Iterable[str]) -> "Bools":
        import numpy as np

        wanted = set(ids)
        return np.array([run["id"] in wanted for run in self.runs], dtype=bool)

    def _swapped(self, group: Group, sides: Sides) -> tuple[int, int] | None:
        """Places of the motor before and after, where it was put together anew."""
        if self.builds is None or not _is_of_motor(group):
            return None
        before, after = ([run for run in self.runs if run["id"] in set(side)] for side in (sides.before, sides.after))
        if not before or not after:
            return None
        old, new = self.builds[before[-1]["build_id"]], self.builds[after[0]["build_id"]]
        return None if old == new else (old, new)
