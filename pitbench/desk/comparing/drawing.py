"""The draws of one class for whoever compares its motors: bench, track and their link, and at which conditions.

A ranking and motors side by side take them from here, so that one figure is never told as two numbers.
"""

from dataclasses import replace
from typing import TYPE_CHECKING

from pitbench.desk.answers import Basis, FigureOf
from pitbench.desk.comparing.gather import Gathered
from pitbench.desk.comparing.readings import comparison_of
from pitbench.figures import comparison
from pitbench.figures.comparison import Drawn
from pitbench.figures.intervals import Interval
from pitbench.records.team import Team
from pitbench.store.logbook import Snapshot

if TYPE_CHECKING:
    from collections.abc import Collection

    from pitbench.desk.comparing.link import Linked
    from pitbench.desk.comparing.track_evidence import TrackEvidence


def drawn_of(
    snapshot: Snapshot, gathered: Gathered, settings: Team, track: "TrackEvidence | None"
) -> tuple[Drawn, "Linked | None"]:
    """Draws of the motors gathered, with what the track says of them, and how it is tied to the bench."""
    drawn = comparison.draw(comparison_of(gathered, settings.volts_per_cell, settings.leads_mohm))
    if track is None:
        return drawn, None
    from pitbench.desk.comparing.link import linked

    drawn = track.beside(drawn, gathered.motors, snapshot)
    link = linked(drawn, track, gathered.motors, snapshot)
    return replace(drawn, unseen_pct=link.unseen_pct), link


def track_of(snapshot: Snapshot, gathered: Gathered, leave_out: "Collection[str]" = ()) -> "TrackEvidence | None":
    """What the track says; a logbook without track runs pays nothing for it."""
    if not snapshot.rows("track_run"):
        return None
    from pitbench.desk.comparing.track_evidence import evidence_of

    return evidence_of(snapshot, gathered.class_row, leave_out)


def basis_of(drawn: Drawn, track: "TrackEvidence | None") -> Basis:
    """The conditions that all figures of these draws are stated at."""
    load = drawn.asked.load
    run = track.conditions if track and "finish_temp_c" in drawn.values else None
    return Basis(
        voltage_v=load.voltage,
        leads_mohm=load.leads * 1000,
        unseen_pct=drawn.unseen_pct,
        current_a=drawn.power.current,
        timing_deg=drawn.timing.timing_deg,
        motor_temp_c=drawn.warmth.motor_temp_c,
        rollout_mm=run.rollout_mm if run else None,
        minutes=run.minutes if run else None,
        ambient_c=run.ambient_c if run else None,
    )


def figure_of(interval: Interval | None, runs: int) -> FigureOf:
    """A figure and how many runs it stands on; one that no reading carries is not known."""
    if interval is None:
        return FigureOf(None, None, None, 0)
    return FigureOf(interval.mean, interval.low90, interval.high90, runs)
