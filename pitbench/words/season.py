"""The season in words: how many events, and the best gearing so far on a track."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from pitbench.records.keys import key_for
from pitbench.records.spoken import capital, counted_words, listed
from pitbench.words.ranking import in_100

if TYPE_CHECKING:
    from pitbench.desk.comparing.track_gears import GearsTried, TrackGears
    from pitbench.desk.lists.season import SeasonLine

SURE = 0.90
"""From such a chance on it is said without a doubt word."""
MOST_TRIED = 4


def season_words(lines: "Sequence[SeasonLine]") -> str:
    """One sentence over the list."""
    if not lines:
        return f"No track run yet: {key_for('add-track-run')} writes one down, and every event has its line here."
    events = len({(line.event, line.date) for line in lines})
    runs = sum(line.runs for line in lines)
    return f"The season: {counted_words(runs, 'track run')} at {counted_words(events, 'event')}, the newest first."


def best_gearing_words(line: "SeasonLine") -> list[str]:
    """Two sentences at most: which gears are the quickest so far where this was, and what was tried."""
    where = f"{line.track}, {line.class_name}" if line.class_name else line.track
    tried = line.best.tried
    if not tried:
        return [f"Best gearing so far at {where}: no run there tells its gears and its laps."]
    compared = [each for each in tried if each.seconds is not None]
    if len(tried) == 1:
        return [f"Best gearing so far at {where}: {tried[0].gears} is all that was run, {_runs(tried[0])}."]
    if len(compared) < 2:
        gears = listed([each.gears for each in tried])
        return [f"Best gearing so far at {where}: {gears} were never run on one day, so nothing compares them."]
    return [f"Best gearing so far at {where}: {_best(line.best, compared)}", _tried(compared)]


def _best(found: "TrackGears", compared: "list[GearsTried]") -> str:
    best, lead = compared[0], found.lead_s
    by = f", {lead.mean:.2f} s a lap before {compared[1].gears}" if lead else ""
    doubt = "" if best.chance_best >= SURE else ", not settled"
    return f"{best.gears}{by}: {in_100(best.chance_best)}{doubt}."


def _tried(compared: "list[GearsTried]") -> str:
    said = "; ".join(_against(each) for each in compared[:MOST_TRIED])
    return capital(f"{said}. Against the mean of these, at equal motors and hour; minus: quicker.")


def _against(each: "GearsTried") -> str:
    assert each.seconds is not None
    half = (each.seconds.high90 - each.seconds.low90) / 2
    return f"{each.gears} {each.seconds.mean:+z.2f} ±{half:.2f} s, {_runs(each)}"


def _runs(each: "GearsTried") -> str:
    return counted_words(each.runs, "run")
