"""Units and settings of the team: what is shown and typed in which unit, the pack, the temperature limit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import TYPE_CHECKING

from pitbench.app.screens.form_screen import FormScreen
from pitbench.app.widgets.form import field_of
from pitbench.app.widgets.paint import Line, line

if TYPE_CHECKING:
    from pitbench.desk.entry.half_filled import About, Draft
    from pitbench.records.units import Units


class SettingsForm(FormScreen):
    """One action saves all; u takes it back."""

    KIND = "settings"
    TITLE_WORDS = "Units and settings"
    FOOTER = ("next-field=next", "save-record", "explain-field", "leave-form")

    def begin(self) -> None:
        from pitbench.desk.entry.settings_entry import settings_texts
        from pitbench.records.units import units_of

        self._units: Units = units_of(self.pit.snapshot)
        self.values = settings_texts(self.pit.snapshot)
        self._name_fields()
        self.value_changed()

    def _name_fields(self) -> None:
        from pitbench.desk.entry.settings_entry import FIELDS

        self.fields = [field_of(name, self._units) for name in FIELDS]

    def about(self) -> About:
        from pitbench.desk.entry.half_filled import THE_TEAMS, About

        return About(self.KIND, edits=THE_TEAMS)

    def to_keep(self, draft: Draft) -> Draft:
        return {**draft, "units": asdict(self._units)}

    def take_up(self, draft: Draft) -> None:
        """Its numbers come in the team's units, and go along once the units typed are read again."""
        super().take_up(draft)
        self.field_left()
        self.body.put_input(self.at, self.value)
        self.draw()

    def value_changed(self) -> None:
        from pitbench.desk.entry.settings_entry import settings_problems

        self._problems = settings_problems(self.pit.snapshot, self.values)
        self.marks = dict.fromkeys(self._problems, "bad")

    def field_left(self) -> None:
        """Another unit: the numbers below go along."""
        from pitbench.desk.entry.settings_entry import convert_texts, units_meant

        meant = units_meant(self.values, self._units)
        if meant != self._units:
            convert_texts(self.values, self._units, meant)
            self._units = meant
            self._name_fields()
            self.value_changed()

    def above(self) -> list[Line]:
        return [line((" For everybody who uses this logbook. Look and keys are yours alone: Ctrl+P.", "quiet"))]

    def below(self) -> list[Line]:
        here = [self._problems[n] for n in (self.field.name, *self._problems) if n in self._problems]
        if here:
            return [(), *self.marked(here[0], "bad")]
        return [(), *self.folded(f"{self.field.label}: {self.field.meaning}")]

    def store(self) -> str:
        from pitbench.desk.entry.settings_entry import save_settings

        return save_settings(self.pit.book, self.values)

    def wrong_fields(self) -> Iterable[str]:
        return self._problems
