"""The keys of the track side on every list screen: a new track run, a temperature reading, the event, the settings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.screen import Screen

    from pitbench.app.app import PitbenchApp


class TrackKeys:
    """Mixed into the list screens, which say which motor is meant and whether the logbook may be written."""

    if TYPE_CHECKING:

        @property
        def pit(self) -> PitbenchApp: ...

        def marked_motor(self) -> str | None: ...

        def may_write(self) -> bool: ...

        def open_form(self, make: Callable[[], Screen[Any]]) -> None: ...

    def action_add_track_run(self) -> None:
        if not self.may_write():
            return
        if self.pit.snapshot.rows("motor"):
            open_track_form(self.pit, self.marked_motor())
        else:
            self.pit.say("A track run needs a motor: m writes one down.")

    def action_add_reading(self) -> None:
        from pitbench.app.screens.reading_form import ReadingForm
        from pitbench.desk.entry.cooling_entry import run_to_read

        if self.may_write():
            if run_to_read(self.pit.snapshot, self.marked_motor(), self.pit.clock()) is None:
                self.pit.say("No track run today to read a temperature of: t writes one down.")
            else:
                self.pit.push_screen(ReadingForm(self.marked_motor()))

    def action_edit_event(self) -> None:
        """The event that is on; a new one when none is."""
        from pitbench.app.screens.event_form import EventForm
        from pitbench.desk.places import event_on

        if self.may_write():
            event = event_on(self.pit.snapshot, self.pit.clock())
            self.pit.push_screen(EventForm(event_id=event["id"] if event else None))

    def action_edit_settings(self) -> None:
        from pitbench.app.screens.settings_form import SettingsForm

        self.open_form(SettingsForm)


def open_track_form(pit: PitbenchApp, motor_id: str | None) -> None:
    """A new track run's form; after the run was saved, a change whose outcome is open is asked about."""
    from pitbench.app.screens.setup_form import ask_outcome
    from pitbench.app.screens.track_form import TrackForm

    def done(run_id: str | None) -> None:
        run = pit.snapshot.row("track_run", run_id) if run_id else None
        if run is not None:
            ask_outcome(pit, run["motor_id"], run.get("car_id"))

    pit.push_screen(TrackForm(motor_id), done)
