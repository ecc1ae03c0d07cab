"""New bench run: the figures go in with Enter, the side says what they come to, and doubt is shown before saving."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any

from pitbench.app.screens.doubtful_form import DoubtfulForm
from pitbench.app.widgets.bars import HeaderLine
from pitbench.app.widgets.form import field_of
from pitbench.app.widgets.paint import Line, Span, fitted, line
from pitbench.desk.entry.half_filled import BENCH

if TYPE_CHECKING:
    from pitbench.desk.entry.bench_entry import Entry
    from pitbench.desk.entry.bench_side import Side

CAUTION = "Motor spinning: clamp it; hands and hair clear; heed its maker."


class BenchForm(DoubtfulForm):
    """One bench run: new, repeated, or edited."""

    CAUTION_READ = "caution_read"
    DRAFT = BENCH
    DROP_WORDS = "drop what was typed; the run stays as it was"

    def __init__(self, motor_id: str | None, run_id: str | None = None, draft: Entry | None = None) -> None:
        """A new run of this motor (None: that of the last run), `run_id` edited, or `draft` gone on with."""
        super().__init__()
        self._motor_id, self._run_id, self._draft = motor_id, run_id, draft
        self._entry: Entry | None = None
        self._side: Side | None = None
        self._saved = False
        self._drafted = draft is not None

    @property
    def entry(self) -> Entry:
        assert self._entry is not None
        return self._entry

    # beginning

    def begin(self) -> None:
        from pitbench.desk.entry.bench_entry import edit_entry, new_entry

        self.title_words = "Edit bench run" if self._run_id else "New bench run"
        if self._run_id:
            self._take(edit_entry(self.pit.snapshot, self._run_id))
        elif self._draft:
            self._take(self._draft)
            self.at = self.first_empty()
        else:
            self._take(new_entry(self.pit.snapshot, self.pit.clock(), self._motor_id))
        if not (self._run_id or self._draft or self.pit.snapshot.rows("bench_run")):
            self.call_later(self.action_edit_conditions)  # the first run of all: nothing to take over yet

    def _take(self, entry: Entry) -> None:
        from pitbench.records.units import units_of

        self._entry = entry
        self.values = entry.texts
        units = units_of(self.pit.snapshot)
        self.fields = [field_of(name, units) for name in entry.fields]
        self.at = 0
        self._think()

    def _think(self) -> None:
        """What the typed figures come to, and what is doubtful."""
        from pitbench.desk.entry.bench_side import side_of
        from pitbench.desk.named import named

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
        self.keep_draft_soon()

    # drawing

    def show_frame(self) -> None:
        hint = "Esc leaves it as it was" if self.entry.edits else "Esc keeps the draft"
        self.query_one(HeaderLine).show_title(self.title_words, hint)

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
        lines = self.doubt_lines()
        if not self.caution_read():
            gap = " " * max(2, self.size.width - len(CAUTION) - 13)
            lines += [(), line((f" {CAUTION}", "warn"), gap, ("F7", "accent"), (" read it", "quiet"))]
        return lines

    def footer(self) -> tuple[str, ...]:
        if self._saved:
            return ("save-and-repeat=same again", "edit-conditions", "leave-form=done")
        put = self.suggestion()
        entries = ["next-field=next", "save-record", "save-and-repeat", "edit-conditions", "leave-form"]
        if put:
            entries.insert(3, f"take-suggestion=put {put}")
        return tuple(entries)

    # moving and saving

    def skipped(self, name: str) -> bool:
        return name == "resistance_temp_c" and not self.values.get("resistance_mohm", "").strip()

    def field_left(self) -> None:
        self.keep_draft()

    def half_filled(self) -> dict[str, Any] | None:
        if self.entry.edits or not any(self.values.get(name, "").strip() for name in self.entry.fields):
            return None
        return {"fields": list(self.entry.fields), "texts": dict(self.entry.texts)}

    def enter(self) -> None:
        if self._saved:
            self.action_save_and_repeat()
        else:
            super().enter()

    def action_save_record(self) -> None:
        if self._saved:
            return
        if not self.save():
            return
        if self._run_id:
            self.dismiss(True)
            return
        self._saved, self._begun = True, dict(self.values)
        self.show_frame()
        self.draw()
        words = f"Saved {self.pit.clock():%H:%M}: bench run of {self.entry.texts['motor']}."
        self.say(words, "Enter same again, Esc done")

    def store(self) -> str:
        from pitbench.desk.entry.bench_entry import save_run

        assert self._side is not None
        kept = tuple(name for name in self._side.suspects if self.values.get(name, "").strip())
        new = self.entry.edits is None
        words = save_run(self.pit.book, self.entry, self.pit.clock(), kept)
        if new:
            self.drop_draft()
        return words

    def wrong_fields(self) -> Iterable[str]:
        return self._side.problems if self._side else ()

    def action_save_and_repeat(self) -> None:
        from pitbench.desk.entry.bench_entry import new_entry
        from pitbench.desk.named import named

        if not self._saved and not self.save():
            return
        motor = named(self.pit.snapshot, "motor", self.entry.texts["motor"])
        self._run_id, self._saved, self.title_words = None, False, "New bench run"
        self._take(new_entry(self.pit.snapshot, self.pit.clock(), motor["id"] if motor else None))
        self.body.put_input(0, "")
        self.show_frame()
        self.draw()
        self.say(self.pit.message[0])  # without its hint: u is a letter here

    def action_fill_from_line(self) -> None:
        from pitbench.app.dialogs.ask_text import AskText

        names = "; ".join(field.label for field in self.fields if not field.text)

        def answered(text: str | None) -> None:
            if text:
                self.at = 0
                self.body.put_input(0, self.value)
                self.fill_line(text)

        self.pit.push_screen(AskText("One line, the numbers in this order (- skips one):", names), answered)

    def action_edit_conditions(self) -> None:
        from pitbench.app.screens.conditions_form import ConditionsForm

        def answered(texts: dict[str, str] | None) -> None:
            if texts is not None:
                self.entry.texts.update(texts)
                self.value_changed()
            elif not self.entry.texts.get("motor"):
                self.dismiss(None)
                return
            self.draw()

        self.pit.push_screen(ConditionsForm(self.entry), answered)

    def ask_before(self, leave: Callable[[], object]) -> None:
        if self.entry.edits:
            super().ask_before(leave)
        else:
            leave()

    def action_leave_form(self) -> None:
        """A new run stays behind as a draft; an edit is asked about like any form, so is a saved run typed on."""
        if self.entry.edits:
            super().action_leave_form()
            return
        self.field_left()
        self.dismiss(None)
