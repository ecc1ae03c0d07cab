"""A change written down: what, was, now, why, outcome; where and when stand above, filled in already."""

from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.widgets.form import field_of
from pitbench.app.widgets.paint import Line
from pitbench.desk.entry.known_names import known_names
from pitbench.desk.entry.setup_entry import (
    FIELDS,
    Before,
    edit_change,
    is_part,
    new_change,
    save_change,
    setup_problems,
)
from pitbench.desk.told import CALLED
from pitbench.records.keys import key_for

MOST_KNOWN = 12


class SetupForm(FormScreen):
    """New entry, or an edit of one; the cursor starts at what was changed, or at the outcome that is still open."""

    KIND = "setup_entry"
    KNOWN = ("motor", "event")
    ABOVE = "What is enough. The outcome can wait: it is asked for after the next run."
    FOOTER = ("next-field=next", "previous-field", "save-record", "explain-field", "leave-form")
    HELPED = ("next-field=next", "take-suggestion", "save-record", "explain-field", "leave-form")

    def __init__(self, entry_id: str | None = None, what: str = "", motor_id: str | None = None) -> None:
        """motor_id: of which motor a new one is; None: of the one run last."""
        super().__init__()
        self._entry_id, self._what, self._motor_id = entry_id, what, motor_id
        self._filled = ""

    def begin(self) -> None:
        snapshot = self.pit.snapshot
        self._before = Before(snapshot)
        self.title_words = "Edit setup entry" if self._entry_id else "New setup entry"
        if self._entry_id:
            self.entry = edit_change(snapshot, self._entry_id)
        else:
            self.entry = new_change(snapshot, self.pit.clock(), self._what, self._motor_id)
        self.values = self.entry.texts
        self._filled = self.values["was"]
        self.fields = [field_of(name) for name in FIELDS]
        start = "what" if not self._entry_id or self.values["outcome"] else "outcome"
        self.at = FIELDS.index("now" if self._what else start)
        self.value_changed()

    def value_changed(self) -> None:
        if self.values["was"] == self._filled and not self._entry_id:
            self.values["was"] = self._filled = self._before.was(self.entry)
        self.mark_wrong(setup_problems(self.entry, self.pit.snapshot, self.pit.clock()))

    def below(self) -> list[Line]:
        return super().below() + self._help()

    def names(self) -> list[str]:
        """Of what was changed, what was before, and else what a track run would tell too."""
        if self.field.name == "what":
            return [*self._before.whats(), *CALLED]
        return known_names(self.pit.snapshot, self.field.name, dated=True)

    def _help(self) -> list[Line]:
        """What may be meant, for F4; in the field of what was changed, what was changed before."""
        if self.field.name == "what":
            meant = self.naming.meant()
            known = self._before.whats(self.value)[:MOST_KNOWN]
            lines = self.body.folded(f"Changed before: {', '.join(known)}.") if known else []
            if is_part(self.value):
                lines += self.body.folded(
                    f"To swap parts: {key_for('add-setup-entry')} on the page of their motor, which then is built so.",
                    "warn",
                )
            return lines + (self.body.folded(f"{key_for('take-suggestion')} puts {meant}.") if meant else [])
        return self.naming.lines()

    def store(self) -> str:
        return save_change(self.pit.book, self.entry, self.pit.clock())
