"""The season: of every event what was run and what came of it, and the best gearing so far on its track."""

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pitbench.desk.builds import in_order
from pitbench.desk.comparing.pace import TrackPace, pace_of
from pitbench.desk.comparing.track_gears import TrackGears, gears_of_track
from pitbench.desk.lists.last_time import telling_run
from pitbench.desk.named import name_of
from pitbench.desk.places import Place, place_of
from pitbench.desk.track_figures import average_lap_of
from pitbench.records.kinds import Row, Source
from pitbench.records.spoken import gears_text
from pitbench.records.stamps import time_key

if TYPE_CHECKING:
    from pitbench.figures.pace import Against


@dataclass(frozen=True)
class SeasonLine:
    """One class at one event, told by its last main, else its last run. key: id of that run; runs: how many there
    were; finish_c: what the thermometer said; against: its pace against its day."""

    key: str
    date: str
    event: str
    track: str
    class_name: str
    motor: str
    gears: str
    average_lap_s: float | None
    finish_c: float | None
    against: "Against | None"
    result: str
    runs: int
    best: TrackGears


def season(source: Source) -> list[SeasonLine]:
    """A line for every class of every event, else of every day on a track, the newest first."""
    events = {row["id"]: row for row in source.rows("event")}
    classes = {motor["id"]: motor.get("class_id") for motor in source.rows("motor")}
    groups: dict[tuple[str, str | None], list[Row]] = defaultdict(list)
    for run in sorted(source.rows("track_run"), key=in_order):
        if run["motor_id"] in classes:
            where = run.get("event_id") or f"{run['started_at'][:10]} {place_of(run, events).track}"
            groups[where, classes[run["motor_id"]]].append(run)
    paces = {class_id: pace_of(source, class_id) for _, class_id in groups}
    tried: dict[tuple[str | None, Place], TrackGears] = {}
    found = []
    for (_, class_id), runs in groups.items():
        place = place_of(runs[-1], events)
        if (class_id, place) not in tried:
            tried[class_id, place] = gears_of_track(source, class_id, place, events)
        found.append(_line(source, runs, events, class_id, paces[class_id], tried[class_id, place]))
    return sorted(found, key=lambda line: time_key(line.date), reverse=True)


def _line(
    source: Source, runs: list[Row], events: dict[str, Row], class_id: str | None, pace: TrackPace, best: TrackGears
) -> SeasonLine:
    told = telling_run(runs)
    assert told is not None
    event = events.get(told.get("event_id", ""), {})
    track = str(told.get("track") or event.get("track", ""))
    return SeasonLine(
        key=told["id"],
        date=str(event.get("date", told["started_at"]))[:10],
        event=str(event.get("name", track)),
        track=track or str(event.get("name", "")),
        class_name=name_of(source, "class_sheet", class_id),
        motor=name_of(source, "motor", told["motor_id"]),
        gears=gears_text(told),
        average_lap_s=average_lap_of(told),
        finish_c=told.get("finish_reading_c"),
        against=pace.against_its_day(told["id"], with_rollout=True),
        result=str(told.get("result", "")),
        runs=len(runs),
        best=best,
    )
