"""Runs: what was measured? Newest first, narrowed as you type; the bin is here too."""

from collections.abc import Callable, Sequence

from rich.cells import cell_len
from textual.widgets import Input

from pitbench.app.dialogs.leave_out import LeaveOut
from pitbench.app.lists.find_screen import FindScreen
from pitbench.app.widgets.bars import MessageLine
from pitbench.app.widgets.paint import Role, Span, fitted, line
from pitbench.app.widgets.table import Column, Table, some_of
from pitbench.desk.classes import NO_CLASS
from pitbench.desk.entry.run_entry import bring_back, leave_out, put_in_bin
from pitbench.desk.lists.motors import class_of
from pitbench.desk.lists.runs import RunLine, RunList
from pitbench.records.keys import key_for
from pitbench.words.runs import runs_words

FIGURES = 31
"""Columns of a run's figures; in °F they need one more, which the note gives."""

APART = "   "
DETAIL = 3
"""Lines under the list about the marked run."""

FILTER_WORDS = (
    "Words narrow the list: motor, event, track, part, note, bench, main, 31/72.",
    "A leading - leaves out:  lap -bench    excluded: left out of every figure.",
    "! marks a number kept though unusual for this motor, or one that waits.",
)


def _folded(facts: str, width: int) -> list[str]:
    """Facts three blanks apart, in lines of at most `width` cells; no fact is torn.

    >>> _folded("Saltmouth   31/72   mark 35°", 20)
    ['Saltmouth   31/72', 'mark 35°']
    """
    rows: list[str] = []
    for fact in facts.split(APART):
        if rows and cell_len(f"{rows[-1]}{APART}{fact}") <= width:
            rows[-1] += f"{APART}{fact}"
        else:
            rows.append(fact)
    return rows


def _note(run: RunLine) -> Span:
    return (f"! {run.mark}  {run.note}".rstrip(), "warn") if run.mark else (run.note, "quiet")


def _columns(some: Sequence[RunLine]) -> tuple[Column[RunLine], ...]:
    """As wide as the figures of some of the runs need them."""
    longest = max((len(run.figures) for run in some), default=0)
    return (
        Column("when", 12, lambda r: r.when),
        Column("motor", 9, lambda r: r.motor),
        Column("kind", 9, lambda r: r.kind, role="quiet"),
        Column("figures", max(FIGURES, min(longest, FIGURES + 1)), lambda r: r.figures),
        Column("event, session", 14, lambda r: r.where, from_width=100),
        Column("note", 5, lambda r: _note(r), grow=True),
        Column("made on", 28, lambda r: r.made_on, from_width=150, role="quiet"),
    )


