"""What a track run was driven with: motor, event, car, gears, tyres, timing. Taken over from the last run."""

from dataclasses import replace

from pitbench.app.forms.drafts import FormDraft, PartOfDraft
from pitbench.app.forms.track_fields_form import TrackFieldsForm
from pitbench.app.widgets.paint import Line
from pitbench.desk.entry.track_entry import change_motor, count_on
from pitbench.desk.entry.track_fields import CAR_FIELDS
from pitbench.desk.entry.track_reading import TrackEntry
from pitbench.records.keys import key_for


class CarForm(TrackFieldsForm):
    """Dismisses with the entry as it was changed, or None when left."""

    TITLE_WORDS = "Motor, event and car of this track run"
    ABOVE = " They stay as they are for the next run, until you change them."
    FOOTER = ("next-field=next", "save-record=take them", "choose-fields", "explain-field", "leave-form")
    HELPED = ("next-field=next", "take-suggestion", "save-record=take them", "explain-field", "leave-form")
    KNOWN = ("motor",)

    def __init__(self, entry: TrackEntry, draft: FormDraft) -> None:
        """`draft` of the form it stands over: what is typed here is kept in it."""
        super().__init__()
        self.drafts = PartOfDraft(self, draft)
        begun = replace(entry.begun, texts=dict(entry.begun.texts))
        self.entry = replace(entry, texts=dict(entry.texts), begun=begun)

    def begin(self) -> None:
        self.values = self.entry.texts
        self.ask_for()
        self.value_changed()

    def own_fields(self) -> tuple[str, ...]:
        return CAR_FIELDS

    def value_changed(self) -> None:
        self.think()
        if self._new_event():
            self.marks["event"] = "warn"

    def _new_event(self) -> str:
        """The name of an event nobody has written down yet; empty if it is known, or not named."""
        return self.values.get("event", "").strip() if "event" in self.doubts().problems else ""

    def field_left(self) -> None:
        work = {"motor": change_motor, "event": count_on}.get(self.field.name)
        if work is not None:
            work(self.entry, self.pit.snapshot, self.pit.clock())
            self.value_changed()

    def passed_over(self, name: str) -> str:
        return "the event's" if name == "track" and self.values.get("event", "").strip() else ""

    def below(self) -> list[Line]:
        if self.field.name == "event" and self._new_event():
            return self.body.folded(f"{self._new_event()} is new: {key_for('save-record')} asks for its track.", "warn")
        return self.naming.lines(self.doubt_lines()) or self._names() or self.meaning()

    def _names(self) -> list[Line]:
        """Motors, events and cars that are written down already."""
        kind = self.field.name
        if kind not in ("motor", "event", "car"):
            return []
        return self.body.folded(f"{kind.capitalize()}s: {', '.join(self.names()) or 'none yet'}.")

    def action_save_record(self) -> None:
        """Take them; an event named for the first time is asked for its track first."""
        self.moves.leave()
        wrong = [name for name in self.doubts().reading.problems if name in {field.name for field in self.fields}]
        if self._new_event() and wrong == ["event"]:
            self._write_event()
        elif wrong:
            self.moves.to(next(i for i, field in enumerate(self.fields) if field.name == wrong[0]))
        else:
            self.dismiss(self.entry)

    def _write_event(self) -> None:
        def answered(name: str | None) -> None:
            if name:
                self.values["event"] = name
                count_on(self.entry, self.pit.snapshot, self.pit.clock())
                self.value_changed()
                self.action_save_record()

        self.pit.routes.open("event-form", self._new_event(), then=answered)
