"""What all forms have in common: one moving input, Enter to go on, the last Enter saves, Esc leaves.

`moves` knows where the input stands, `drafts` keeps what was typed, `saving` and `filling` are what the keys do.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.screen import Screen
from textual.widgets import Input

from pitbench.app.actions import FORM, bindings, bindings_for
from pitbench.app.forms.caution import FormCaution
from pitbench.app.forms.drafts import FormDraft
from pitbench.app.forms.filling import fill_fields
from pitbench.app.forms.moves import Moves
from pitbench.app.forms.naming import Naming
from pitbench.app.forms.saving import leave, save
from pitbench.app.widgets.bars import FooterLine, HeaderLine, MessageLine
from pitbench.app.widgets.form import Field, FieldInput, FormBody
from pitbench.app.widgets.paint import Line, Lines, Role, line
from pitbench.desk.entry.known_names import known_names
from pitbench.records.keys import key_for, with_keys
from pitbench.records.units import units_of

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp
    from pitbench.words.cautions import Caution

FRAME = 4
"""Lines of a form that are neither fields nor words: header, footer, and what parts the fields."""


class FormScreen(Screen[Any]):
    """A subclass gives the title, the fields, and what happens on a change and on saving."""

    TITLE_WORDS: ClassVar[str] = ""
    DROP_WORDS: ClassVar[str] = "drop what was typed"
    KIND: ClassVar[str] = ""
    """What is written down here; under it `half_filled` keeps its draft."""
    DRAFT: ClassVar[type[FormDraft]] = FormDraft
    GO_ON_KEY: ClassVar[str] = "g"
    """Goes on with a draft that was kept."""
    ESC_KEEPS: ClassVar[bool] = False
    """Whether Esc leaves a new one at once, its draft kept; else it is asked about."""
    KNOWN: ClassVar[tuple[str, ...]] = ()
    """Fields that hold the name of something written down already: no other will do."""
    CAUTION: ClassVar[Caution | None] = None
    """What can hurt while this form is filled."""
    CAUTION_BESIDE: ClassVar[bool] = False
    """Its fields fill the screen: the caution stands beside them."""
    ABOVE: ClassVar[str] = ""
    """What stands over the fields."""
    FOOTER: ClassVar[tuple[str, ...]] = ("next-field=next", "save-record", "explain-field", "leave-form")
    HELPED: ClassVar[tuple[str, ...]] = ()
    """The footer, if it is another one, while F4 would put a name."""
    BINDINGS: ClassVar = [*bindings_for(FORM), *bindings(("open-palette", "quit-app"))]

    def __init__(self) -> None:
        super().__init__()
        self.fields: list[Field] = []
        self.values: dict[str, str] = {}
        self.marks: dict[str, Role] = {}
        self.problems: Mapping[str, str] = {}
        """What must be mended before saving, by field."""
        self.complete = False
        """Whether what stands here may be saved though nothing was typed."""
        self.at = 0
        self._explained = False
        """Whether what was said last is what this field means."""
        self.title_words = self.TITLE_WORDS
        self.hint = f"{key_for('leave-form')} leaves"
        self.entry: Any = None
        self.moves, self.drafts, self.naming = Moves(self), self.DRAFT(self), Naming(self)
        self.caution = FormCaution(self)

    @property
    def pit(self) -> PitbenchApp:
        return cast("PitbenchApp", self.app)

    def compose(self) -> ComposeResult:
        yield HeaderLine()
        yield Lines(id="words")
        yield FormBody()
        yield Lines(id="more")
        yield Lines(id="caution")
        yield MessageLine()
        yield FooterLine()

    def on_mount(self) -> None:
        self.begin()
        self.drafts.begin()
        self.draw()
        self.body.put_input(self.at, self.value)
        self.body.input.focus()
        self.drafts.offer()

    # what a subclass answers

    def begin(self) -> None:
        """Fill `fields` and `values`."""
        raise NotImplementedError

    def side(self) -> list[Line]:
        """What stands beside the fields."""
        return []

    def below(self) -> list[Line]:
        """What stands under the fields."""
        return [(), *(self.wrong_lines() or self.meaning())]

    def meaning(self) -> list[Line]:
        """What the field is for; before it, what is to be read once."""
        return self.caution.long() or self.body.meaning(self.field)

    def above(self) -> list[Line]:
        """What stands over the fields."""
        return [line((with_keys(self.ABOVE), "quiet"))] if self.ABOVE else []

    def footer(self) -> tuple[str, ...]:
        return self.HELPED if self.HELPED and self.naming.meant() else self.FOOTER

    def value_changed(self) -> None:
        """A value was typed."""

    def field_left(self) -> None:
        """The input leaves a field, in which a name was written out."""

    def names(self) -> list[str]:
        """Names that may be meant in this field."""
        return known_names(self.pit.snapshot, self.field.name)

    def store(self) -> str:
        """Store what was typed; the words of what was done, or a Refusal."""
        raise NotImplementedError

    def passed_over(self, name: str) -> str:
        """Why Enter passes over this field as things stand, in two or three words; empty where it does not."""
        return ""

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

    def draw(self) -> None:
        """Everything again, from the values as they stand."""
        self.query_one(HeaderLine).show_title(self.title_words, self.hint)
        self.query_one("#words", Lines).show(self.above())
        self.query_one("#caution", Lines).show(self.caution.under())
        self._show_fields()
        self.query_one(FooterLine).show_actions(self.footer())
        self.drafts.keep()

    def _show_fields(self) -> None:
        """The fields and what stands under them, where a message leaves it room; where even the fields lack that,
        nothing stands over them. Only the caution always stays."""
        below, said = self.below(), self._said()
        room = self._room_below(max(1, said))  # one line stays for a message
        if len(below) > room:
            room = self._room_below(said)
        if len(below) > room and said:
            below = []
        more, words = self.query_one("#more", Lines), self.query_one("#words", Lines)
        passed = {field.name: why for field in self.fields if (why := self.passed_over(field.name))}
        self.body.room = len(self.fields) + max(0, room - max(1, len(below)))
        self.body.show(self.fields, self.values, self.at, self.marks, self.side(), passed)
        more.show(below)
        more.display = bool(below) or room > 0
        words.display = not said or room - len(below) + (not more.display) >= 0

    def _said(self) -> int:
        """Lines of the message."""
        message = self.query_one(MessageLine)
        return len(message.lines) if message.display else 0

    def _room_below(self, said: int) -> int:
        """Lines there are under the fields beside the caution and a message of so many lines."""
        above, caution = (len(self.query_one(name, Lines).lines) for name in ("#words", "#caution"))
        return self.size.height - FRAME - (above + 1 if above else 0) - len(self.fields) - caution - said

    def stays_below(self, lines: list[Line]) -> bool:
        """Whether these lines go on standing under the fields when one line is said."""
        return len(lines) <= self._room_below(1)

    def on_resize(self, event: events.Resize) -> None:
        if self.fields:
            self.draw()

    def say(self, what: str, hint: str = "", trouble: bool = False) -> None:
        """One sentence; in a form as high as the screen it takes the place of what stands under the fields."""
        self._explained = False
        self.query_one(MessageLine).say(what, hint, trouble)
        if self.fields:
            self._show_fields()

    def show_message(self) -> None:
        self.say(*self.pit.say.said)

    def mark_wrong(self, problems: Mapping[str, str], blank_too: bool = False) -> None:
        """Mark the fields that must be mended; one left blank is none yet."""
        self.problems = problems
        self.marks = {name: "bad" for name in problems if blank_too or self.values.get(name, "").strip()}

    def wrong_lines(self) -> list[Line]:
        """What is wrong with this field, else with another."""
        wrong = next((name for name in (self.field.name, *self.problems) if self.marks.get(name) == "bad"), None)
        return self.body.marked(self.problems[wrong], "bad") if wrong else []

    # moving

    def on_input_changed(self, event: Input.Changed) -> None:
        self.moves.take_typed()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        self.enter()

    def enter(self) -> None:
        """Go on; on the last field, save."""
        if self.moves.following(1) is None:
            self.action_save_record()
        else:
            self.action_move_field(1)

    def on_field_input_line_pasted(self, message: FieldInput.LinePasted) -> None:
        self.fill_line(message.text)

    def fill_line(self, text: str) -> None:
        """A whole line was pasted."""
        fill_fields(self, text)

    def keep_draft(self) -> None:
        """The app ends: the field still being typed is kept too."""
        if self.fields and self.is_mounted:
            self.moves.take_typed()
            self.drafts.keep()

    # actions of every form

    def action_move_field(self, step: int) -> None:
        at = self.moves.following(step)
        if at is not None:
            if self._explained:
                self.say("")
            self.moves.to(at)

    def action_save_record(self) -> None:
        self.moves.leave()
        if save(self):
            self.dismiss(True)

    def action_take_suggestion(self) -> None:
        self.naming.put()

    def action_explain_field(self) -> None:
        from pitbench.words.fields import field_words

        more = [field_words(self.field.name, units_of(self.pit.snapshot), self.KIND)]
        if self.names():
            more.append(f"A name used before completes itself: {key_for('take-suggestion')} puts it.")
        self.say(" ".join((f"{self.field.label}: {self.field.meaning}", *filter(None, more))))
        self._explained = True

    def action_mark_caution_read(self) -> None:
        self.caution.fold()

    def action_leave_form(self) -> None:
        leave(self)
