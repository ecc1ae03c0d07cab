"""What a track run was driven with: motor, event, car, gears, tyres, timing. Taken over from the last run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from pitbench.app.screens.doubtful_form import DoubtfulForm
from pitbench.app.screens.form_screen import FormScreen
from pitbench.app.widgets.form import Field, field_of
from pitbench.app.widgets.paint import Line, line

if TYPE_CHECKING:
    from pitbench.desk.track_reading import TrackEntry
    from pitbench.desk.track_side import TrackSide
    from pitbench.desk.units import Units

MEANINGS = {
    "time": "When it ended: just finished, 2 min ago, 13:41; or started 13:36.",
    "round": "p, q or m counts on; or practice 2, q1, main A.",
    "laps": "Laps and time in one: 22/5:03.4. Either alone will do.",
    "lap_times_s": "Paste or type them all: 14.53 14.60 0:14.71.",
    "finish_reading_after_s": "How long after the finish; the clock fills it in.",
    "incident": "c crash, t traffic, s stopped early, or your own words. Its laps stay out of pace.",
    "event": "The race day. A new name asks for its track.",
    "track": "Where it was run, when it is no event.",
}
MANY = ("laps", "lap_times_s")


def track_field(name: str, units: Units) -> Field:
    """A field of a track run's forms."""
    from pitbench.desk.track_fields import label_of

    if name in ("time", "laps"):
        return Field(name, label_of(name), "", MEANINGS[name], text=True, many=name in MANY)
    made = replace(field_of(name, units), label=label_of(name))
    if name in MEANINGS:
        made = replace(made, meaning=MEANINGS[name])
    return replace(made, text=True, unit="", many=True) if name in MANY else made


def ask_fields(form: FormScreen, changed: Callable[[], None]) -> None:
    """Hide the field the input stands on, or show every field again; then `changed`."""
    from pitbench.app.dialogs.choose import Choose
    from pitbench.desk.track_fields import hide_field, show_all_fields

    name = form.field.name

    def answered(choice: str | None) -> None:
        book = form.pit.book
        work = (lambda: hide_field(book, name)) if choice == "hide" else lambda: show_all_fields(book)
        if choice and form.pit.attempt(work):
            changed()
        form.say(form.pit.message[0], trouble=form.pit.message[2])

    choices = (("h", "hide", f"never ask for {form.field.label} again"), ("s", "show", "ask for every field again"))
    form.pit.push_screen(Choose("Fields you never use need not stand here.", choices), answered)


class CarForm(DoubtfulForm):
    """Dismisses with the entry as it was changed, or None when left."""

    SELECTS = True
    TITLE_WORDS = "Motor, event and car of this track run"
    FOOTER = ("next-field=next", "save-record=take them", "choose-fields", "explain-field", "leave-form")

    def __init__(self, entry: TrackEntry) -> None:
        super().__init__()
        begun = replace(entry.begun, texts=dict(entry.begun.texts))
        self._entry = replace(entry, texts=dict(entry.texts), begun=begun)
        self._side: TrackSide | None = None

    def doubts(self) -> TrackSide:
        assert self._side is not None
        return self._side

    def begin(self) -> None:
        self.values = self._entry.texts
        self._ask_for()
        self.value_changed()

    def _ask_for(self) -> None:
        from pitbench.desk.track_fields import CAR_FIELDS, asked_for
        from pitbench.desk.units import units_of

        stand = frozenset(name for name, text in self.values.items() if text and self._entry.edits)
        units = units_of(self.pit.snapshot)
        self.fields = [track_field(name, units) for name in asked_for(self.pit.snapshot, CAR_FIELDS, stand)]

    def value_changed(self) -> None:
        from pitbench.desk.track_side import track_side

        self._side = track_side(self._entry, self.pit.snapshot, self.pit.clock())
        self.mark_doubts()
        if self._new_event():
            self.marks["event"] = "warn"

    def _new_event(self) -> str:
        """The name of an event nobody has written down yet; empty if it is known, or not named."""
        return self.values.get("event", "").strip() if "event" in self.doubts().problems else ""

    def field_left(self) -> None:
        from pitbench.desk.track_entry import change_motor, count_on

        work = {"motor": change_motor, "event": count_on}.get(self.field.name)
        if work is not None:
            work(self._entry, self.pit.snapshot, self.pit.clock())
            self.value_changed()

    def skipped(self, name: str) -> bool:
        return name == "track" and bool(self.values.get("event", "").strip())

    def above(self) -> list[Line]:
        return [line((" They stay as they are for the next run, until you change them.", "quiet"))]

    def below(self) -> list[Line]:
        if self.field.name == "event" and self._new_event():
            return self.folded(f"{self._new_event()} is new: F2 asks for its track.", "warn")
        return self.doubt_lines() or self._names() or self.folded(f"{self.field.label}: {self.field.meaning}")

    def _names(self) -> list[Line]:
        """Motors, events and cars that are written down already."""
        kind = self.field.name
        if kind not in ("motor", "event", "car"):
            return []
        names = sorted({row["name"] for row in self.pit.snapshot.rows(kind)})
        return self.folded(f"{kind.capitalize()}s: {', '.join(names) or 'none yet'}.")

    def action_choose_fields(self) -> None:
        def changed() -> None:
            self._ask_for()
            self.at = min(self.at, len(self.fields) - 1)
            self.body.put_input(self.at, self.value)
            self.value_changed()
            self.draw()

        ask_fields(self, changed)

    def action_save_record(self) -> None:
        """Take them; an event named for the first time is asked for its track first."""
        self.take_typed()
        self.field_left()
        wrong = [name for name in self.doubts().reading.problems if name in {field.name for field in self.fields}]
        if self._new_event() and wrong == ["event"]:
            self._write_event()
        elif wrong:
            self.go_to_field(next(i for i, field in enumerate(self.fields) if field.name == wrong[0]))
        else:
            self.dismiss(self._entry)

    def _write_event(self) -> None:
        from pitbench.app.screens.event_form import EventForm
        from pitbench.desk.track_entry import count_on

        def answered(name: str | None) -> None:
            if name:
                self.values["event"] = name
                count_on(self._entry, self.pit.snapshot, self.pit.clock())
                self.value_changed()
                self.action_save_record()

        self.pit.push_screen(EventForm(self._new_event()), answered)
