"""A motor: written down with its name alone, the rest when it is known."""

from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.forms.saving import save
from pitbench.app.widgets.form import field_of
from pitbench.desk.entry.motor_entry import motor_entry, motor_problems, save_motor
from pitbench.records.units import units_of


class MotorForm(FormScreen):
    """New motor, or an edit of one; other parts than before make a new build."""

    KIND = "motor"
    ABOVE = " A name is enough. Parts you have not named yet count as the motor's own."
    FOOTER = ("next-field=next", "save-record", "save-and-repeat=save, next", "explain-field", "leave-form")

    def __init__(self, motor_id: str | None = None) -> None:
        super().__init__()
        self._motor_id = motor_id

    def begin(self) -> None:
        self.title_words = "Edit motor" if self._motor_id else "New motor"
        self.entry = motor_entry(self.pit.snapshot, self._motor_id, self.pit.clock())
        self.values = self.entry.texts
        units = units_of(self.pit.snapshot)
        self.fields = [field_of(name, units) for name in self.entry.fields]
        self.at = 0
        self.value_changed()

    def value_changed(self) -> None:
        self.mark_wrong(motor_problems(self.entry, self.pit.snapshot, self.pit.clock()))

    def store(self) -> str:
        return save_motor(self.pit.book, self.entry, self.pit.clock())

    def action_save_and_repeat(self) -> None:
        if save(self):
            kept = self.values.get("class", "")
            self._motor_id = None
            self.begin()
            self.values["class"] = kept
            self.moves.begin_again()
