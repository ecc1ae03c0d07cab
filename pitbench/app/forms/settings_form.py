"""Units and settings of the team: what is shown and typed in which unit, the pack, the temperature limit."""

from dataclasses import asdict

from pitbench.app.forms.drafts import TeamsDraft
from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.widgets.form import field_of
from pitbench.desk.entry.half_filled import Draft
from pitbench.desk.entry.settings_entry import (
    FIELDS,
    convert_texts,
    save_settings,
    settings_problems,
    settings_texts,
    units_meant,
)
from pitbench.records.units import Units, units_of


class SettingsDraft(TeamsDraft):
    """Its numbers come in the team's units, and go along once the units typed are read again."""

    form: "SettingsForm"

    def to_keep(self, draft: Draft) -> Draft:
        return {**draft, "units": asdict(self.form.units)}

    def take_up(self, draft: Draft) -> None:
        super().take_up(draft)
        self.form.field_left()
        self.form.body.put_input(self.form.at, self.form.value)
        self.form.draw()


class SettingsForm(FormScreen):
    """One action saves all; u takes it back."""

    KIND = "settings"
    DRAFT = SettingsDraft
    TITLE_WORDS = "Units and settings"
    ABOVE = " For everybody who uses this logbook. Look and keys are yours alone: {open-palette}."

    def begin(self) -> None:
        self.units: Units = units_of(self.pit.snapshot)
        self.values = settings_texts(self.pit.snapshot)
        self._name_fields()
        self.value_changed()

    def _name_fields(self) -> None:
        self.fields = [field_of(name, self.units) for name in FIELDS]

    def value_changed(self) -> None:
        self.mark_wrong(settings_problems(self.pit.snapshot, self.values), blank_too=True)

    def field_left(self) -> None:
        """Another unit: the numbers below go along."""
        meant = units_meant(self.values, self.units)
        if meant != self.units:
            convert_texts(self.values, self.units, meant)
            self.units = meant
            self._name_fields()
            self.value_changed()

    def store(self) -> str:
        return save_settings(self.pit.book, self.values)
