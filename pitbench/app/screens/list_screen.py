"""What the main screens have in common: header, words on top, a list, a message line, a footer, and the shared keys."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.screen import Screen

from pitbench.app.actions import BY_ID, LEAD_ON, LISTS, bindings, bindings_for, key_name, keys_of
from pitbench.app.screens.track_keys import TrackKeys
from pitbench.app.widgets.bars import FooterLine, HeaderLine, MessageLine
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import Line, Lines, aged, line, wrapped

if TYPE_CHECKING:
    from pitbench.app.answers import Answer, Key
    from pitbench.app.app import PitbenchApp
    from pitbench.desk import Question, Ranked


class ListScreen(TrackKeys, Screen[None]):
    """A subclass says which screen it is, its footer, and answers its question in `ask`."""

    SHOWN: ClassVar[str] = ""
    FOOTER: ClassVar[tuple[str, ...]] = ()
    AFTER: ClassVar[str] = ""
    BEFORE: ClassVar[str] = ""
    """Names of the main screens that Tab and Shift+Tab go to, where a screen has several parts."""
    BINDINGS: ClassVar = [*bindings_for(LISTS), *bindings(("go-back",))]

    EXPLAINS: ClassVar[str] = ""
    """Name of the figure the explaining begins with."""

    LINES_REST_ON_ANSWERS: ClassVar[bool] = True
    """Whether which lines there are, or their order, may change with an answer this screen waits for."""

    FRAME_LINES: ClassVar[int] = 2
    """Header and footer."""

    _asked_at: tuple[int, int] = (-1, 0)
    _list_height: int = -1

    def __init__(self) -> None:
        super().__init__()
        self._waits_for: set[Key] = set()
        self._words: list[Line] = []
        self._nothing_shown = False
        self._resumed_at = 0.0
        self.opened_anew = False
        """Gone to by its key or from another screen, not uncovered again."""

    @property
    def pit(self) -> PitbenchApp:
        return cast("PitbenchApp", self.app)

    def compose(self) -> ComposeResult:
        yield HeaderLine()
        yield Lines(id="words")
        yield from self.compose_middle()
        yield MessageLine()
        yield FooterLine()

    def compose_middle(self) -> ComposeResult:
        """Columns' heads, the list, and what stands below it."""
        yield Lines(id="columns")
        yield LineList(id="list")
        yield Lines(id="more")

    def on_mount(self) -> None:
        self.query_one(HeaderLine).show_screens(self.SHOWN)
        self.show_footer(self.FOOTER)
        listed = self.query_one(LineList)
        listed.moved = self.mark_moved
        listed.focus()
        if self.pit.logbook is None:
            self.say_words([f"Opening {self.pit.path} …"])
        self.stands()

    def stands(self) -> None:
        """What a screen does once, when its parts stand. Not in an `on_mount` of its own: textual runs those of every
        class, so that one which calls its parent's has it run twice."""

    # when to ask again

    def on_screen_resume(self, event: events.ScreenResume) -> None:
        self._resumed_at = event.time
        listed = self.query_one(LineList)
        listed.anew, self.opened_anew = self.opened_anew, False
        self.logbook_changed()
        listed.anew = False
        self.show_message()

    def on_resize(self, event: events.Resize) -> None:
        self._asked_at = (-1, 0)
        self.logbook_changed()

    def logbook_changed(self) -> None:
        """Ask again if the records are newer than the answer shown; a hidden screen waits until it is shown."""
        if self.pit.logbook is None or not self.is_current or not self.is_mounted:
            return
        now = (self.pit.snapshot.revision, self.size.width)
        if now != self._asked_at:
            self._asked_at = now
            self._waits_for.clear()
            self.ask()
            self.show_words(self._words)  # some answers are asked for after the words were shown

    def answer_ready(self, key: Key) -> None:
        """An answer has come, or will not; one that waits for it asks again. A hidden screen does when it is shown."""
        if key in self._waits_for:
            self._waits_for.discard(key)
            self.logbook_changed()

    def answer_to(self, key: Key, question: Question, rests_on: object = None, *, apart: bool = False) -> Answer | None:
        """The answer; the last one, or None, while a newer is worked out: this screen asks again when that has come."""
        answer = self.pit.answers.ask(key, question, rests_on, apart=apart)
        return answer or self._meanwhile(key, self.pit.answers.last(key))

    def ranking(self, class_: str | None) -> Ranked | None:
        """The ranking of a class, as `answer_to`; None asks for that of the newest bench run."""
        ranked = self.pit.answers.ranking(class_)
        if ranked is None or ranked.revision != self.pit.snapshot.revision:
            self._meanwhile(self.pit.answers.ranking_key(class_), None)
        return ranked

    def _meanwhile(self, key: Key, last: Answer | None) -> Answer | None:
        self._waits_for.add(key)
        self._asked_at = (-1, 0)
        return last

    def awaits(self, event: events.Key | events.Paste) -> bool:
        """Whether a key means lines that are still being worked out: there are none yet, or it was pressed before this
        screen stood. Who sees lines means them, though newer ones are on their way; nor do keys wait that lead on."""
        if not self.LINES_REST_ON_ANSWERS or not (self._nothing_shown or event.time < self._resumed_at):
            return False
        leads_on = isinstance(event, events.Key) and key_name(event.key) in self._keys_that_lead_on()
        return not leads_on and any(not self.pit.answers.failed(key) for key in self._waits_for)

    def _keys_that_lead_on(self) -> set[str]:
        return {key for each in LEAD_ON for key in keys_of(BY_ID[each], self.pit.keymap)}

    def say_waiting(self, key: Key) -> None:
        """Nothing to show yet of what is asked."""
        failed = self.pit.answers.failed(key)
        self._nothing_shown = not failed
        words = f"No {key[0]} could be worked out." if failed else f"Working out the {key[0]} …"
        self.query_one("#words", Lines).show([line(words)])
        self._words = []

    def ask(self) -> None:
        """Ask the desk and show the answer."""
        raise NotImplementedError

    # showing

    def mark_moved(self) -> None:
        """Show what belongs to the line the mark stands on now, in the frame the mark moves in."""

    def say_words(self, sentences: list[str]) -> None:
        """The answer in words, folded to the width of the screen."""
        width = max(20, self.size.width - 2)
        self.show_words([line(row) for text in sentences for row in wrapped(text, width)])

    def show_words(self, words: list[Line]) -> None:
        """What stands on top; marked while something shown is of records as they were before."""
        self._words = words
        answers = self.pit.answers
        old = [key for key in self._waits_for if answers.last(key) is not None]
        if words and old:
            told = "NOT WORKED OUT ANEW" if any(map(answers.failed, old)) else "WORKING OUT ANEW …"
            words = aged(words, told, self.size.width)
        if words:
            self.query_one("#words", Lines).show(words)

    def show_message(self) -> None:
        self.query_one(MessageLine).say(*self.pit.message)
        self._fit_list()

    def show_footer(self, entries: tuple[str, ...]) -> None:
        self.query_one(FooterLine).show_actions(entries)

    def show_list(
        self,
        keys: Sequence[str | None],
        draw: Callable[[int], Line] = lambda index: (),
        heads: Sequence[Line] = (),
    ) -> None:
        """The lines of the list under their heads; see LineList.show."""
        self._nothing_shown = False
        self.query_one("#columns", Lines).show(heads)
        self.query_one(LineList).show(keys, draw)
        self._fit_list()

    def show_below(self, lines: list[Line]) -> None:
        """What stands right under the list."""
        more = self.query_one("#more", Lines)
        stood = len(more.lines)
        more.show(lines)
        if len(more.lines) != stood:
            self._fit_list()

    def _fit_list(self) -> None:
        """The list is as high as its lines, but never takes the room of what stands below it.

        A message covers the last lines of what stands below; where only one stands there, the list gives way.
        """
        listed, message = self.query_one(LineList), self.query_one(MessageLine)
        others = [w for w in self.query(Lines) if w.display and w.id in {"words", "columns"}]
        taken = sum(len(w.lines) + 1 for w in others if w.lines) + self.FRAME_LINES
        below = max(1, len(self.query_one("#more", Lines).lines))
        taken += 1 + below
        if message.display:
            taken += max(0, len(message.lines) - (below - 1))
        taken += 2 * sum(1 for w in self.query("#filter") if w.display)
        height = max(3, min(listed.count, self.size.height - taken))
        if height != self._list_height:
            self._list_height = listed.styles.height = height  # setting it lays the whole screen out again

    # the shared keys

    def action_go_to(self, name: str) -> None:
        self.pit.go_to(name)

    def marked_motor(self) -> str | None:
        """Id of the motor the mark stands on, or belongs to; a new bench run starts from it."""
        return None

    def action_add_bench_run(self) -> None:
        self._open_bench_form(self.marked_motor())

    def action_repeat_bench_run(self) -> None:
        self._open_bench_form(None)

    def _open_bench_form(self, motor: str | None) -> None:
        from pitbench.app.screens.bench_form import BenchForm

        if self.pit.snapshot.rows("motor"):
            self.open_form(lambda: BenchForm(motor))
        elif self.may_write():
            self.pit.say("A bench run needs a motor: m writes one down.")

    def action_add_setup_entry(self) -> None:
        from pitbench.app.screens.setup_form import SetupForm

        self.open_form(SetupForm)

    def action_add_motor(self) -> None:
        from pitbench.app.screens.motor_form import MotorForm

        self.open_form(lambda: MotorForm(None))

    def may_write(self) -> bool:
        """Whether the logbook may be written; says why not."""
        if self.pit.book.read_only_why:
            self.pit.say(self.pit.book.read_only_why, trouble=True)
            return False
        return True

    def open_form(self, make: Callable[[], Screen[Any]]) -> None:
        """Open a form, if the logbook may be written."""
        if self.may_write():
            self.pit.push_screen(make())

    def write(self, work: Callable[[], str | None]) -> None:
        """Do something that writes, if the logbook may be written."""
        if self.may_write():
            self.pit.attempt(work)

    def action_undo_change(self) -> None:
        self._step("undo", "Taken back", "There is nothing to take back.", "U does it again")

    def action_redo_change(self) -> None:
        self._step("redo", "Done again", "There is nothing to do again.", "u takes it back")

    def _step(self, way: str, done: str, nothing: str, hint: str) -> None:
        def work() -> str | None:
            words = getattr(self.pit.book.journal, way)()
            self.pit.say(f"{done}: {words}." if words else nothing, hint if words else "")
            return None

        self.write(work)

    def action_next_part(self) -> None:
        if self.AFTER:
            self.pit.go_to(self.AFTER)

    def action_previous_part(self) -> None:
        if self.BEFORE:
            self.pit.go_to(self.BEFORE)
        else:  # of two parts the one before is the next one
            self.action_next_part()

    def action_explain_figure(self) -> None:
        from pitbench.app.screens.explain import ExplainScreen

        self.pit.push_screen(ExplainScreen(self.EXPLAINS))

    def action_show_bin(self) -> None:
        self.pit.go_to("runs").show_bin()

    def action_find_records(self) -> None:
        self.pit.go_to("runs").find()

    def action_go_back(self) -> None:
        if len(self.pit.screen_stack) > self.pit.main_depth:
            self.pit.pop_screen()
