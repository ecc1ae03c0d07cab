"""New track run: just finished, laps, temperature, go. The clock runs from the finish; car and gears wait behind F6."""

from pitbench.app.forms.drafts import FormDraft
from pitbench.app.forms.saving import save
from pitbench.app.forms.track_fields_form import TrackFieldsForm
from pitbench.app.widgets.paint import Line, Lines, Span, fitted, line, width_of
from pitbench.desk.entry.cooling_entry import no_delay, too_early
from pitbench.desk.entry.half_filled import Draft
from pitbench.desk.entry.track_entry import (
    edit_track_entry,
    kept_texts,
    leave_field,
    new_track_entry,
    save_track_run,
    take_texts,
)
from pitbench.desk.entry.track_fields import CAR_FIELDS, RUN_FIELDS, SAID_IN, hidden_fields
from pitbench.desk.entry.track_reading import TrackEntry
from pitbench.desk.entry.track_side import also_on_car
from pitbench.desk.entry.track_times import since_words
from pitbench.records.keys import key_for
from pitbench.records.laps import are_laps, is_laps_and_time
from pitbench.records.names import clean_text
from pitbench.words.cautions import TRACK
from pitbench.words.waiting import asks, waits_words


class TrackDraft(FormDraft):
    """The time settles by itself when its field is left; only one that was typed counts."""

    form: "TrackForm"

    def touched(self) -> bool:
        return bool(self.typed().keys() - {"time"}) or not self.form.entry.untouched("time")

    def to_keep(self, draft: Draft) -> Draft:
        return {**draft, "texts": kept_texts(self.form.entry, self.form.pit.snapshot, draft["texts"])}

    def take_up(self, draft: Draft) -> None:
        self.form.go_on(take_texts(self.form.entry, draft["texts"]))
        super().take_up(draft)


