"""Race days on a bench of motors, for tests of pace, of the ranking with track runs, and of the motor page."""

from pitbench.records.models import Cooling, Event, TrackRun
from tests.unit.desk.bench_side import USUAL, Bench

GEARS = {"pinion": 30, "spur": 72, "internal_ratio": 1.9, "tyre_diameter_mm": 62.5}


class RaceDays(Bench):
    """A bench whose motors are raced too."""

    def __init__(self, *names: str) -> None:
        super().__init__()
        for minute, name in enumerate(names):
            for nth in range(2):
                at = f"2026-04-11T18:{10 * minute + 4 * nth:02d}"
                self.run(name, at, **(USUAL | {"kv_rpm_per_v": 3920.0 + 3 * minute + nth}))
        self.events: dict[str, Event] = {}

    def race(self, name: str, at: str, lap_s: float | None = None, event: str = "Saltmouth", **fields) -> TrackRun:
        """A track run of twenty equal laps, unless the fields say otherwise."""
        if event and event not in self.events:
            self.events[event] = Event(name=event, date=at[:10])
            self.logbook.save("event", [self.events[event]])
        given = {
            "motor_id": self.motors[name].id,
            "build_id": self.builds[name].id,
            "started_at": at,
            "event_id": self.events[event].id if event else None,
            "lap_times_s": (lap_s,) * 20 if lap_s else (),
        }
        run = TrackRun(**(given | GEARS | fields))
        self.logbook.save("race", [run])
        return run

    def cool(self, run: TrackRun, after_s: float, temp_c: float, **fields) -> Cooling:
        """A cooling reading after a run."""
        reading = Cooling(track_run_id=run.id, after_s=after_s, temp_c=temp_c, **fields)
        self.logbook.save("reading", [reading])
        return reading
