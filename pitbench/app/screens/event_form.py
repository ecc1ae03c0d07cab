"""An event: its name and track are enough, the rest when it is known."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from pitbench.app.screens.form_screen import FormScreen
from pitbench.app.widgets.form import field_of
from pitbench.app.widgets.paint import Line, line

if TYPE_CHECKING:
    from pitbench.desk.entry.event_entry import EventEntry


class EventForm(FormScreen):
    """A new event, or an edit of one; dismisses with its name once it is saved, or None."""

    KIND = "event"
    FOOTER = ("next-field=next", "save-record", "explain-field", "leave-form")

    def __init__(self, name: str = "", event_id: str | None = None) -> None:
        """An event of this name named for the first time: the cursor starts at its track."""
        super().__init__()
        self._named, self._event_id = name, event_id

    def begin(self) -> None:
        from pitbench.desk.entry.event_entry import FIELDS, edit_event, new_event

        self.title_words = "Edit event" if self._event_id else "New event"
        snapshot = self.pit.snapshot
        if self._event_id:
            self._entry = edit_event(snapshot, self._event_id)
        else:
            self._entry = new_event(snapshot, self.pit.clock(), self._named)
        self.values = self.entry.texts
        self.fields = [field_of(name) for name in FIELDS]
        self.at = FIELDS.index("track") if self._named else 0
        self.value_changed()

    @property
    def entry(self) -> EventEntry:
        found: EventEntry = self._entry
        return found

    def complete(self) -> bool:
        """One named in another form, track and all as at the last event of this name."""
        return bool(self._named)

    def value_changed(self) -> None:
        from pitbench.desk.entry.event_entry import event_problems

        self._problems = event_problems(self.entry, self.pit.snapshot, self.pit.clock())
        self.marks = {name: "bad" for name in self._problems if self.values.get(name, "").strip()}

    def above(self) -> list[Line]:
        return [line((" Name and track are enough: F2 saves at once.", "quiet"))]

    def below(self) -> list[Line]:
        here = [name for name in (self.field.name, *self._problems) if name in self.marks]
        if here:
            return [(), *self.marked(self._problems[here[0]], "bad")]
        return [(), *self.folded(f"{self.field.label}: {self.field.meaning}")]

    def store(self) -> str:
        from pitbench.desk.entry.event_entry import save_event

        return save_event(self.pit.book, self.entry, self.pit.clock())

    def wrong_fields(self) -> Iterable[str]:
        return self._problems

    def action_save_record(self) -> None:
        if self.save():
            self.dismiss(self._saved_name())

    def _saved_name(self) -> str:
        """As it names this event and no other."""
        from pitbench.desk.event_names import event_text

        event = self.pit.snapshot.row("event", self.entry.edits or "")
        assert event is not None
        return event_text(event, self.pit.snapshot.rows("event"))
