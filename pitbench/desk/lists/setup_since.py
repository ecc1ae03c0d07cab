"""What the track says of a change: the runs made with it on, and which changes a run leaves open.

Asked of an index made once a snapshot, so that a long season costs no more than a short one.
"""

from collections import defaultdict
from datetime import timedelta

from pitbench.desk.builds import END_OF_TIME, in_order
from pitbench.desk.told import contradicts, goes_with_motor, things, told
from pitbench.records.kinds import Row, Source
from pitbench.records.stamps import moment, time_key
from pitbench.records.units import units_of

ASKED_WITHIN = timedelta(days=3)
"""An entry without an event is asked about after a run this soon. Ours."""
NO_EVENT = ""


class Since:
    """Entries by what was changed, track runs by event."""

    def __init__(self, source: Source) -> None:
        self.source, self._units = source, units_of(source)
        self._alike: dict[str, list[Row]] = defaultdict(list)
        for entry in source.rows("setup_entry"):
            for thing in things(entry):
                self._alike[thing].append(entry)
        self._runs: dict[str, list[Row]] = defaultdict(list)
        for run in source.rows("track_run"):
            self._runs[run.get("event_id", NO_EVENT)].append(run)

    def runs(self, entry: Row) -> list[Row]:
        """Track runs with this change on: of its motor or car, at its event, until the same was changed again, be that
        told by another entry or by a run made with something else."""
        events = (entry["event_id"], NO_EVENT) if "event_id" in entry else tuple(self._runs)
        near = [run for event in events for run in self._runs.get(event, ()) if _covers(entry, run)]
        end = self._changed_again(entry) if near else END_OF_TIME
        said, found, gone = told(entry, self._units), [], set()
        for run in sorted((run for run in near if time_key(run["started_at"]) < end), key=in_order):
            if contradicts(run, said):
                gone.add(run["motor_id"])
            elif run["motor_id"] not in gone:
                found.append(run)
        return found

    def open_at(self, run: Row) -> list[Row]:
        """Entries without an outcome that this run can tell something about, the newest first."""
        waiting = {e["id"]: e for alike in self._alike.values() for e in alike if "outcome" not in e}
        near = [entry for entry in waiting.values() if _covers(entry, run)]
        found = [entry for entry in near if any(each["id"] == run["id"] for each in self.runs(entry))]
        return sorted(found, key=in_order, reverse=True)

    def _changed_again(self, entry: Row) -> str:
        """When the same thing was changed next on the same car or motor; the end of time if it was not."""
        own, alike = in_order(entry), (other for thing in things(entry) for other in self._alike[thing])
        again = (in_order(other) for other in alike if _goes_with(entry, other) and in_order(other) > own)
        return min(again, default=(END_OF_TIME,))[0]

    def beside(self, entry: Row) -> tuple[list[Row], str]:
        """Track runs of its motor or car at its event, before it and after it, in time; and when the same was changed
        again."""
        events = (entry["event_id"], NO_EVENT) if "event_id" in entry else tuple(self._runs)
        near = (run for event in events for run in self._runs.get(event, ()))
        found = [run for run in near if _goes_with(entry, run) and _same_event(entry, run)]
        return sorted(found, key=in_order), self._changed_again(entry)

    def alike(self, entry: Row) -> list[Row]:
        """Entries of the same thing on the same car or motor, this one apart."""
        others = {other["id"]: other for thing in things(entry) for other in self._alike[thing]}
        return [other for key, other in others.items() if _goes_with(entry, other) and key != entry["id"]]


def _goes_with(entry: Row, other: Row) -> bool:
    """Whether an entry and a run, or two entries, may be about the same car and motor; a blank one may be about any,
    and a change of the car about any motor in it."""
    names = ("motor_id", "car_id") if goes_with_motor(entry) else ("car_id",)
    return all(name not in entry or name not in other or entry[name] == other[name] for name in names)


def _covers(entry: Row, run: Row) -> bool:
    """Whether the run was made after the change, with what was changed."""
    after = time_key(entry["written_at"]) <= time_key(run["started_at"])
    return after and _goes_with(entry, run) and _same_event(entry, run)


def _same_event(entry: Row, run: Row) -> bool:
    """At the entry's event; an entry or a run without one is taken by time alone."""
    if "event_id" in entry and "event_id" in run:
        return bool(entry["event_id"] == run["event_id"])
    return abs(moment(run["started_at"]) - moment(entry["written_at"])) < ASKED_WITHIN
