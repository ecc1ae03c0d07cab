"""The best gearing so far on a track: which gears of a class lapped quickest there, compared inside its race days."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pitbench.desk.comparing.pace import raced
from pitbench.desk.places import Place, place_of
from pitbench.records.kinds import Row, Source
from pitbench.records.spoken import gears_text

if TYPE_CHECKING:
    from pitbench.figures.intervals import Interval


@dataclass(frozen=True)
class GearsTried:
    """One set of gears: on how many runs with a pace, seconds a lap against the others there (None: never run beside
    another on one day), and the chance that it is the quickest of them."""

    gears: str
    runs: int
    seconds: "Interval | None"
    chance_best: float


@dataclass(frozen=True)
class TrackGears:
    """Gears tried on a track, the best first, then those not compared; by how much the best leads, in seconds."""

    tried: tuple[GearsTried, ...] = ()
    lead_s: "Interval | None" = None


def gears_of_track(source: Source, class_id: str | None, place: Place, events: Mapping[str, Row]) -> TrackGears:
    """What the runs of a class at this place say of its gears."""
    from pitbench.figures.gear_pace import gear_pace

    runs, columns, _ = raced(source, class_id, lambda run: bool(gears_text(run)) and place_of(run, events).same(place))
    if not runs:
        return TrackGears()
    said = [gears_text(run) for run in runs]
    names = sorted({*said})
    found = gear_pace(columns, [names.index(each) for each in said])
    each = zip(names, found.seconds, found.chance_best, strict=True)
    tried = [GearsTried(name, said.count(name), seconds, chance) for name, seconds, chance in each]
    tried.sort(key=lambda one: (one.seconds is None, one.seconds.mean if one.seconds else -one.runs, one.gears))
    return TrackGears(tuple(tried), found.lead_s)
