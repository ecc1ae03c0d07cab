"""What all forms have in common: one moving input, Enter to go on, the last Enter saves, Esc leaves."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.screen import Screen
from textual.widgets import Input

from pitbench.app.actions import FORM, bindings, bindings_for
from pitbench.app.dialogs.rescue import offer_rescue
from pitbench.app.drafts import FormDraft
from pitbench.app.widgets.bars import FooterLine, HeaderLine, MessageLine
from pitbench.app.widgets.form import Field, FieldInput, FormBody
from pitbench.app.widgets.paint import Line, Lines, Role, line, wrapped
from pitbench.records.names import clean_text
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp
    from pitbench.desk.entry.half_filled import About, Draft

AROUND = 8
"""Lines around the fields: header, footer, words above and below, a message, and what parts them."""


def cells(text: str) -> list[str]:
    """The cells of one line: parted by tabs, else by semicolons, empty ones kept; else by blanks.

    >>> cells("3953;;31"), cells("3953, 4,10 31")
    (['3953', '', '31'], ['3953', '4,10', '31'])
    """
    for parting in ("\t", ";"):
        if parting in text:
            return [cell.strip() for cell in text.split(parting)]
    return [cell.rstrip(",") for cell in text.split()]


class FormScreen(Screen[Any]):
    """A subclass gives the title, the fields, and what happens on a change and on saving."""

    TITLE_WORDS: ClassVar[str] = ""
    HINT: ClassVar[str] = "Esc leaves"
    DROP_WORDS: ClassVar[str] = "drop what was typed"
    KIND: ClassVar[str] = ""
    """What is written down here; under it `half_filled` keeps its draft."""
    GO_ON_KEY: ClassVar[str] = "g"
    """Goes on with a draft that was kept."""
    ESC_KEEPS: ClassVar[bool] = False
    """Whether Esc leaves a new one at once, its draft kept; else it is asked about."""
    FOOTER: ClassVar[tuple[str, ...]] = ("save-record", "explain-field", "leave-form")
    BINDINGS: ClassVar = [*bindings_for(FORM), *bindings(("open-palette", "quit-app"))]

    def __init__(self) -> None:
        super().__init__()
        self.fields: list[Field] = []
        self.values: dict[str, str] = {}
        self.marks: dict[str, Role] = {}
        self.at = 0
        self.title_words = self.TITLE_WORDS
        self.drafts = FormDraft(self)
        self._entry: Any = None

    @property
    def pit(self) -> PitbenchApp:
        return cast("PitbenchApp", self.app)

    def compose(self) -> ComposeResult:
        yield HeaderLine()
        yield Lines(id="words")
        yield FormBody()
        yield Lines(id="more")
        yield MessageLine()
        yield FooterLine()

    def on_mount(self) -> None:
        self.begin()
        self.drafts.begin()
        self.show_frame()
        self.draw()
        self.body.put_input(self.at, self.value)
        self.body.input.focus()
        if not self.drafts.offer():
            self.begun_afresh()

    # what a subclass answers

    def begin(self) -> None:
        """Fill `fields` and `values`."""
        raise NotImplementedError

    def side(self) -> list[Line]:
        """What stands beside the fields."""
        return []

    def below(self) -> list[Line]:
        """What stands under the fields."""
        return []

    def above(self) -> list[Line]:
        """What stands over the fields."""
        return []

    def footer(self) -> tuple[str, ...]:
        return self.FOOTER

    def value_changed(self) -> None:
        """A value was typed."""

    def field_left(self) -> None:
        """The input leaves a field."""

    def store(self) -> str:
        """Store what was typed; the words of what was done, or a Refusal."""
        raise NotImplementedError

    def wrong_fields(self) -> Iterable[str]:
        """Names of the fields that must be mended before saving."""
        return ()

    def save(self) -> bool:
        """Save; False when something must be mended first, which is said, its field under the input."""
        from pitbench.desk.entry.half_filled import there_already

        about = self.about()
        if not self.touched() and not self.complete():
            self.say(f"Nothing was {'changed' if about.edits else 'typed'} here, so nothing was saved.")
            return False
        try:
            if about.is_there(self.pit.book):
                raise Refusal(there_already(about, self.pit.book))
            words = self.store()
        except Refusal as refusal:
            wrong = {refusal.field, *self.wrong_fields()}
            at = next((i for i, field in enumerate(self.fields) if field.name in wrong), self.at)
            if at != self.at:
                self.go_to_field(at)
            self.say(self._refused(str(refusal)), trouble=True)
            offer_rescue(self.pit, refusal)
            return False
        self.drafts.saved(about)
        self.pit.saved(words)
        return True

    def complete(self) -> bool:
        """Whether what stands here may be saved though nothing was typed."""
        return False

    def _refused(self, why: str) -> str:
        """Why it was not saved; a sentence that stands under the fields already is not said twice."""
        below = " ".join(text for row in self.below() for text, _ in row)
        return "Not saved." if " ".join(why.split()) in " ".join(below.split()) else why

    # the draft, see `drafts`

    def about(self) -> About:
        """Which record this form is about: that of its entry."""
        from pitbench.desk.entry.half_filled import About

        return About.entry(self.KIND, self._entry)

    def touched(self) -> bool:
        """Whether something was typed that did not stand here when the form opened."""
        return bool(self.drafts.typed())

    def to_keep(self, draft: Draft) -> Draft:
        """The draft, with what this form needs besides to go on."""
        return draft

    def may_go_on(self, draft: Draft) -> bool:
        """Whether a draft that was kept still fits what stands in the logbook."""
        from pitbench.desk.entry.half_filled import still_stands

        return still_stands(draft, self.values)

    def take_up(self, draft: Draft) -> None:
        """Go on with a draft; in a new one nothing stands but what was kept."""
        texts = draft["texts"]
        if not self.about().edits:
            texts = {name: texts.get(name, "") for name in (*self.values, *(field.name for field in self.fields))}
            if self._entry is not None:
                self._entry.becomes = draft.get("becomes", self._entry.becomes)
        for name in texts:
            self.values[name] = texts[name]
        self.value_changed()
        self.at = self.first_empty()
        self.body.put_input(self.at, self.value)
        self.draw()

    def begun_afresh(self) -> None:
        """The form is open, with no draft to go on with."""

    def keep_draft(self) -> None:
        """The app ends: the field still being typed is kept too."""
        if self.fields and self.is_mounted:
            self.take_typed()
            self.drafts.keep()

    def first_empty(self) -> int:
        """The field typing goes on in; the last, to which one adds, when all are filled."""
        empty = (at for at, f in enumerate(self.fields) if not self.values.get(f.name, "").strip())
        return next((at for at in empty if not self.skipped(self.fields[at].name)), len(self.fields) - 1)

    def skipped(self, name: str) -> bool:
        """Whether Enter passes over this field because it makes no sense now."""
        return False

    # drawing

    @property
    def body(self) -> FormBody:
        return self.query_one(FormBody)

    @property
    def field(self) -> Field:
        return self.fields[self.at]

    @property
    def value(self) -> str:
        return self.values.get(self.field.name, "")

    def show_frame(self) -> None:
        self.query_one(HeaderLine).show_title(self.title_words, self.HINT)

    def draw(self) -> None:
        """Everything again, from the values as they stand."""
        self.query_one("#words", Lines).show(self.above())
        self.body.show(self.fields, self.values, self.at, self.marks, self.side())
        self.query_one("#more", Lines).show(self.below())
        self.query_one(FooterLine).show_actions(self.footer())
        self.drafts.keep()

    def on_resize(self, event: events.Resize) -> None:
        self.show_frame()
        if self.fields:
            self.draw()

    def say(self, what: str, hint: str = "", trouble: bool = False) -> None:
        """One sentence; in a form as high as the screen it takes the place of what stands under the fields."""
        message = self.query_one(MessageLine)
        message.say(what, hint, trouble)
        crowded = len(self.fields) + AROUND > self.size.height
        self.query_one("#more").display = not (crowded and message.display)

    def show_message(self) -> None:
        self.say(*self.pit.message)

    def folded(self, text: str, role: Role = "quiet", indent: int = 3) -> list[Line]:
        """A sentence folded to the width of the screen."""
        width = max(20, (self.size.width or 80) - indent - 1)
        return [line((" " * indent + row, role)) for row in wrapped(text, width)]

    def marked(self, text: str, role: Role) -> list[Line]:
        """A sentence about something to look at, folded beside its mark."""
        first, *others = self.folded(text, role)
        return [line((" ! ", role), (first[0][0].lstrip(), role)), *others]

    # moving

    def go_to_field(self, at: int) -> None:
        """Leave this field for another."""
        self.field_left()
        self.at = max(0, min(len(self.fields) - 1, at))
        self.body.put_input(self.at, self.value)
        self.draw()

    def on_input_changed(self, event: Input.Changed) -> None:
        self.take_typed()

    def take_typed(self) -> None:
        """What stands in the input belongs to the field it is on."""
        if self.fields and self.body.input.value != self.value:
            self.values[self.field.name] = self.body.input.value
            self.say("")  # what was said is of what stood there before
            self.value_changed()
            self.draw()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        self.enter()

    def enter(self) -> None:
        """Go on; on the last field, save."""
        following = self._following(1)
        if following is None:
            self.action_save_record()
        else:
            self.go_to_field(following)

    def _following(self, step: int) -> int | None:
        at = self.at + step
        while 0 <= at < len(self.fields):
            if not self.skipped(self.fields[at].name):
                return at
            at += step
        return None

    def action_next_field(self) -> None:
        following = self._following(1)
        if following is not None:
            self.go_to_field(following)

    def action_previous_field(self) -> None:
        before = self._following(-1)
        if before is not None:
            self.go_to_field(before)

    def on_field_input_line_pasted(self, message: FieldInput.LinePasted) -> None:
        self.fill_line(message.text)

    def fill_line(self, text: str) -> None:
        """Fill the fields from this one on with the parts of one line; in a field of words, those of numbers too."""
        cut = cells(text)
        if not cut:
            return
        words = self.field.text
        taken = [field for field in self.fields if words or not field.text]
        start = taken.index(self.field)
        for field, part in zip(taken[start:], cut, strict=False):
            self.values[field.name] = "" if not words and part in {"-", "·"} else clean_text(part)
        filled = min(len(cut), len(taken) - start)
        self.value_changed()
        self.body.put_input(self.at, self.value)
        self.go_to_field(self.fields.index(taken[start + filled - 1]))
        left = len(cut) - filled
        if left > 0:
            what = "cell" if words else "number"
            self.say(f"{left} more {what}s than fields were in that line; they are not kept.", trouble=True)
        else:
            self.say(f"{filled} field{'' if filled == 1 else 's'} filled from one line.")

    # actions of every form

    def action_save_record(self) -> None:
        self.field_left()
        if self.save():
            self.dismiss(True)

    def action_explain_field(self) -> None:
        unit = f" In {self.field.unit}." if self.field.unit else ""
        self.say(f"{self.field.label}: {self.field.meaning}{unit}")

    def action_leave_form(self) -> None:
        """Nothing typed goes without a question."""
        self.ask_before(lambda: self.dismiss(None))

    def action_open_palette(self) -> None:
        self.pit.action_command_palette()

    def action_quit_app(self) -> None:
        """Nothing typed goes: every form stays behind as a draft."""
        self.pit.exit()

    def ask_before(self, leave: Callable[[], object]) -> None:
        """Leave at once if nothing was typed, else only when that is wanted."""
        from pitbench.app.dialogs.choose import Choose

        if not self.touched() or (self.ESC_KEEPS and not self.about().edits):
            leave()
            return

        def answered(choice: str | None) -> None:
            if choice:
                self.drafts.drop()
                leave()

        choices = (("y", "drop", self.DROP_WORDS),)
        self.pit.push_screen(Choose("This form is not saved.", choices, left="Esc goes on typing"), answered)
