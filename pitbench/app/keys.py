"""One queue for every key and paste: the next is handed on when the one before it has done its work.

A terminal hands over keys faster than screens open, and textual gives each to whatever stands on top at that moment.
Here alone they are put in order. A key has done its work when the event loop has nothing left to run: its event, the
messages and callbacks it caused, screens mounted and removed are all steps of tasks, and only clocks, threads and the
terminal are waited for any other way. The next key also waits until the screen that stands now is laid out, since
pages and sight go by its size, until a search of that screen has ended, and, where it means a line of a list that is
still being worked out, for that list (`ListScreen.awaits`). Before the logbook is open every key waits. Nothing else
holds a key for longer than a few seconds: then it is handed on as things stand.
"""

from __future__ import annotations

from asyncio import AbstractEventLoop, get_running_loop
from collections import deque
from typing import TYPE_CHECKING, Any, cast

from textual import events

from pitbench.app.actions import BY_ID, keys_of
from pitbench.records.keys import key_name

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp

AT_MOST_S = 3.0
"""One key waits for the one before it."""
LOOKS_AGAIN_S = 1 / 120
"""While a frame, a thread or the logbook is waited for: half a frame."""


class KeyQueue:
    """The app asks about each event whether it waits; one that did comes again when it is its turn."""

    def __init__(self, app: PitbenchApp) -> None:
        self._app = app
        self._waiting: deque[events.Key | events.Paste] = deque()
        self._turn: events.Event | None = None
        """Sent to the app, which has not looked at it yet."""
        self._at_work = False
        """Whether a look is on its way that tells whether the last key has done its work."""
        self._since = 0.0
        """From when on the first in the queue has waited for the one before it."""

    @property
    def idle(self) -> bool:
        """Whether every key has been handed on and has done its work."""
        return not (self._at_work or self._waiting)

    def holds(self, event: events.Event) -> bool:
        """Whether an event waits for those before it. One that was forwarded to a widget is no longer asked about."""
        if not isinstance(event, (events.Key, events.Paste)) or event.is_forwarded:
            return False
        if event is self._turn:
            self._turn = None
            return False
        if self._leaves(event) and (self._app.opening.under_way or not self._waiting):
            return False
        waits = not self.idle or self._must_wait(event)
        if waits:
            self._waiting.append(event)
        if not self._at_work:
            self._begin(get_running_loop())
        return waits

    def drop(self) -> None:
        """Those that wait were meant for something that will not come."""
        self._waiting.clear()

    def _leaves(self, event: events.Event) -> bool:
        return isinstance(event, events.Key) and key_name(event.key) in keys_of(
            BY_ID["quit-app"], self._app.hands.keymap
        )

    def _begin(self, loop: AbstractEventLoop) -> None:
        self._at_work, self._since = True, loop.time()
        loop.call_soon(self._look, loop)

    def _look(self, loop: AbstractEventLoop) -> None:
        """Hand the next key on, or look again: at once while work is done, else a moment later."""
        late = loop.time() - self._since > AT_MOST_S
        busy = self._turn is not None or bool(cast("Any", loop)._ready)  # what is left to run in this very moment
        if busy and not late:
            loop.call_soon(self._look, loop)
        elif not self._waiting or self._app._exit or not self._app.is_running:
            self._at_work = False
        elif self._app.opening.under_way or (not late and self._must_wait(self._waiting[0])):
            loop.call_later(LOOKS_AGAIN_S, self._look, loop)
        else:
            self._hand_on(late)
            self._begin(loop)

    def _hand_on(self, late: bool) -> None:
        """Whoever wants to leave does not wait behind keys that get nowhere."""
        if late and any(map(self._leaves, self._waiting)):
            while not self._leaves(self._waiting[0]):
                self._waiting.popleft()
        self._turn = self._waiting.popleft()
        self._app.post_message(self._turn)

    def _must_wait(self, event: events.Event) -> bool:
        """Whether what this key would do rests on something that has not come yet."""
        screen = self._app.screen
        if self._app.opening.under_way or screen._layout_required or not screen.is_mounted:
            return True
        if any(worker.node is screen and worker.is_running for worker in self._app.workers):
            return True
        awaits = getattr(screen, "awaits", None)
        return awaits is not None and awaits(event)
