"""The app itself: paints first, opens the logbook in a worker, and carries what all screens share.

Screens ask the desk; only this module holds the logbook. Nothing heavy is imported before the first frame.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import nullcontext, suppress
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.app import App, SystemCommand
from textual.screen import Screen

from pitbench.app.actions import ACTIONS, bindings, keys_of
from pitbench.app.answers import Answers, Work, WorkHere
from pitbench.app.hands import Hands
from pitbench.app.keys import KeyQueue
from pitbench.app.opening import Opening
from pitbench.app.plans import Plans
from pitbench.app.routes import MAIN, Routes, screen_class
from pitbench.app.saying import Saying
from pitbench.app.signals import heed_signals
from pitbench.app.themes import variable_defaults
from pitbench.app.writing import Writing
from pitbench.records.keys import change_keys, key_for

if TYPE_CHECKING:
    from textual.command import Provider
    from textual.worker import Worker

    from pitbench.desk import Logbook, Snapshot

Open = Callable[[bool], "Logbook"]


def _commands() -> type[Provider]:
    """Of the palette, when it is first opened."""
    from pitbench.app.dialogs.palette import Commands

    return Commands


class PitbenchApp(App[None]):
    """`open_logbook(accept_hand_edit)` is called in a worker; `hands` are keys and theme, `keep_hands` stores them.

    `work_apart` works out what takes much memory. demo: the logbook is a copy that is thrown away.
    """

    TITLE = "pitbench"
    CSS_PATH = "app.tcss"
    ENABLE_COMMAND_PALETTE = False  # the palette is ours, its key an action like any other
    COMMANDS: ClassVar = {_commands}
    BINDINGS = bindings(("show-keys", "open-palette", "quit-app"))
    SCREENS: ClassVar = {name: partial(lambda name: screen_class(name)(), name) for name in MAIN}

    def __init__(
        self,
        open_logbook: Open,
        path: str,
        hands: dict[str, Any] | None = None,
        keep_hands: Callable[[dict[str, Any]], None] = lambda hands: None,
        written_down: Callable[[Exception], str] = repr,
        clock: Callable[[], datetime] = datetime.now,
        work_apart: Work | None = None,
        demo: bool = False,
    ) -> None:
        super().__init__()
        self.open_logbook, self.path, self.clock = open_logbook, path, clock
        self.written_down, self.work_apart = written_down, work_apart or WorkHere()
        self.demo = demo
        self.hands = Hands(self, hands or {}, keep_hands)
        self.answers = Answers(self)
        self.plans = Plans()
        self.opening = Opening(self)
        self.routes, self.say, self.writing = Routes(self), Saying(self), Writing(self)
        self.keys = KeyQueue(self)
        self.held: list[str] = []
        """Ids of motors that wait for another to stand beside them."""
        self.paper: Worker[None] | None = None
        """Puts a race day on paper, or has."""
        self.logbook: Logbook | None = None
        self._snapshot: Snapshot | None = None
        self.failure: Exception | None = None
        self.hands.put_on()

    # opening

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return variable_defaults()

    def get_default_screen(self) -> Screen[Any]:
        """The first screen is the lowest one: a blank one under it would be laid out and painted first."""
        return self.get_screen("motors")

    def on_mount(self) -> None:
        self.set_keymap(self.hands.keymap)
        if not self.is_headless:
            heed_signals(self)

    def open_file(self) -> None:
        """Called by the first screen once it is painted: after a refresh would be a sixtieth of a second later."""
        if not self.opening.begun:
            self.opening.begin()

    def take(self, logbook: Logbook) -> None:
        """The logbook stands: the screens show it, and again after every save."""
        self.logbook = logbook
        logbook.on_saved = lambda revision, kinds: self._changed()
        self._changed()

    def _changed(self) -> None:
        self._snapshot = None
        self.tell_screens("logbook_changed")

    def tell_screens(self, happened: str, *what: object) -> None:
        """Call the method of this name on every screen that stands and has one."""
        for screen in self.screen_stack:
            told = getattr(screen, happened, None)
            if told is not None:
                told(*what)

    def _handle_exception(self, error: Exception) -> None:
        """An error of our own ends the app; the caller words it. No traceback is printed over somebody's table."""
        if self.is_headless:
            super()._handle_exception(error)
        elif self.failure is None:
            self.failure = error
            self.exit(return_code=1)

    def on_unmount(self) -> None:
        self.work_apart.close()
        change_keys({})
        if self.logbook is not None:
            self.logbook.close()

    def exit(self, *args: Any, **named: Any) -> None:
        """However it ends, what is typed stays behind as drafts."""
        with suppress(Exception) if self.failure else nullcontext():  # a broken screen must not hold the end up
            self.tell_screens("keep_draft")
        super().exit(*args, **named)

    # what screens share

    @property
    def snapshot(self) -> Snapshot:
        """The records as they stand now; taken once a revision."""
        if self._snapshot is None:
            self._snapshot = self.book.snapshot()
        return self._snapshot

    @property
    def book(self) -> Logbook:
        """The open logbook."""
        assert self.logbook is not None
        return self.logbook

    async def on_event(self, event: events.Event) -> None:
        if not self.keys.holds(event):
            await super().on_event(event)

    # actions everywhere

    def action_open_palette(self) -> None:
        from pitbench.app.dialogs.palette import Palette

        if not isinstance(self.screen, Palette):
            self.push_screen(Palette())

    def action_quit_app(self) -> None:
        self.leave(self.say)

    def leave(self, say: Callable[[str], None]) -> None:
        """A race day that is not on paper yet is told of once: leaving would cost it without a word."""
        written, self.paper = self.paper, None
        if written is not None and not written.is_finished:
            say(f"The race day is not written yet. {key_for('quit-app')} again leaves without it.")
        else:
            self.exit()

    def action_show_keys(self) -> None:
        self.routes.open("keys")

    def action_show_cautions(self) -> None:
        self.routes.open("cautions")

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        for action in ACTIONS:
            target = next((t for t in (screen, self) if hasattr(t, f"action_{action.method}")), None)
            if action.in_palette and target is not None and action.id != "open-palette":
                keys = ", ".join(keys_of(action, self.hands.keymap))
                name = f"{action.footer} ({keys})" if keys else action.footer
                yield SystemCommand(name, action.help, partial(getattr(target, f"action_{action.method}"), *action.of))
        yield SystemCommand("theme", "dark, light, sunlight or 16 colours", self.hands.choose_theme)
