"""What both forms of a track run have in common: its fields, of which this racer is asked for those in use."""

from dataclasses import replace

from pitbench.app.dialogs.choose_fields import choose_fields
from pitbench.app.forms.doubtful_form import DoubtfulForm
from pitbench.app.widgets.form import Field, field_of
from pitbench.desk.entry import track_fields
from pitbench.desk.entry.track_fields import asked_for, form_label, table_name
from pitbench.desk.entry.track_side import TrackSide, track_side
from pitbench.records.units import Units, units_of

MANY = ("laps", "lap_times_s", "time", "round")
"""Laps, and where the input stands when the form opens: laps pasted at once are laps all the same."""


def track_field(name: str, units: Units) -> Field:
    """A field of a track run's forms."""
    made = replace(field_of(table_name(name), units, "track_run"), name=name, label=form_label(name))
    return replace(made, text=True, many=True, unit="") if name in MANY else made


class TrackFieldsForm(DoubtfulForm):
    """A subclass says which of the fields are its own."""

    KIND = "track_run"
    _gone_on = False
    """Whether texts of a draft stand here."""
    _side: TrackSide | None = None

    def doubts(self) -> TrackSide:
        assert self._side is not None
        return self._side

    def own_fields(self) -> tuple[str, ...]:
        """Names of all fields of this form."""
        raise NotImplementedError

    def think(self) -> None:
        """What the typed texts come to, and what is doubtful."""
        self._side = track_side(self.entry, self.pit.snapshot, self.pit.clock())
        self.mark_doubts()

    def ask_for(self) -> None:
        """The fields this racer uses, and those of a stored or half-filled run that hold something."""
        stands = self.entry.edits or self._gone_on
        stand = frozenset(name for name, text in self.values.items() if text and stands)
        units = units_of(self.pit.snapshot)
        self.fields = [track_field(name, units) for name in asked_for(self.pit.snapshot, self.own_fields(), stand)]

    def action_choose_fields(self) -> None:
        choose_fields(self, track_fields, self.ask_for)
