"""Own pinions and spurs written down, several at once; and the plan of the gearing screen typed instead of stepped."""

from collections.abc import Callable
from dataclasses import replace

from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.forms.saving import save
from pitbench.app.widgets.form import field_of
from pitbench.app.widgets.paint import Line
from pitbench.desk.entry.gear_entry import FIELDS, edit_gear, gear_problems, new_gears, save_gears
from pitbench.desk.lists.gear_plan import NUMBERS, GearPlan, plan_problems, plan_texts, typed_plan
from pitbench.records.units import units_of


class GearForm(FormScreen):
    """New gears, or an edit of one."""

    KIND = "gear"
    ABOVE = "Of pitch, one is enough: diametral pitch or module, as it stands on the gear."
    FOOTER = ("next-field=next", "save-record", "save-and-repeat=save, next", "explain-field", "leave-form")

    def __init__(self, gear_id: str | None = None) -> None:
        super().__init__()
        self._gear_id = gear_id

    def begin(self) -> None:
        snapshot = self.pit.snapshot
        self.title_words = "Edit gear" if self._gear_id else "New gears"
        self.entry = edit_gear(snapshot, self._gear_id) if self._gear_id else new_gears(snapshot)
        self.values = self.entry.texts
        made = {name: field_of(name, kind="gear") for name in FIELDS}
        several = "" if self._gear_id else " Several at once: 28 29 30, or 28-31."
        teeth = replace(made["teeth"], meaning=f"{made['teeth'].meaning}{several}", text=True)
        self.fields = list((made | {"teeth": teeth}).values())
        self.at = 0
        self.value_changed()

    def value_changed(self) -> None:
        self.mark_wrong(gear_problems(self.entry))

    def store(self) -> str:
        return save_gears(self.pit.book, self.entry)

    def action_save_and_repeat(self) -> None:
        """Pitch and kind stay; the cursor stands on the kind, the teeth are empty."""
        if save(self):
            self._gear_id = None
            self.begin()
            self.moves.begin_again()


class PlanForm(FormScreen):
    """Teeth, internal ratio and tyre of the plan; nothing of it is stored."""

    KIND = "gear_plan"
    TITLE_WORDS = "Gearing to look at"
    FOOTER = ("next-field=next", "save-record=take it", "explain-field", "leave-form")

    def __init__(self, plan: GearPlan, take: Callable[[GearPlan], None]) -> None:
        super().__init__()
        self._plan, self._take = plan, take
        self.complete = True  # nothing is stored of it anyway

    def begin(self) -> None:
        self._units = units_of(self.pit.snapshot)
        self.values = plan_texts(self._plan, self._units)
        self.fields = [field_of(name, self._units) for name in NUMBERS]
        self.value_changed()

    def value_changed(self) -> None:
        self.mark_wrong(plan_problems(self.values, self._units), blank_too=True)

    def below(self) -> list[Line]:
        return [*super().below(), *self.body.folded("Nothing of this is stored: it is only looked at.")]

    def store(self) -> str:
        self._plan = typed_plan(self._plan, self.values, self._units)
        return ""

    def action_save_record(self) -> None:
        """Nothing was saved, so nothing is said; the plan goes to the screen below."""
        if save(self):
            self.pit.say("")
            self.call_later(self._take, self._plan)
            self.dismiss(True)
