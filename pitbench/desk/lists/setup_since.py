"""What the track says of a change: the runs made with it on, and which changes a run leaves open.

Asked of an index made once a snapshot, so that a long season costs no more than a short one.
"""

from collections import defaultdict
from datetime import timedelta

from pitbench.desk.builds import END_OF_TIME, in_order
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.stamps import moment, time_key

ASKED_WITHIN = timedelta(days=3)
"""An entry without an event is asked about after a run this soon. Ours."""
NO_EVENT = ""


class Since:
    """Entries by what was changed, track runs by event."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self._alike: dict[str, list[Row]] = defaultdict(list)
        for entry in source.rows("setup_entry"):
            self._alike[name_key(entry["what"])].append(entry)
        self._runs: dict[str, list[Row]] = defaultdict(list)
        for run in source.rows("track_run"):
            self._runs[run.get("event_id", NO_EVENT)].append(run)

    def runs(self, entry: Row) -> list[Row]:
        """Track runs with this change on: of its motor or car, at its event, until the same was changed again."""
        events = (entry["event_id"], NO_EVENT) if "event_id" in entry else tuple(self._runs)
        near = [run for event in events for run in self._runs.get(event, ()) if _covers(entry, run, END_OF_TIME)]
        end = self._changed_again(entry) if near else END_OF_TIME
        return sorted((run for run in near if time_key(run["started_at"]) < end), key=in_order)

    def open_at(self, run: Row) -> list[Row]:
        """Entries without an outcome that this run can tell something about, the newest first."""
        waiting = (e for alike in self._alike.values() for e in alike if "outcome" not in e)
        near = [entry for entry in waiting if _covers(entry, run, END_OF_TIME)]
        found = [entry for entry in near if _covers(entry, run, self._changed_again(entry))]
        return sorted(found, key=in_order, reverse=True)

    def _changed_again(self, entry: Row) -> str:
        """When the same thing was changed next on the same car or motor; the end of time if it was not."""
        own, alike = in_order(entry), self._alike[name_key(entry["what"])]
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
        others = self._alike[name_key(entry["what"])]
        return [other for other in others if _goes_with(entry, other) and other["id"] != entry["id"]]


def _goes_with(entry: Row, other: Row) -> bool:
    """Whether an entry and a run, or two entries, may be about the same car and motor; a blank one may be about any."""
    return all(name not in entry or name not in other or entry[name] == other[name] for name in ("motor_id", "car_id"))


def _covers(entry: Row, run: Row, end: str) -> bool:
    """Whether the run was made with this change on, which was changed again at `end`."""
    at = time_key(run["started_at"])
    return time_key(entry["written_at"]) <= at < end and _goes_with(entry, run) and _same_event(entry, run)


def _same_event(entry: Row, run: Row) -> bool:
    """At the entry's event; an entry or a run without one is taken by time alone."""
    if "event_id" in entry and "event_id" in run:
        return bool(entry["event_id"] == run["event_id"])
    return abs(moment(run["started_at"]) - moment(entry["written_at"])) < ASKED_WITHIN
