"""Two visits to one track and one elsewhere, with track runs and changes, for the setup log and gearing."""

from pitbench.records.models import Car, Event, SetupEntry, TrackRun
from tests.unit.desk.by_hand import add_motor, new_book


class Season:
    """A logbook and short ways to write a track run and a change into it."""

    def __init__(self):
        self.book = new_book()
        self.motors = {name: add_motor(self.book, name) for name in ("Heron", "Plover")}
        self.builds = {row["motor_id"]: row["id"] for row in self.book.rows("build")}
        self.car = Car(name="No. 4")
        self.april = Event(name="Saltmouth", date="2026-04-12", track="Salt flats", note="bring soft springs")
        self.dock = Event(name="Oyster Dock", date="2026-05-03", surface="carpet")
        self.today = Event(name="Saltmouth", date="2026-05-17", track="Salt flats", surface="clay, damp")
        self.book.save("events", [self.car, self.april, self.dock, self.today])

    def run(self, at, event=None, motor="Heron", **fields):
        """A track run; its id."""
        made = TrackRun(
            motor_id=self.motors[motor],
            build_id=self.builds[self.motors[motor]],
            started_at=at,
            event_id=event.id if event else None,
            **{"car_id": self.car.id} | fields,
        )
        self.book.save("run", [made])
        return made.id

    def change(self, at, what, event=None, motor=None, **fields):
        """A setup entry; its id."""
        motor_id = self.motors[motor] if motor else None
        made = SetupEntry(written_at=at, what=what, event_id=event.id if event else None, motor_id=motor_id, **fields)
        self.book.save("change", [made])
        return made.id

    @property
    def snapshot(self):
        return self.book.snapshot()
