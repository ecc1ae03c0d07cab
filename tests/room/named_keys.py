"""Every key that a screen names, pressed there: something must come of it, with the default keys and with all changed;
one that a footer names must run the action it names.

All of it: `python -m tests.room.named_keys`. A sample of it is in the suite.
"""

from __future__ import annotations

import asyncio
import re
import shutil
import sys
import tempfile
from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

from textual.actions import ActionParseResult
from textual.pilot import Pilot
from textual.widgets import Input

from pitbench.app.actions import ACTIONS, BY_ID
from pitbench.app.app import PitbenchApp
from pitbench.app.widgets.bars import FooterLine
from pitbench.bootstrap import open_for_app
from pitbench.demo import demo_logbook
from tests.room.seen import text_of
from tests.room.stations import STATIONS, Station
from tests.room.walk import settled

LETTERS = [action for action in ACTIONS if len(action.keys) == 1 and action.keys.isalpha()]
PRESSED = {"Enter": "enter", "Esc": "escape", "Tab": "tab", "=": "equals_sign", "-": "minus", "/": "slash"}
PRESSED |= {f"F{nth}": f"f{nth}" for nth in range(2, 10)} | {"Ctrl+P": "ctrl+p"}
NAMED = re.compile(
    r"(?:^|(?<=[.,;:(] )|(?<=and )|(?<=  ))"
    r"(?P<key>[A-Za-hj-z](?= [a-z]+s )|F[2-9](?= [a-z]+s )|(?:Enter|Tab|Esc)(?= [a-z]+s )|Ctrl\+P(?=[,:. ]))"
    r"(?P<where> on (?:Motors|Runs|a list|its page|it))?"
)
ELSEWHERE = {" on Motors": "motors", " on Runs": "runs"}
LEAVES = ("quit-app",)
BY_THE_FIELD = {"submit": "move_field(1)"}
"""What a text field does with a key before its form hears of it, and the form then does."""
OWN_WAY = ("runs, find",)
"""Where the text field hands its keys on itself, no action between."""


def rotated(letter: str) -> str:
    """Another letter for each, no two the same."""
    first = ord("a" if letter.islower() else "A")
    return chr(first + (ord(letter) - first + 13) % 26)


CHANGED = {action.id: rotated(action.keys) for action in LETTERS}
"""All keys that are letters, changed; each still means one thing in one place."""


class Named(NamedTuple):
    """A key, what names it, the action a footer says it runs, and the screen it is to be pressed on if another."""

    key: str
    by: str
    runs: str = ""
    elsewhere: str = ""


class Presses:
    """What was found: keys that do nothing or something else, a sentence each."""

    def __init__(self, keymap: dict[str, str]) -> None:
        self.keymap = keymap
        self.found: list[str] = []
        self.pressed = 0

    async def go(self, folder: Path, stations: Iterable[Station] = STATIONS) -> None:
        for nth, station in enumerate(stations):
            await self._at(station, folder / str(nth))

    async def _at(self, station: Station, folder: Path) -> None:
        """Each key in an app of its own: what one did, a draft or a run in the bin, is not there for the next."""
        todo: list[Named] | None = None
        nth = 0
        while todo is None or nth < len(todo):
            (folder / str(nth)).mkdir(parents=True)
            path = shutil.copy(demo_logbook(), folder / str(nth) / "logbook.json")
            hands = {"theme": "dark", "keys": self.keymap}
            now = station.at
            app = PitbenchApp(partial(open_for_app, Path(path)), "logbook.json", hands=hands, clock=lambda now=now: now)
            async with app.run_test(size=(80, 24)) as pilot:
                await settled(pilot)
                await self._reach(station, app, pilot)
                todo = todo if todo is not None else list(dict.fromkeys(self._named(app)))
                if nth < len(todo):
                    await self._press(station, todo[nth], app, pilot)
            nth += 1

    async def _reach(self, station: Station, app: PitbenchApp, pilot: Pilot[None]) -> None:
        if station.opens is not None:
            station.opens(app)
            await settled(pilot)
        for key in station.keys:
            typed = isinstance(app.focused, Input) or app.screen.is_modal
            await pilot.press(rotated(key) if self.keymap and not typed and len(key) == 1 and key.isalpha() else key)
            await settled(pilot)

    def _named(self, app: PitbenchApp) -> Iterator[Named]:
        for footer in app.screen.query(FooterLine):
            shown = "".join(text_of(line) for line in footer.lines)
            for entry in footer._entries:
                name, _, word = entry.partition("=")
                action = BY_ID[name]
                if f" {word or action.footer}" in shown and name not in LEAVES:
                    key = self.keymap.get(name, action.keys).split(",")[0]
                    yield Named(key, f"footer {word or action.footer}", action.call)
        for row in _rows(app):
            for each in NAMED.finditer(row):
                where = each["where"] or ""
                if where in ELSEWHERE or not where:
                    yield Named(PRESSED.get(each["key"], each["key"]), row.strip(), "", ELSEWHERE.get(where, ""))

    async def _press(self, station: Station, named: Named, app: PitbenchApp, pilot: Pilot[None]) -> None:
        if named.elsewhere:
            app.routes.go_to(named.elsewhere)
            await settled(pilot)
        before, ran = _state(app), _noted(app)
        await pilot.press(named.key)
        await settled(pilot)
        self.pressed += 1
        where = f"{station.name}: {named.key}"
        if _state(app) == before:
            self.found.append(f"{where} does nothing, named by: {named.by}")
        elif named.runs and named.runs not in ran and station.name not in OWN_WAY:
            self.found.append(f"{where} runs {', '.join(ran) or 'no action'}, not {named.runs} as in: {named.by}")


def _noted(app: PitbenchApp) -> list[str]:
    """The actions that run from now on."""
    ran: list[str] = []
    run = app.run_action

    async def noted(action: str | ActionParseResult, *where: Any, **more: Any) -> bool:
        ran.append(BY_THE_FIELD.get(str(action), str(action)))
        return await run(action, *where, **more)

    app.run_action = noted  # type: ignore[method-assign]
    return ran


def _rows(app: PitbenchApp) -> list[str]:
    """The screen as it is read, its footer apart."""
    strips = app.screen._compositor.render_strips()
    return ["".join(segment.text for segment in strip) for strip in strips][:-1]


def _state(app: PitbenchApp) -> tuple[object, ...]:
    """All that a key may change."""
    revision = app.logbook.revision if app.logbook else None
    screen = app.screen
    return [type(each) for each in app.screen_stack], _rows(app), app.say.said, revision, getattr(screen, "at", None)


async def _all(folder: Path) -> list[str]:
    found = []
    for keymap in ({}, CHANGED):
        presses = Presses(keymap)
        await presses.go(folder / ("changed" if keymap else "default"))
        found += [f"{'changed keys, ' if keymap else ''}{each}" for each in presses.found]
        print(f"{presses.pressed} keys pressed")
    return found


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        faults = asyncio.run(_all(Path(made)))
    print("\n".join(faults) or "every key does something")
    sys.exit(bool(faults))