class RunsScreen(FindScreen):
    """The list of runs, its filter, and the bin."""

    SHOWN = "runs"
    FOOTER = ("edit-record", "exclude-record", "delete-record", "find-records", "next-part=session", "show-keys")
    AFTER = "bench-session"
    BEFORE = "bench-plan"
    BIN_FOOTER = ("open-record=bring back", "show-bin=the runs", "go-back", "show-keys")

    _found: RunList | None = None
    _made_for: tuple[int, bool] | None = None
    _places: dict[str, int]
    _hid_at: int = -1
    """The revision that brought a run the filter hides."""
    in_bin: bool = False
    _binned_last: str = ""
    _stands: bool = False
    _wishes: tuple[Callable[[], None], ...] = ()

    def stands(self) -> None:
        super().stands()
        self._stands = True
        for wish in self._wishes:
            wish()

    def _later(self, wish: Callable[[], None]) -> bool:
        """Asked for before this screen stands: done as soon as it does."""
        if not self._stands:
            self._wishes += (wish,)
        return not self._stands

    # asking

    def ask(self) -> None:
        made_for = (self.pit.snapshot.revision, self.in_bin)
        if self._found is None or self._made_for != made_for:
            again = self._made_for is not None and self._made_for[1] == self.in_bin and self.found_words.strip()
            before, seen = (self._places, self._in_sight()) if again else ({}, set())
            self._found, self._made_for = RunList(self.pit.snapshot, self.pit.clock(), self.in_bin), made_for
            self.begin_narrowing(self._found.narrow, len(self._found.rows))
            self._places = {str(row["id"]): place for place, row in enumerate(self._found.rows)}
            self.narrow()
            if again and any(key in seen or key not in before for key in self._places.keys() - self._in_sight()):
                self._hid_at = made_for[0]
        self.narrow()
        self.show_found()

    def _in_sight(self) -> set[str]:
        """Ids of the runs the filter leaves."""
        return {str(self._found.rows[place]["id"]) for place in self.narrowed[1]} if self._found is not None else set()

    def show_message(self) -> None:
        """What was saved, and that the filter hides it."""
        super().show_message()
        what, hint, trouble = self.pit.say.said
        if what and self._hid_at == self.pit.say.saved_at and self.found_words.strip():
            words = f"{what} The filter hides it: {key_for('go-back')} clears it."
            self.query_one(MessageLine).say(words, hint, trouble)
            self.pane.fit()

    def show_found(self) -> None:
        if self._found is None:
            return
        found, (_, hits) = self._found, self.narrowed
        some = [found.line(place) for place in some_of(hits)]
        table = Table(_columns(some), self.size.width, rows=some)
        self.pane.say(runs_words(found, hits, self.found_words, self.in_bin))
        keys = [str(found.rows[place]["id"]) for place in hits]
        self.pane.show(keys, lambda index: table.row(found.line(hits[index])), table.heads() if hits else [])
        if self.finding:
            self.pane.below([line((f"   {text}", "quiet")) for text in FILTER_WORDS])
        else:
            self._show_detail()
        asks = ("answer-number", *self.FOOTER[1:]) if found.waits else self.FOOTER if found.rows else self.FIRST_FOOTER
        self.pane.footer(self.FIND_FOOTER if self.finding else self.BIN_FOOTER if self.in_bin else asks)

    def _show_detail(self) -> None:
        """The marked run in full, always in three lines, so that nothing moves under the eye."""
        key = self.pane.key
        place = self._places.get(key) if key else None
        if self._found is None or place is None:
            self.pane.below()
            return
        facts, words = self._found.detail(place)
        width = self.size.width - 4
        role: Role = "warn" if words.startswith("!") else "text"
        told: list[Span] = [*((row, "quiet") for row in _folded(facts, width)[:2]), (words, role)]
        shown = [line("   ", (fitted(text, width), role)) for text, role in told]
        self.pane.below([*shown, *[()] * (DETAIL - len(shown))])

    def mark_moved(self) -> None:
        if not self.finding:
            self._show_detail()

    # the filter

    def narrow_to(self, words: str) -> None:
        """Show the runs these words are true of."""
        if self._later(lambda: self.narrow_to(words)):
            return
        self._leave_bin()
        self.query_one("#filter", Input).value = words
        self.show_filter(True)
        self.pane.list.focus()

    def find(self) -> None:
        """Open the filter line and put the cursor there."""
        if self._later(self.find):
            return
        self._leave_bin()
        super().action_find_records()

    def _leave_bin(self) -> None:
        """Back to the runs that count, whose list is another one."""
        if self.in_bin:
            self.in_bin = False
            if self.pit.logbook is not None:
                self.ask()

    def action_find_records(self) -> None:
        self.find()

    def action_go_back(self) -> None:
        """Clear the filter; out of the bin."""
        if self.in_bin:
            self.show_bin(False)
        else:
            self.clear_filter()

    # the bin

    def show_bin(self, shown: bool = True) -> None:
        """Show what was deleted, or the runs again."""
        if self._later(lambda: self.show_bin(shown)):
            return
        self.in_bin = shown
        self.clear_filter()
        if self.pit.logbook is not None:
            self.ask()
            self._mark_what_came_last()

    def _mark_what_came_last(self) -> None:
        """In the bin, to bring it back at once: what was put there last."""
        rows = self._found.rows if self._found is not None and self.in_bin else []
        last = max(rows, key=self._binned_order, default=None)
        if last is not None:
            self.pane.list.put_mark(str(last["id"]))

    def _binned_order(self, row: dict[str, object]) -> tuple[str, bool, bool]:
        """Of those put there in the same second: a motor before its runs, then what was put there on this screen."""
        return str(row["binned_at"]), "build_id" not in row, row["id"] == self._binned_last

    # what is done to a run

    def marked_motor(self) -> str | None:
        row = self._marked()
        return str(row["motor_id"]) if row and "motor_id" in row and not self.in_bin else None

    def marked_run(self) -> str | None:
        return self.pane.key if self.marked_motor() else None

    def _marked(self) -> dict[str, object] | None:
        key = self.pane.key
        place = self._places.get(key) if key else None
        return self._found.rows[place] if self._found is not None and place is not None else None

    def action_open_record(self) -> None:
        row = self._marked()
        if not self.in_bin:
            self.action_edit_record()
        elif row:
            self.pit.writing(lambda: bring_back(self.pit.book, str(row["id"])))

    def action_edit_record(self) -> None:
        row = self._marked()
        if row and not self.in_bin:
            kind = "track" if "started_at" in row else "bench"
            self.pit.routes.open_form(f"{kind}-form", None, run_id=str(row["id"]))

    def action_delete_record(self) -> None:
        row = self._marked()
        if row and not self.in_bin:
            self._binned_last = str(row["id"])
            self.pit.writing(lambda: put_in_bin(self.pit.book, str(row["id"])))

    def action_exclude_record(self) -> None:
        row = self._marked()
        if not row or self.in_bin or not self.pit.writing.may():
            return
        if "excluded_why" in row:
            self.pit.writing(lambda: leave_out(self.pit.book, str(row["id"]), None))
            return

        def answered(why: str | None) -> None:
            if why:
                self.pit.writing(lambda: leave_out(self.pit.book, str(row["id"]), why))

        class_ = class_of(self.pit.snapshot, str(row["motor_id"])) or NO_CLASS
        self.pit.push_screen(LeaveOut(str(row["id"]), class_, self._called(str(row["id"]))), answered)

    def _called(self, run_id: str) -> str:
        """Which run it is, as its line tells."""
        assert self._found is not None
        run = self._found.line(self._places[run_id])
        return f"{run.motor}, {run.kind}, {run.when}"
