"""New bench run: the figures go in with Enter, the side says what they come to, and doubt is shown before saving."""

from pitbench.app.dialogs.ask_text import AskText
from pitbench.app.dialogs.choose_fields import choose_fields
from pitbench.app.forms.doubtful_form import DoubtfulForm
from pitbench.app.forms.drafts import FormDraft
from pitbench.app.forms.saving import save
from pitbench.app.widgets.form import field_of
from pitbench.app.widgets.paint import Line, Span, fitted, line
from pitbench.desk.entry import bench_fields
from pitbench.desk.entry.bench_entry import Entry, ask_anew, edit_entry, new_entry, save_run
from pitbench.desk.entry.bench_side import Side, side_of
from pitbench.desk.entry.half_filled import Draft
from pitbench.desk.named import named
from pitbench.records.keys import key_for
from pitbench.records.units import units_of
from pitbench.words.cautions import BENCH
from pitbench.words.waiting import asks, waits_words


class BenchDraft(FormDraft):
    """Its fields are those of its tester."""

    form: "BenchForm"

    def take_up(self, draft: Draft) -> None:
        self.form.entry.texts.update(draft["texts"])
        self.form.ask_anew()
        super().take_up(draft)

    def begun_afresh(self) -> None:
        if not (self.form.entry.edits or self.form.pit.snapshot.rows("bench_run")):
            self.form.call_later(self.form.action_edit_conditions)  # the first run of all: nothing to take over yet


