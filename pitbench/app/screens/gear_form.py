"""Own pinions and spurs written down, several at once; and the plan of the gearing screen typed instead of stepped."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from pitbench.app.screens.form_screen import FormScreen
from pitbench.app.widgets.form import Field, field_of
from pitbench.app.widgets.paint import Line, line

if TYPE_CHECKING:
    from pitbench.desk.entry.gear_entry import GearEntry
    from pitbench.desk.entry.half_filled import About
    from pitbench.desk.lists.gear_plan import GearPlan


class GearForm(FormScreen):
    """New gears, or an edit of one."""

    KIND = "gear"
    FOOTER = ("next-field=next", "save-record", "save-and-repeat=save, next", "explain-field", "leave-form")

    def __init__(self, gear_id: str | None = None) -> None:
        super().__init__()
        self._gear_id = gear_id

    def begin(self) -> None:
        from pitbench.desk.entry.gear_entry import FIELDS, edit_gear, new_gears

        snapshot = self.pit.snapshot
        self.title_words = "Edit gear" if self._gear_id else "New gears"
        self._entry = edit_gear(snapshot, self._gear_id) if self._gear_id else new_gears(snapshot)
        self.values = self.entry.texts
        made = {name: field_of(name, kind="gear") for name in FIELDS}
        several = "" if self._gear_id else " Several at once: 28 29 30, or 28-31."
        teeth = replace(made["teeth"], meaning=f"{made['teeth'].meaning}{several}", text=True)
        self.fields = list((made | {"teeth": teeth}).values())
        self.at = 0
        self.value_changed()

    @property
    def entry(self) -> GearEntry:
        found: GearEntry = self._entry
        return found

    def value_changed(self) -> None:
        from pitbench.desk.entry.gear_entry import gear_problems

        self._problems = gear_problems(self.entry)
        self.marks = {name: "bad" for name in self._problems if self.values.get(name, "").strip()}

    def above(self) -> list[Line]:
        return [line(("Of pitch, one is enough: diametral pitch or module, as it stands on the gear.", "quiet"))]

    def below(self) -> list[Line]:
        here = [name for name in (self.field.name, *self._problems) if name in self.marks]
        said = self.marked(self._problems[here[0]], "bad") if here else self.folded(_meaning(self.field))
        return [(), *said]

    def store(self) -> str:
        from pitbench.desk.entry.gear_entry import save_gears

        return save_gears(self.pit.book, self.entry)

    def wrong_fields(self) -> Iterable[str]:
        return self._problems

    def action_save_and_repeat(self) -> None:
        """Pitch and kind stay; the cursor stands on the kind, the teeth are empty."""
        if self.save():
            self._gear_id = None
            self.begin()
            self.drafts.begin()
            self.show_frame()
            self.body.put_input(0, self.value)
            self.draw()
            self.say(self.pit.message[0])  # without its hint: u is a letter here


class PlanForm(FormScreen):
    """Teeth, internal ratio and tyre of the plan; nothing of it is stored."""

    KIND = "gear_plan"
    TITLE_WORDS = "Gearing to look at"
    FOOTER = ("next-field=next", "save-record=take it", "explain-field", "leave-form")

    def __init__(self, plan: GearPlan, take: Callable[[GearPlan], None]) -> None:
        super().__init__()
        self._plan, self._take = plan, take

    def begin(self) -> None:
        from pitbench.desk.lists.gear_plan import NUMBERS, plan_texts
        from pitbench.records.units import units_of

        self._units = units_of(self.pit.snapshot)
        self.values = plan_texts(self._plan, self._units)
        self.fields = [field_of(name, self._units) for name in NUMBERS]
        self.value_changed()

    def value_changed(self) -> None:
        from pitbench.desk.lists.gear_plan import plan_problems

        self._problems = plan_problems(self.values, self._units)
        self.marks = dict.fromkeys(self._problems, "bad")

    def about(self) -> About:
        from pitbench.desk.entry.half_filled import About

        return About(self.KIND)

    def complete(self) -> bool:
        """Nothing is stored of it anyway."""
        return True

    def below(self) -> list[Line]:
        here = [name for name in (self.field.name, *self._problems) if name in self.marks]
        said = self.marked(self._problems[here[0]], "bad") if here else self.folded(_meaning(self.field))
        return [(), *said, *self.folded("Nothing of this is stored: it is only looked at.")]

    def store(self) -> str:
        from pitbench.desk.lists.gear_plan import typed_plan

        self._plan = typed_plan(self._plan, self.values, self._units)
        return ""

    def save(self) -> bool:
        """Nothing was saved, so nothing is said; the plan goes to the screen below."""
        if not super().save():
            return False
        self.pit.say("")
        self.call_later(self._take, self._plan)
        return True

    def wrong_fields(self) -> Iterable[str]:
        return self._problems


def _meaning(field: Field) -> str:
    return f"{field.label}: {field.meaning}"
