"""The conditions of a bench run: motor, time, tester, voltage and the like. Returns the texts, checked."""

from pitbench.app.forms.drafts import FormDraft, PartOfDraft
from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.widgets.form import field_of
from pitbench.app.widgets.paint import Line
from pitbench.desk.entry.bench_entry import Entry, Reading, read_entry
from pitbench.desk.entry.bench_fields import CONDITION_FIELDS
from pitbench.desk.entry.known_names import known_names
from pitbench.desk.named import named
from pitbench.records.keys import key_for
from pitbench.records.units import units_of


class ConditionsForm(FormScreen):
    """Dismisses with the conditions' texts, or None when left."""

    TITLE_WORDS = "Conditions of this bench run"
    ABOVE = " They stay as they are for the next run, until you change them."
    FOOTER = ("next-field=next", "save-record=take them", "explain-field", "leave-form")
    HELPED = ("next-field=next", "take-suggestion", "save-record=take them", "explain-field", "leave-form")
    KIND = "bench_run"
    KNOWN = ("motor",)

    def __init__(self, entry: Entry, draft: FormDraft, first: str = "") -> None:
        """`draft` of the form it stands over: what is typed here is kept in it. first: the field it begins with."""
        super().__init__()
        self._first = first
        self.drafts = PartOfDraft(self, draft)
        self.entry = entry
        self._reading: Reading | None = None

    def begin(self) -> None:
        units = units_of(self.pit.snapshot)
        self.fields = [field_of(name, units) for name in CONDITION_FIELDS]
        self.at = CONDITION_FIELDS.index(self._first) if self._first else 0
        self.values = {field.name: self.entry.texts.get(field.name, "") for field in self.fields}
        self.value_changed()

    def value_changed(self) -> None:
        self._reading = read_entry(Entry(dict(self.values)), self.pit.snapshot, self.pit.clock())
        self.marks = dict.fromkeys(self._reading.problems, "bad")

    def below(self) -> list[Line]:
        assert self._reading is not None
        names = (
            ", ".join(known_names(self.pit.snapshot, "motor"))
            or f"none yet; {key_for('leave-form')}, then {key_for('add-motor')}"
        )
        lines: list[Line] = [(), *self.body.folded(f"Motors: {names}.")]
        if self.naming.begun():
            return [*lines, (), *self.naming.lines()]
        for name, why in list(self._reading.problems.items())[:1]:
            label = next(field.label for field in self.fields if field.name == name)
            lines += [(), *self.body.marked(f"{label} {self.values.get(name, '')} {why}.", "bad")]
        return [*lines, *self.naming.lines()]

    def action_save_record(self) -> None:
        self.moves.leave()
        assert self._reading is not None
        if self._reading.problems:
            wrong = next(iter(self._reading.problems))
            self.moves.to(next(i for i, field in enumerate(self.fields) if field.name == wrong))
            return
        motor = named(self.pit.snapshot, "motor", self.values["motor"])
        self.dismiss({**self.values, "motor": motor["name"]} if motor else dict(self.values))