class BenchForm(DoubtfulForm):
    """One bench run: new, repeated, or edited."""

    CAUTION = BENCH
    KIND = "bench_run"
    DRAFT = BenchDraft
    GO_ON_KEY = "b"
    ESC_KEEPS = True
    DROP_WORDS = "drop what was typed; the run stays as it was"

    def __init__(
        self, motor_id: str | None, run_id: str | None = None, asking: bool = False, first: str | None = None
    ) -> None:
        """A new run of this motor (None: that of the last run), or `run_id` edited; asking: for what waits in it.

        first: the figure the input begins with, asked for even where it is hidden.
        """
        super().__init__()
        self._first = first
        self._motor_id, self._run_id, self.asking = motor_id, run_id, asking
        self._side: Side | None = None
        self._saved = False
        self._changed = ""
        """The condition that alone was changed last: in a timing sweep it is the mark each time."""

    # beginning

    def begin(self) -> None:
        self.title_words = "Edit bench run" if self._run_id else "New bench run"
        if self._run_id:
            self._take(edit_entry(self.pit.snapshot, self._run_id))
            self.ask_first()
        else:
            self._take(new_entry(self.pit.snapshot, self.pit.clock(), self._motor_id, self._first))
            self.at = self.entry.fields.index(self._first) if self._first else 0

    def _take(self, entry: Entry) -> None:
        self.entry = entry
        self.values = entry.texts
        self.hint = f"{key_for('leave-form')} {'leaves it as it was' if entry.edits else 'keeps the draft'}"
        self.at = 0
        self._name_fields()
        self._think()

    def _name_fields(self) -> None:
        units = units_of(self.pit.snapshot)
        self.fields = [field_of(name, units) for name in self.entry.fields]

    def ask_anew(self) -> None:
        ask_anew(self.entry, self.pit.snapshot)
        self._name_fields()

    def _think(self) -> None:
        """What the typed figures come to, and what is doubtful."""
        motor = named(self.pit.snapshot, "motor", self.entry.texts.get("motor", ""))
        slope = self.pit.answers.warmth_slope(motor["id"]) if motor else None
        self._side = side_of(self.entry, self.pit.snapshot, self.pit.clock(), slope)
        self.mark_doubts()

    def doubts(self) -> Side:
        assert self._side is not None
        return self._side

    def value_changed(self) -> None:
        self._saved = False
        self._think()

    # drawing

    def above(self) -> list[Line]:
        assert self._side is not None
        left: Span = (self.entry.texts.get("motor") or "No motor yet", "strong")
        nth = f"   {self._side.nth}"
        gap = max(1, self.size.width - 2 - len(left[0]) - len(nth) - len(self._side.when))
        return [line(left, (nth, "text"), " " * gap, self._side.when), line((self._side.conditions, "quiet"))]

    def side(self) -> list[Line]:
        assert self._side is not None
        lines: list[Line] = [line(("WHAT IT COMES TO", "strong"))]
        for derived in self._side.comes_to:
            mark: Span = ("! ", "warn") if derived.doubtful else ("  ", "text")
            cell = fitted(derived.value, 6, "right")
            lines.append((mark, (fitted(derived.label, 14), "quiet"), (cell, "text"), (f"  {derived.remark}", "quiet")))
        if self._side.earlier:
            lines += [(), self.whose(self._side.earlier_title)]
            lines += [line("  ", (fitted(label, 18), "quiet"), text) for label, text in self._side.earlier]
        return lines

    def below(self) -> list[Line]:
        doubts = [] if self._saved else self.doubt_lines()  # once saved, Enter and F4 answer for nothing
        return doubts or self.caution.long()

    def footer(self) -> tuple[str, ...]:
        if self._saved:
            return ("save-and-repeat=same again", "edit-conditions", "leave-form=done")
        put = self.suggestion()
        entries = [self.enter_entry, "save-record", "save-and-repeat", "edit-conditions", "leave-form"]
        entries.insert(*((3, f"take-suggestion=put {put}") if put else (4, "choose-fields")))
        return (*entries, "fill-from-line")

    # moving and saving

    def passed_over(self, name: str) -> str:
        alone = name == "resistance_temp_c" and not self.values.get("resistance_mohm", "").strip()
        return "no resistance" if alone else ""

    def enter(self) -> None:
        if self._saved:
            self.action_save_and_repeat()
        else:
            super().enter()

    def action_save_record(self) -> None:
        if self._saved or not save(self):
            return
        if self._run_id:
            self.dismiss(True)
            return
        self._saved = True
        self.hint = f"{key_for('leave-form')} leaves it as it was"
        self.draw()
        words = f"Saved {self.pit.clock():%H:%M}: bench run of {self.entry.texts['motor']}."
        waits = waits_words(len(self.waits()), f"{asks()} on a list")
        self.say(f"{words} {waits}".rstrip(), f"Enter same again, {key_for('leave-form')} done")

    def store(self) -> str:
        return save_run(self.pit.book, self.entry, self.pit.clock(), *self.kept_and_waiting())

    def action_save_and_repeat(self) -> None:
        nothing_to_save = self._saved or (self.entry.edits and not self.drafts.touched() and not self.complete)
        if not nothing_to_save and not save(self):
            return
        motor = named(self.pit.snapshot, "motor", self.entry.texts["motor"])
        self._run_id, self._saved, self.title_words = None, False, "New bench run"
        self.asking = self.complete = False
        self._take(new_entry(self.pit.snapshot, self.pit.clock(), motor["id"] if motor else None))
        self.moves.begin_again()

    def action_fill_from_line(self) -> None:
        names = "; ".join(field.label for field in self.fields if not field.text)

        def answered(text: str | None) -> None:
            if text:
                self.at = 0
                self.body.put_input(0, self.value)
                self.fill_line(text)

        self.pit.push_screen(AskText("One line, the numbers in this order (- skips one):", names), answered)

    def action_choose_fields(self) -> None:
        choose_fields(self, bench_fields, self.ask_anew)

    def action_edit_conditions(self) -> None:
        def answered(texts: dict[str, str] | None) -> None:
            if texts is not None:
                changed = [name for name, text in texts.items() if text != self.entry.texts.get(name, "")]
                self._changed = changed[0] if len(changed) == 1 else ""
                self.entry.texts.update(texts)
                self.value_changed()
            self.drafts.put_above({})
            if texts is None and not self.entry.texts.get("motor"):
                self.dismiss(None)
                return
            self.draw()

        self.pit.routes.open("conditions-form", self.entry, self.drafts, self._changed, then=answered)
