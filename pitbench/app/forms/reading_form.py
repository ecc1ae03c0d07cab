"""A temperature read between rounds: the number is enough, the clock knows how long after the finish it was."""

from pitbench.app.forms.doubtful_form import DoubtfulForm
from pitbench.app.forms.drafts import FormDraft
from pitbench.app.widgets.form import field_of
from pitbench.app.widgets.paint import Line, Lines, line
from pitbench.desk.entry.cooling_entry import (
    FIELDS,
    CoolingReading,
    clock_s,
    new_reading,
    read_cooling,
    run_words,
    save_reading,
    too_early,
)
from pitbench.desk.entry.half_filled import Draft, Written
from pitbench.records.laps import time_text
from pitbench.records.units import units_of
from pitbench.words.cautions import READING
from pitbench.words.waiting import asks, waits_words


class ReadingDraft(FormDraft):
    """Of which run, and how long after its finish; a finish reading goes into the run itself."""

    form: "ReadingForm"

    def to_keep(self, draft: Draft) -> Draft:
        run, texts = self.form.doubts().run or {}, draft["texts"]
        if texts["temp_c"].strip():
            texts = texts | {"after_s": self.form.after_now(texts["after_s"])}
        return {**draft, "texts": texts, "run": run.get("id"), "finish": run.get("finish_reading_c")}

    def may_go_on(self, draft: Draft) -> bool:
        texts = self.form.values | draft["texts"]
        run = read_cooling(texts, self.form.pit.snapshot, self.form.pit.clock()).run or {}
        return (draft.get("run"), draft.get("finish")) == (run.get("id"), run.get("finish_reading_c"))


class ReadingForm(DoubtfulForm):
    """The newest run today of the motor; `after` left blank counts from the clock."""

    TITLE_WORDS = "Temperature reading"
    KIND = "cooling"
    KNOWN = ("motor",)
    DRAFT = ReadingDraft
    CAUTION = READING

    def __init__(self, motor_id: str | None) -> None:
        super().__init__()
        self._motor_id = motor_id
        self._reading: CoolingReading | None = None

    def doubts(self) -> CoolingReading:
        assert self._reading is not None
        return self._reading

    def begin(self) -> None:
        self.entry = Written(new_reading(self.pit.snapshot, self._motor_id, self.pit.clock()))
        self.values = self.entry.texts
        units = units_of(self.pit.snapshot)
        self.fields = [field_of(name, units, "cooling") for name in FIELDS]
        self.at = FIELDS.index("temp_c")
        self.value_changed()
        self.set_interval(1.0, self._tick)

    def value_changed(self) -> None:
        self._reading = read_cooling(self.values, self.pit.snapshot, self.pit.clock())
        self.mark_doubts()
        self.marks = {name: mark for name, mark in self.marks.items() if self.values.get(name, "").strip()}

    def field_left(self) -> None:
        """The reading is taken when its field is left, whatever is typed after it."""
        if self.field.name == "temp_c" and "temp_c" in self.doubts().row:
            self.values["after_s"] = self.after_now(self.values["after_s"])
            self.value_changed()

    def after_now(self, after_s: str) -> str:
        counted = clock_s(self.doubts().run, self.pit.clock())
        return after_s if after_s.strip() or counted is None else str(counted)

    def above(self) -> list[Line]:
        run = self.doubts().run
        if run is None:
            return [line(("Which run is it?", "quiet"))]
        after = clock_s(run, self.pit.clock())
        ago = f"   {time_text(after)} ago" if after is not None else ""
        return [line((self.values["motor"], "strong"), f"   {run_words(run)}", (ago, "accent"))]

    def _tick(self) -> None:
        if self.fields:
            self.query_one("#words", Lines).show(self.above())

    def below(self) -> list[Line]:
        return self.naming.lines(self.doubt_lines()) or self.meaning()

    def footer(self) -> tuple[str, ...]:
        put = self.naming.meant() or self.suggestion()
        fixed = ("next-field=next", "save-record", "explain-field", "leave-form")
        return (*fixed[:2], f"take-suggestion=put {put}", *fixed[2:]) if put else fixed

    def store(self) -> str:
        after_s, waits = self.doubts().row.get("after_s"), self.waits()
        answered = set(self.doubts().suspects) - set(waits)
        words = save_reading(self.pit.book, self.values, self.pit.clock(), self.entry.becomes, answered)
        return f"{words}{too_early(after_s)}. {waits_words(len(waits), asks())}".rstrip(". ")
