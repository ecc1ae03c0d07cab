"""An event: its name and track are enough, the rest when it is known."""

from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.forms.saving import save
from pitbench.app.widgets.form import field_of
from pitbench.desk.entry.event_entry import FIELDS, edit_event, event_problems, new_event, save_event
from pitbench.desk.event_names import event_text


class EventForm(FormScreen):
    """A new event, or an edit of one; dismisses with its name once it is saved, or None."""

    KIND = "event"
    ABOVE = " Name and track are enough: {save-record} saves at once."

    def __init__(self, name: str = "", event_id: str | None = None) -> None:
        """An event of this name named for the first time: the cursor starts at its track."""
        super().__init__()
        self._named, self._event_id = name, event_id
        self.complete = bool(name)  # named in another form, track and all as at the last event of this name

    def begin(self) -> None:
        self.title_words = "Edit event" if self._event_id else "New event"
        snapshot = self.pit.snapshot
        if self._event_id:
            self.entry = edit_event(snapshot, self._event_id)
        else:
            self.entry = new_event(snapshot, self.pit.clock(), self._named)
        self.values = self.entry.texts
        self.fields = [field_of(name) for name in FIELDS]
        self.at = FIELDS.index("track") if self._named else 0
        self.value_changed()

    def value_changed(self) -> None:
        self.mark_wrong(event_problems(self.entry, self.pit.snapshot, self.pit.clock()))

    def store(self) -> str:
        return save_event(self.pit.book, self.entry, self.pit.clock())

    def action_save_record(self) -> None:
        if save(self):
            self.dismiss(self._saved_name())

    def _saved_name(self) -> str:
        """As it names this event and no other."""
        event = self.pit.snapshot.row("event", self.entry.edits or "")
        assert event is not None
        return event_text(event, self.pit.snapshot.rows("event"))
