"""Which event a name means, and how one event is named so that no other is meant.

An event is a name and its first date; the same name within two days is the same event. `Saltmouth 2026-04-12` names
one, the bare name means all of that name. The only place that knows this. Events are plain rows as stored.
"""

from collections.abc import Iterable, Sequence
from datetime import date

from pitbench.records.kinds import Row
from pitbench.records.names import name_key, without_date

NEAR_DAYS = 2


def events_meant(text: str, events: Sequence[Row]) -> list[Row]:
    """The events a text means: one where it has a date (or the bare name is unique), else all of the name."""
    name, day = without_date(text)
    dated = same_event(name, day, events) if day else None
    return [dated] if dated else _of_name(text, events)


def same_event(name: str, day: str, events: Iterable[Row]) -> Row | None:
    """The event of this name whose first date lies nearest, at most two days off."""
    near = [(days_apart(event["date"], day), event["date"], event["id"], event) for event in _of_name(name, events)]
    apart, *_, event = min(near, default=(NEAR_DAYS + 1, None))
    return event if apart <= NEAR_DAYS else None


def event_text(event: Row, events: Sequence[Row]) -> str:
    """The name of an event, with its date where the name alone could mean another."""
    meant = events_meant(event["name"], events)
    return str(event["name"]) if [each["id"] for each in meant] == [event["id"]] else dated_name(event)


def dated_name(event: Row) -> str:
    """Name and first date.

    >>> dated_name({"name": "Saltmouth", "date": "2026-04-12"})
    'Saltmouth 2026-04-12'
    """
    return f"{event['name']} {event['date'][:10]}"


def days_apart(one: str, other: str) -> int:
    """Days between two stamps, whatever their time of day.

    >>> days_apart("2026-04-12T18:00", "2026-04-14")
    2
    """
    return abs((date.fromisoformat(one[:10]) - date.fromisoformat(other[:10])).days)


def _of_name(name: str, events: Iterable[Row]) -> list[Row]:
    return [event for event in events if name_key(event["name"]) == name_key(name)]
