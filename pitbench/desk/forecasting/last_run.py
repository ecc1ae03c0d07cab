"""The newest track run of a class, which the card for the main counts its changes from."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pitbench.desk.builds import in_order
from pitbench.desk.forecasting.heat import Heat
from pitbench.records.kinds import Source
from pitbench.records.stamps import moment


@dataclass(frozen=True)
class LastRun:
    """A track run as stored, with the names of its motor and event; empty where it has none."""

    run: dict[str, Any]
    motor: str
    event: str


def last_run(source: Source, heat: Heat, now: datetime) -> LastRun | None:
    """The newest track run of the class that has started, whatever motor it was."""
    begun = [run for run in heat.runs if moment(run["started_at"]) <= now]
    if not begun:
        return None
    run = max(begun, key=in_order)
    motor, event = source.row("motor", run["motor_id"]), source.row("event", run.get("event_id", ""))
    return LastRun(run, (motor or {}).get("name", ""), (event or {}).get("name", ""))