class TrackForm(TrackFieldsForm):
    """One track run: new or edited. Dismisses with the id of the run that was saved, or None."""

    CAUTION, CAUTION_BESIDE = TRACK, True
    DRAFT = TrackDraft
    GO_ON_KEY = "t"
    ESC_KEEPS = True
    DROP_WORDS = "drop what was typed; the run stays as it was"

    def __init__(self, motor_id: str | None, run_id: str | None = None, asking: bool = False) -> None:
        """A new run of this motor (None: that of the last run), or `run_id` edited; asking: for what waits in it."""
        super().__init__()
        self._motor_id, self._run_id, self.asking = motor_id, run_id, asking
        self._time_began = ""
        self._also = ""

    # beginning

    def begin(self) -> None:
        self.title_words = "Edit track run" if self._run_id else "New track run"
        self.hint = f"{key_for('leave-form')} {'leaves it as it was' if self._run_id else 'keeps the draft'}"
        if self._run_id:
            self.entry = edit_track_entry(self.pit.snapshot, self._run_id, self.pit.clock())
        else:
            self.entry = new_track_entry(self.pit.snapshot, self.pit.clock(), self._motor_id)
        self.values = self.entry.texts
        self._time_began = self.values.get("time", "")
        self._also = "" if self._run_id else also_on_car(self.entry, self.pit.snapshot)
        self.ask_for()
        self.think()
        if self._run_id:
            self.ask_first()
        self.set_interval(1.0, self._tick)

    def go_on(self, entry: TrackEntry) -> None:
        """With texts that were kept."""
        self.entry, self.values, self._gone_on = entry, entry.texts, True
        self._also = also_on_car(entry, self.pit.snapshot)
        self.ask_for()

    def own_fields(self) -> tuple[str, ...]:
        """Those of the car too whose number waits: here it is answered for."""
        run = self.pit.snapshot.row("track_run", self._run_id) if self._run_id else None
        return (*RUN_FIELDS, *(name for name in (run or {}).get("waits", ()) if name in CAR_FIELDS))

    def value_changed(self) -> None:
        if self.field.name == "time":
            self.entry.said_at = self.pit.clock()
        self.think()

    # drawing

    def above(self) -> list[Line]:
        found = self.doubts()
        where: Span = (f"   {found.where}", "text")
        left = line((self.values.get("motor") or "No motor yet", "strong"), where)
        clock = self._clock()
        gap = self.size.width - 2 - width_of(left) - len(clock)
        right: tuple[Span, ...] = ((" " * gap, "text"), (clock, "accent")) if gap > 0 else ()
        on_car: Span = (fitted(found.on_car, max(20, self.size.width - 3)).rstrip(), "quiet")
        asked = not self._run_id and not {"pinion", "spur"} & hidden_fields(self.pit.snapshot)
        if asked and not (self.values.get("pinion") or self.values.get("spur")):
            on_car = (
                f"No gears yet: {key_for('edit-conditions')} writes down motor, car, gears and tyre.",
                "accent",
            )
        return [(*left, *right), line(on_car)]

    def _clock(self) -> str:
        if self._run_id:
            return "a run that is stored already"
        finish = self.doubts().reading.finish
        return since_words(finish, self.pit.clock()) if finish else ""

    def _tick(self) -> None:
        if self.fields:
            self.query_one("#words", Lines).show(self.above())

    def side(self) -> list[Line]:
        """What it comes to, the cautions, and as many of the last runs as have room between them."""
        found = self.doubts()
        width = self.body.side_room
        long_time = len(self._time_began) > self.body.text_room()
        lines: list[Line] = [()] if long_time else []  # the time needs the line whole
        if found.comes_to:
            lines += [line(("WHAT IT COMES TO", "strong")), *_pairs(found.comes_to), ()]
        also = [line("  ", (fitted(self._also, width - 3).rstrip(), "quiet"))] if self._also else []
        room = self.body.room - len(lines) - len(self.caution.beside()) - len(also) - 2
        if found.earlier and room > 0:
            lines += [self.whose(found.earlier_title), *_pairs(found.earlier[:room])]
        return [*lines, *also, *([()] if found.earlier or also else []), *self.caution.beside()]

    def below(self) -> list[Line]:
        return self.doubt_lines() or self.meaning()

    def footer(self) -> tuple[str, ...]:
        put = self.suggestion()
        entries = [self.enter_entry, "save-record", "edit-conditions=car, motor", "choose-fields", "leave-form"]
        if put:
            entries.insert(2, f"take-suggestion=put {put}")
        return tuple(entries)

    # moving and saving

    def passed_over(self, name: str) -> str:
        """What the laps or a missing reading make needless."""
        if name == "finish_reading_after_s":
            return "" if self.values.get("finish_reading_c", "").strip() else "no reading"
        return "from the laps" if name == "best_lap_s" and self.values.get("lap_times_s", "").strip() else ""

    def field_left(self) -> None:
        leave_field(self.entry, self.field.name, self.pit.snapshot, self.pit.clock())
        if self.body.input.value != self.value:  # the input may stay here: what it held before was not typed again
            self.body.put_input(self.at, self.value)
        self.think()

    def fill_line(self, text: str) -> None:
        """Several numbers in one paste are the laps, whichever field the input stands on; words stay where they are."""
        names = [field.name for field in self.fields]
        elsewhere = self.field.text and self.field.name != "lap_times_s" and not are_laps(text)
        elsewhere |= self.field.name == "laps" and is_laps_and_time(text)
        to_laps = "lap_times_s" in names and not elsewhere
        if to_laps:
            self.at = names.index("lap_times_s")
        self.values[self.field.name] = clean_text(text)
        self.value_changed()
        self.body.put_input(self.at, self.value)
        if to_laps and "lap_times_s" not in self.doubts().problems:
            self.enter()
        self.draw()

    def store(self) -> str:
        new = self.entry.edits is None
        waits = set(self.waits())
        found = self.doubts()
        asked = tuple(name for name in found.waits if SAID_IN.get(name, name) in waits)
        kept = tuple(name for name in found.doubted if name not in asked)
        words = save_track_run(self.pit.book, self.entry, self.pit.clock(), kept, asked)
        if new:
            saved = self.pit.book.row("track_run", self.entry.edits or "") or {}
            words += too_early(saved.get("finish_reading_after_s")) + no_delay(saved)
        if waits:
            words += f". {waits_words(len(asked), asks())}".rstrip(".")
        return words

    def action_save_record(self) -> None:
        self.moves.leave()
        if save(self):
            self.dismiss(self.entry.edits)
        else:
            self.draw()

    def action_edit_conditions(self) -> None:
        def answered(entry: TrackEntry | None) -> None:
            if entry is not None:
                self.entry, self.values = entry, entry.texts
                self._also = also_on_car(entry, self.pit.snapshot)
                self.think()
                self.body.put_input(self.at, self.value)
            self.drafts.put_above({})
            self.draw()

        self.pit.routes.open("car-form", self.entry, self.drafts, then=answered)


def _pairs(pairs: list[tuple[str, str]]) -> list[Line]:
    return [line("  ", (fitted(label, 15), "quiet"), text) for label, text in pairs]
