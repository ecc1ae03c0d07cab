"""A class sheet: what the club's rule book says of a class. Its name is enough, the rest when it is known."""

from collections.abc import Mapping

from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.widgets.form import field_of
from pitbench.app.widgets.paint import Line
from pitbench.desk.entry.class_entry import FIELDS, class_doubts, class_entry, class_problems, save_class
from pitbench.records.units import units_of


class ClassForm(FormScreen):
    """A new class sheet, or an edit of one."""

    KIND = "class_sheet"
    ABOVE = " Limits as your club's rule book states them. The name alone will do."

    def __init__(self, class_id: str | None = None) -> None:
        super().__init__()
        self._class_id = class_id
        self._doubts: Mapping[str, str] = {}

    def begin(self) -> None:
        self.title_words = "Edit class sheet" if self._class_id else "New class sheet"
        self.entry = class_entry(self.pit.snapshot, self._class_id)
        self.values = self.entry.texts
        units = units_of(self.pit.snapshot)
        self.fields = [field_of(name, units, self.KIND) for name in FIELDS]
        self.value_changed()

    def value_changed(self) -> None:
        now = self.pit.clock()
        self._doubts = class_doubts(self.entry, self.pit.snapshot, now)
        self.mark_wrong(class_problems(self.entry, self.pit.snapshot, now))
        self.marks = {**dict.fromkeys(self._doubts, "warn"), **self.marks}

    def below(self) -> list[Line]:
        doubt = self._doubts.get(self.field.name)
        return [(), *self.body.marked(doubt, "warn")] if doubt and not self.wrong_lines() else super().below()

    def store(self) -> str:
        return save_class(self.pit.book, self.entry, self.pit.clock())
