"""A motor: written down with its name alone, the rest when it is known."""

from pitbench.app.forms.doubtful_form import DoubtfulForm
from pitbench.app.forms.saving import save
from pitbench.app.widgets.form import field_of
from pitbench.app.widgets.paint import Line
from pitbench.desk.entry.motor_entry import MotorDoubts, motor_doubts, motor_entry, save_motor
from pitbench.records.units import units_of


class MotorForm(DoubtfulForm):
    """New motor, or an edit of one; other parts than before make a new build."""

    KIND = "motor"
    ABOVE = " A name is enough. Parts you have not named yet count as the motor's own."
    FOOTER = ("next-field=next", "save-record", "save-and-repeat=save, next", "explain-field", "leave-form")

    def __init__(self, motor_id: str | None = None, asking: bool = False) -> None:
        """A new motor, or one edited; asking: for what waits in it."""
        super().__init__()
        self._motor_id, self.asking = motor_id, asking
        self._doubts = MotorDoubts({}, {})

    def doubts(self) -> MotorDoubts:
        return self._doubts

    def begin(self) -> None:
        self.title_words = "Edit motor" if self._motor_id else "New motor"
        self.entry = motor_entry(self.pit.snapshot, self._motor_id, self.pit.clock())
        self.values = self.entry.texts
        units = units_of(self.pit.snapshot)
        self.fields = [field_of(name, units) for name in self.entry.fields]
        self.at = 0
        self.value_changed()
        if self._motor_id:
            self.ask_first()

    def value_changed(self) -> None:
        self._doubts = motor_doubts(self.entry, self.pit.snapshot, self.pit.clock())
        self.mark_wrong(self._doubts.problems)
        self.marks = {**dict.fromkeys(self._doubts.suspects, "warn"), **self.marks}

    def below(self) -> list[Line]:
        return [(), *(self.doubt_lines() or self.meaning())]

    def footer(self) -> tuple[str, ...]:
        put = self.suggestion()
        return (*self.FOOTER[:2], f"take-suggestion=put {put}", *self.FOOTER[3:]) if put else self.FOOTER

    def store(self) -> str:
        return save_motor(self.pit.book, self.entry, self.pit.clock())

    def action_save_and_repeat(self) -> None:
        if save(self):
            self._motor_id, self.asking, self.complete = None, False, False
            self.begin()
            self.moves.begin_again()
