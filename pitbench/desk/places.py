"""Which event is on, and what counts as "here": the same track, else the same name. Asked here and nowhere else.

Rows are plain dicts as stored; nothing is computed from laps or temperatures.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.stamps import moment, time_key

LASTS = timedelta(days=3)
"""An event is on from its first date until this much later: the same name within two days is the same event."""


@dataclass(frozen=True)
class Place:
    """Where something was: track and event name, each as a key; empty where unknown."""

    track: str = ""
    name: str = ""

    def same(self, other: "Place") -> bool:
        """Same track; where one of them has none, same event name."""
        if self.track and other.track:
            return self.track == other.track
        return bool(self.name) and self.name == other.name


def place_of_event(event: Mapping[str, Any]) -> Place:
    """Where an event is held."""
    return Place(name_key(event.get("track", "")), name_key(event["name"]))


def place_of(row: Mapping[str, Any], events: Mapping[str, Row]) -> Place:
    """Where a track run or setup entry belongs: its own track, else its event's."""
    event = events.get(row.get("event_id", ""))
    at = place_of_event(event) if event else Place()
    return Place(name_key(row["track"]), at.name) if "track" in row else at


@dataclass(frozen=True)
class Here:
    """The event, whether it is not over yet, and its place; without any event, the place of the newest record."""

    event: Row | None
    on: bool
    place: Place
    spoken: str

    @property
    def event_id(self) -> str | None:
        return str(self.event["id"]) if self.event else None


def _by_date(event: Mapping[str, Any]) -> tuple[str, str, str]:
    """Of two events of one date, the one written down last is meant."""
    return (time_key(event["date"]), event.get("edited_at", ""), event["id"])


def event_on(source: Source, now: datetime) -> Row | None:
    """The newest event that has begun and is not over."""
    on = (e for e in source.rows("event") if moment(e["date"]) <= now < moment(e["date"]) + LASTS)
    return max(on, key=_by_date, default=None)


def here_of(snapshot: Source, now: datetime) -> Here:
    """Where we are: the event that is on, else the one of the newest date, else the track written down last."""
    events = snapshot.rows("event")
    event = event_on(snapshot, now) or max(events, key=_by_date, default=None)
    if event is not None:
        on = moment(event["date"]) + LASTS > now
        return Here(event, on, place_of_event(event), event["name"])
    placed = [(time_key(run["started_at"]), run["track"]) for run in snapshot.rows("track_run") if "track" in run]
    placed += [(time_key(e["written_at"]), e["track"]) for e in snapshot.rows("setup_entry") if "track" in e]
    track = max(placed, default=("", ""))[1]
    return Here(None, False, Place(name_key(track)), track)
