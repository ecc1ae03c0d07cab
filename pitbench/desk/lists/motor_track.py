"""How often one motor was raced, and where last."""

from dataclasses import dataclass

from pitbench.desk.builds import in_order
from pitbench.records.kinds import Source
from pitbench.records.rounds import round_text


@dataclass(frozen=True)
class Raced:
    """How many track runs, the stamp of the last one, and its event or track with its round."""

    runs: int
    last_on: str
    where: str


def raced(source: Source, motor_id: str) -> Raced | None:
    """The track runs of a motor, those left out of figures too; None if it was never raced."""
    runs = [each for each in source.rows("track_run") if each["motor_id"] == motor_id]
    if not runs:
        return None
    last = max(runs, key=in_order)
    event = (source.row("event", last["event_id"]) or {}).get("name", "") if "event_id" in last else ""
    where = ", ".join(text for text in (event or last.get("track", ""), round_text(last)) if text)
    return Raced(len(runs), last["started_at"], where)
