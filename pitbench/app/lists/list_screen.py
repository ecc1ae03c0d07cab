"""What the main screens have in common: header, words on top, a list, a message line, a footer, and the shared keys.

`asking` knows when to ask the desk, `pane` shows, `shared_keys` holds what keys do that mean the same everywhere.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.screen import Screen

from pitbench.app.actions import LISTS, bindings, bindings_for
from pitbench.app.lists import beside, shared_keys
from pitbench.app.lists.asking import Asking
from pitbench.app.lists.pane import Pane
from pitbench.app.widgets.bars import FooterLine, HeaderLine, MessageLine
from pitbench.app.widgets.line_list import LineList
from pitbench.app.widgets.paint import Lines
from pitbench.records.units import Units, units_of

if TYPE_CHECKING:
    from pitbench.app.answers import Key
    from pitbench.app.app import PitbenchApp


class ListScreen(Screen[None]):
    """A subclass says which screen it is, its footer, and answers its question in `ask`."""

    SHOWN: ClassVar[str] = ""
    FOOTER: ClassVar[tuple[str, ...]] = ()
    FIRST_FOOTER = ("add-motor", "add-bench-run", "show-keys", "open-palette", "quit-app")
    """Where nothing is written down yet that the screen could show."""
    AFTER: ClassVar[str] = ""
    BEFORE: ClassVar[str] = ""
    """Names of the main screens that Tab and Shift+Tab go to, where a screen has several parts."""
    BACK: ClassVar[str] = ""
    """Name of the main screen that Esc leads to from one of its parts."""
    BINDINGS: ClassVar = [*bindings_for(LISTS), *bindings(("go-back",))]

    EXPLAINS: ClassVar[str] = ""
    """Name of the figure the explaining begins with."""

    LINES_REST_ON_ANSWERS: ClassVar[bool] = True
    """Whether which lines there are, or their order, may change with an answer this screen waits for."""

    FRAME_LINES: ClassVar[int] = 2
    """Header and footer."""

    def __init__(self) -> None:
        super().__init__()
        self.asking, self.pane = Asking(self), Pane(self)
        self.opened_anew = False
        """Gone to by its key or from another screen, not uncovered again."""

    @property
    def pit(self) -> PitbenchApp:
        return cast("PitbenchApp", self.app)

    @property
    def units(self) -> Units:
        """Those of the team, as they are now."""
        return units_of(self.pit.snapshot)

    def compose(self) -> ComposeResult:
        yield HeaderLine()
        yield Lines([()], id="age")
        yield Lines(id="words")
        yield from self.compose_filter()
        yield from self.compose_list()
        yield Lines(id="more")
        yield MessageLine()
        yield FooterLine()

    def compose_filter(self) -> ComposeResult:
        """What narrows the list, between the words and the heads."""
        yield from ()

    def compose_list(self) -> ComposeResult:
        """The list under its heads."""
        yield Lines(id="columns")
        yield LineList(id="list")

    def on_mount(self) -> None:
        self.query_one(HeaderLine).show_screens(self.SHOWN)
        self.pane.footer(self.FOOTER)
        self.pane.list.moved = self.mark_moved
        self.pane.list.focus()
        self.pit.theme_changed_signal.subscribe(self, lambda theme: self.asking.again())  # plots have inks of their own
        if self.pit.logbook is None:
            self.pane.say(f"Opening {self.pit.path} …")
        self.stands()

    def stands(self) -> None:
        """What a screen does once, when its parts stand. Not in an `on_mount` of its own: textual runs those of every
        class, so that one which calls its parent's has it run twice."""

    def on_screen_resume(self, event: events.ScreenResume) -> None:
        self.asking.resumed_at = event.time
        self.pane.list.anew, self.opened_anew = self.opened_anew, False
        self.asking.if_newer()
        self.pane.list.anew = False
        self.show_message()

    def on_resize(self, event: events.Resize) -> None:
        self.asking.again()

    # what the app tells every screen

    def logbook_changed(self) -> None:
        self.asking.if_newer()

    def answer_ready(self, key: Key) -> None:
        self.asking.come(key)

    def awaits(self, event: events.Key | events.Paste) -> bool:
        """Whether a key waits for the lines it means."""
        return self.LINES_REST_ON_ANSWERS and self.asking.holds(event)

    def show_message(self) -> None:
        self.query_one(MessageLine).say(*self.pit.say.said)
        self.pane.fit()

    def close(self) -> None:
        """What it is about is gone, and so it goes; with another screen on it, when it is shown again."""
        if self.is_active:
            self.pit.pop_screen()
        else:
            self.asking.later()

    # what a subclass answers

    def ask(self) -> None:
        """Ask the desk and show the answer."""
        raise NotImplementedError

    def mark_moved(self) -> None:
        """Show what belongs to the line the mark stands on now, in the frame the mark moves in."""

    def marked_motor(self) -> str | None:
        """Id of the motor the mark stands on, or belongs to; a new bench run starts from it."""
        return None

    def marked_run(self) -> str | None:
        """Id of the run the mark stands on, or belongs to; a load log is read for it."""
        return None

    # the shared keys

    def action_go_to(self, name: str) -> None:
        self.pit.routes.go_to(name)

    def action_share(self, name: str) -> None:
        """What a key does that means the same on every list screen."""
        getattr(shared_keys, name)(self)

    def action_show_part(self, name: str) -> None:
        shared_keys.motor_part(self, name)

    def action_open_form(self, name: str) -> None:
        self.pit.routes.open_form(name)

    def action_step(self, way: str) -> None:
        """A step back or forth in the list of changes."""
        getattr(self.pit.writing, way)()

    def action_add_setup_entry(self) -> None:
        """Of the marked motor."""
        self.pit.routes.open_form("setup-form", motor_id=self.marked_motor())

    def action_put_beside(self) -> None:
        beside.put_beside(self)

    def action_take_away(self) -> None:
        beside.take_away(self)

    def action_next_part(self) -> None:
        if self.AFTER:
            self.pit.routes.go_to(self.AFTER)

    def action_previous_part(self) -> None:
        if self.BEFORE:
            self.pit.routes.go_to(self.BEFORE)
        else:  # of two parts the one before is the next one
            self.action_next_part()

    def action_explain_figure(self) -> None:
        self.pit.routes.open("explained", self.EXPLAINS)

    def action_find_records(self) -> None:
        self.pit.routes.go_to("runs").find()

    def action_go_back(self) -> None:
        if self.BACK:
            self.pit.routes.go_to(self.BACK)
        elif len(self.pit.screen_stack) > self.pit.routes.main_depth:
            self.pit.pop_screen()
