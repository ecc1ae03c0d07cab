"""What the track says of one motor, in sentences: how often it was raced, and its pace against the others."""

from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.desk.builds import BuildHistory, in_order
from pitbench.desk.track_rounds import round_text
from pitbench.desk.words import counted_words
from pitbench.records.stamps import friendly

if TYPE_CHECKING:
    from pitbench.desk.builds import Source
    from pitbench.desk.comparing.track_evidence import TrackEvidence
    from pitbench.figures.pace import Against


def track_words(source: "Source", motor_id: str, track: "TrackEvidence | None", now: datetime) -> list[str]:
    """One sentence or two; none for a motor that was never raced."""
    words = f"{raced_words(source, motor_id, now, 'track run')}."
    if words == ".":
        return []
    build = BuildHistory(source.rows("build")).in_force(motor_id)
    against = track.pace.of_build(build["id"] if build else None) if track else None
    return [f"{words} {pace_words(against)}" if against else words]


def raced_words(source: "Source", motor_id: str, now: datetime, run: str = "run") -> str:
    """How often a motor was raced, when and where last; empty if never. run: what one is called."""
    runs = [each for each in source.rows("track_run") if each["motor_id"] == motor_id]
    if not runs:
        return ""
    last = max(runs, key=in_order)
    event = (source.row("event", last["event_id"]) or {}).get("name", "") if "event_id" in last else ""
    where = ", ".join(text for text in (event or last.get("track", ""), round_text(last)) if text)
    words = f"{counted_words(len(runs), run)}, last {friendly(last['started_at'], now)}"
    return f"{words}: {where}" if where else words


def pace_words(against: "Against") -> str:
    """A motor's pace against the mean of those compared, in a sentence."""
    found = against.seconds
    if found.low90 < 0 < found.high90:
        between = f"between {found.low90:+.2f} and {found.high90:+.2f} s a lap"
        return f"Its pace cannot be told from the mean of the motors run beside it: {between}."
    faster = found.mean < 0
    near, far = sorted((abs(found.low90), abs(found.high90)))
    way = "under" if faster else "over"
    return f"It laps {abs(found.mean):.2f} s {way} the mean of the motors run beside it, by {near:.2f} to {far:.2f}."
