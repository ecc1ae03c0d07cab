"""What did I run here last time, and what came of it: the sentences over the setup log."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from pitbench.desk.builds import in_order
from pitbench.desk.places import Here, place_of_event
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.numbers import shown
from pitbench.records.spoken import change_words
from pitbench.records.stamps import friendly, time_key
from pitbench.records.units import Units, units_of

MOST_NOTES = 3


def last_event(snapshot: Source, here: Here) -> Row | None:
    """The event that was here last: the newest one if it is over, else the one before it at the same place."""
    if here.event is None or not here.on:
        return here.event
    date = time_key(here.event["date"])
    earlier = [e for e in snapshot.rows("event") if place_of_event(e).same(here.place) and time_key(e["date"]) < date]
    return max(earlier, key=lambda e: (time_key(e["date"]), e["id"]), default=None)


def last_time_words(snapshot: Source, here: Here, now: datetime) -> list[str]:
    """Motor, gears, mark, finish temperature, result, and what was noted; or that nothing is known."""
    if here.event is None:
        return ["No event is written down yet, so no track is known as here. c writes down a change all the same."]
    event = last_event(snapshot, here)
    if event is None:
        return [f"First time at {here.spoken}: no earlier event here is in the logbook."]
    runs = sorted((r for r in snapshot.rows("track_run") if r.get("event_id") == event["id"]), key=in_order)
    told = telling_run(runs)
    ran = _ran(snapshot, told, units_of(snapshot)) if told else "no track run was written down"
    where = event["name"]
    if name_key(where) != here.place.name and "track" in event:
        where = f"{event['track']}, at {where}"  # the race day of another name was here too
    sentences = [f"Last time at {where}, {friendly(event['date'], now)}: {ran}."]
    noted = _noted(snapshot, event, runs, told)
    return [*sentences, f"You noted: {'; '.join(noted)}."] if noted else sentences


def here_words(snapshot: Source, here: Here, now: datetime) -> tuple[str, str]:
    """The event that is on and its date; its surface and the ambient of its newest run."""
    if here.event is None:
        return here.spoken, ""
    runs = [r for r in snapshot.rows("track_run") if r.get("event_id") == here.event_id and "ambient_c" in r]
    newest = max(runs, key=in_order, default=None)
    ambient = f"ambient {units_of(snapshot).degrees(newest['ambient_c'])}" if newest else ""
    facts = ", ".join(text for text in (here.event.get("surface", ""), ambient) if text)
    return f"{here.event['name']} {friendly(here.event['date'], now)}", facts


def telling_run(runs: list[Row]) -> Row | None:
    """Of the runs of one event in time, the one that counts: the last main, else the last."""
    mains = [run for run in runs if run.get("round_kind") == "main"]
    counted = mains or runs
    return counted[-1] if counted else None


def _ran(snapshot: Source, run: Mapping[str, Any], units: Units) -> str:
    gears = f"{shown(run['pinion'])}/{shown(run['spur'])}" if "pinion" in run and "spur" in run else ""
    temperature = run.get("finish_reading_c")
    said = (
        (snapshot.row("motor", run["motor_id"]) or {}).get("name", ""),
        gears,
        f"mark {shown(run['timing_mark_deg'])}°" if "timing_mark_deg" in run else "",
        "" if temperature is None else units.degrees(temperature),
        run.get("result", ""),
    )
    return ", ".join(text for text in said if text)


def _noted(snapshot: Source, event: Row, runs: list[Row], told: Row | None) -> list[str]:
    """The notes of the run that counts, of the event, of its changes with an outcome, of the other runs."""
    entries = [e for e in snapshot.rows("setup_entry") if e.get("event_id") == event["id"] and "outcome" in e]
    changes = [f"{change_words(e)}: {e['outcome']}" for e in sorted(entries, key=in_order, reverse=True)]
    others = [run["note"] for run in reversed(runs) if run is not told and "note" in run]
    found = [(told or {}).get("note", ""), event.get("note", ""), *changes, *others]
    return [text.rstrip(".") for text in dict.fromkeys(found) if text][:MOST_NOTES]
