"""What both forms of a track run have in common: its fields, of which this racer is asked for those in use."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pitbench.app.screens.doubtful_form import DoubtfulForm
from pitbench.app.widgets.form import Field, field_of

if TYPE_CHECKING:
    from pitbench.desk.entry.track_reading import TrackEntry
    from pitbench.desk.entry.track_side import TrackSide
    from pitbench.records.units import Units

MANY = ("laps", "lap_times_s", "time", "round")
"""Laps, and where the input stands when the form opens: laps pasted at once are laps all the same."""


def track_field(name: str, units: Units) -> Field:
    """A field of a track run's forms."""
    from pitbench.desk.entry.track_fields import form_label, table_name

    made = replace(field_of(table_name(name), units, "track_run"), name=name, label=form_label(name))
    return replace(made, text=True, many=True, unit="") if name in MANY else made


class TrackFieldsForm(DoubtfulForm):
    """A subclass says which of the fields are its own."""

    _entry: TrackEntry | None = None
    _side: TrackSide | None = None

    @property
    def entry(self) -> TrackEntry:
        assert self._entry is not None
        return self._entry

    def doubts(self) -> TrackSide:
        assert self._side is not None
        return self._side

    def own_fields(self) -> tuple[str, ...]:
        """Names of all fields of this form."""
        raise NotImplementedError

    def think(self) -> None:
        """What the typed texts come to, and what is doubtful."""
        from pitbench.desk.entry.track_side import track_side

        self._side = track_side(self.entry, self.pit.snapshot, self.pit.clock())
        self.mark_doubts()

    def ask_for(self) -> None:
        """The fields this racer uses, and those of a stored run that hold something."""
        from pitbench.desk.entry.track_fields import asked_for
        from pitbench.records.units import units_of

        stand = frozenset(name for name, text in self.values.items() if text and self.entry.edits)
        units = units_of(self.pit.snapshot)
        self.fields = [track_field(name, units) for name in asked_for(self.pit.snapshot, self.own_fields(), stand)]

    def action_choose_fields(self) -> None:
        """Hide the field the input stands on from now on, or ask for every field again."""
        from pitbench.app.dialogs.choose import Choose
        from pitbench.desk.entry.track_fields import hide_field, show_all_fields

        book, name = self.pit.book, self.field.name

        def answered(choice: str | None) -> None:
            work = (lambda: hide_field(book, name)) if choice == "hide" else lambda: show_all_fields(book)
            if choice and self.pit.attempt(work):
                self._asked_anew()
            self.say(self.pit.message[0], trouble=self.pit.message[2])

        choices = (
            ("h", "hide", f"never ask for {self.field.label} again"),
            ("s", "show", "ask for every field again"),
        )
        self.pit.push_screen(Choose("Fields you never use need not stand here.", choices), answered)

    def _asked_anew(self) -> None:
        self.ask_for()
        self.at = min(self.at, len(self.fields) - 1)
        self.body.put_input(self.at, self.value)
        self.think()
        self.draw()
