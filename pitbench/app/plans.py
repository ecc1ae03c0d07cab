"""What is planned for the next run, by motor: shared by Temperature and the card for the main, gone when the app ends.

A plan begins as the motor was run last; keys change it; a newer run of the motor begins it anew.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

    from pitbench.desk import Snapshot
    from pitbench.desk.forecasting.forecast import Planned
    from pitbench.desk.forecasting.heat import Heat
    from pitbench.desk.forecasting.next_start import Start


class Plans:
    """One for the app."""

    def __init__(self) -> None:
        self._plans: dict[str, tuple[Planned | None, Planned | None]] = {}
        """By motor: as its runs say, and as the keys have changed it."""
        self._start: Start | None = None
        self._told: tuple[str, str] | None = None
        """The event whose start times it was read from, and those times."""

    def begin(self, snapshot: Snapshot, heat: Heat) -> None:
        """Begin every motor's plan that its runs now say otherwise."""
        from pitbench.desk.forecasting.temperature_plan import first_plan

        for motor in snapshot.rows("motor"):
            began = first_plan(snapshot, heat, motor["id"])
            if self._plans.get(motor["id"], (None, None))[0] != began:
                self._plans[motor["id"]] = (began, began)

    def of(self, motor_id: str) -> Planned | None:
        """The plan of a motor as it stands."""
        return self._plans.get(motor_id, (None, None))[1]

    def changed(self) -> dict[str, Planned]:
        """The plans that keys have changed, by motor."""
        return {motor: plan for motor, (began, plan) in self._plans.items() if plan is not None and plan != began}

    def step(self, motor_id: str, name: str, by: int) -> None:
        """One step more or less of one number."""
        from pitbench.desk.forecasting.temperature_plan import stepped_plan

        began, plan = self._plans.get(motor_id, (None, None))
        if plan is not None:
            self._plans[motor_id] = (began, stepped_plan(plan, name, by))

    def start(self, snapshot: Snapshot, now: datetime) -> Start:
        """The next round, or the time the keys have set, until it has passed or other start times are written down."""
        from pitbench.desk.forecasting.next_start import next_start
        from pitbench.desk.places import event_on

        event = event_on(snapshot, now)
        told = (event["id"], event.get("start_times", "")) if event else None
        if self._start is None or self._start.at <= now or told != self._told:
            self._start, self._told = next_start(event, now), told
        return self._start

    def move_start(self, snapshot: Snapshot, now: datetime, minutes: int) -> None:
        """Another time for the next start, never before now."""
        from pitbench.desk.forecasting.next_start import Start

        start = self.start(snapshot, now)
        moved = start.at + timedelta(minutes=minutes)
        if moved > now:
            self._start = Start(moved, start.round, True)
