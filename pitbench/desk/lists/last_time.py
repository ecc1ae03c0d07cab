"""What did I run here last time, and what came of it?"""

from dataclasses import dataclass

from pitbench.desk.answered import counting
from pitbench.desk.builds import in_order
from pitbench.desk.named import name_of
from pitbench.desk.places import Here, place_of_event
from pitbench.desk.track_figures import average_lap_of
from pitbench.records.kinds import Row, Source
from pitbench.records.spoken import change_words
from pitbench.records.stamps import time_key

MOST_NOTES = 3


@dataclass(frozen=True)
class LastTime:
    """The event that was here last, the run of it that counts with its motor's name and average lap, and what was
    noted."""

    event: Row
    run: Row | None
    motor: str
    average_lap_s: float | None
    noted: list[str]


def last_event(snapshot: Source, here: Here) -> Row | None:
    """The event that was here last: the newest one if it is over, else the one before it at the same place."""
    if here.event is None or not here.on:
        return here.event
    date = time_key(here.event["date"])
    earlier = [e for e in snapshot.rows("event") if place_of_event(e).same(here.place) and time_key(e["date"]) < date]
    return max(earlier, key=lambda e: (time_key(e["date"]), e["id"]), default=None)


def telling_run(runs: list[Row]) -> Row | None:
    """Of the runs of one event in time, the one that counts: the last main, else the last."""
    mains = [run for run in runs if run.get("round_kind") == "main"]
    counted = mains or runs
    return counted[-1] if counted else None


def last_time(snapshot: Source, here: Here) -> LastTime | None:
    """What was run here last; None where no earlier event here is known."""
    event = last_event(snapshot, here)
    if event is None:
        return None
    runs = sorted((r for r in snapshot.rows("track_run") if r.get("event_id") == event["id"]), key=in_order)
    told = telling_run(runs)
    motor = name_of(snapshot, "motor", told["motor_id"]) if told else ""
    return LastTime(event, told, motor, average_lap_of(told) if told else None, _noted(snapshot, event, runs, told))


def ambient_here(snapshot: Source, here: Here) -> float | None:
    """The ambient of the newest run of the event that is on, in °C."""
    runs = [r for r in counting(snapshot.rows("track_run")) if r.get("event_id") == here.event_id and "ambient_c" in r]
    return max(runs, key=in_order)["ambient_c"] if here.event is not None and runs else None


def _noted(snapshot: Source, event: Row, runs: list[Row], told: Row | None) -> list[str]:
    """The notes of the run that counts, of the event, of its changes with an outcome, of the other runs."""
    entries = [e for e in snapshot.rows("setup_entry") if e.get("event_id") == event["id"] and "outcome" in e]
    changes = [f"{change_words(e)}: {e['outcome']}" for e in sorted(entries, key=in_order, reverse=True)]
    others = [run["note"] for run in reversed(runs) if run is not told and "note" in run]
    found = [(told or {}).get("note", ""), event.get("note", ""), *changes, *others]
    return [text.rstrip(".") for text in dict.fromkeys(found) if text][:MOST_NOTES]
