"""One walk through all stations at one size, in some looks: what is wrong there, a sentence each."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Input

from pitbench.app.app import PitbenchApp
from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.routes import screen_class
from pitbench.app.themes import THEME_NAMES
from pitbench.app.widgets.line_list import LineList
from pitbench.bootstrap import open_for_app
from pitbench.demo import demo_logbook
from tests.rest import rest
from tests.room.seen import faults_of, unreadable, unseen_words
from tests.room.stations import STATIONS, Station

SIZES = ((80, 24), (100, 30), (160, 45))
REFUSAL = (
    "Not saved: the number of teeth is 1200, and a pinion has from 5 to 100 of them; "
    "put another number there, or leave the field blank until it is known."
)


class Walk:
    """What was found."""

    def __init__(self) -> None:
        self.found: list[str] = []

    async def go(
        self,
        folder: Path,
        size: tuple[int, int],
        looks: Sequence[str] = THEME_NAMES,
        stations: Iterable[Station] = STATIONS,
    ) -> None:
        """All stations of one moment in one app, one after another; the next moment in an app of its own."""
        stations = list(stations)
        for nth, moment in enumerate(dict.fromkeys(station.at for station in stations)):
            path = shutil.copy(demo_logbook(), folder / f"{size[0]}-{nth}.json")
            app = _app(Path(path), moment, looks[0])
            async with app.run_test(size=size) as pilot:
                await settled(pilot)
                for station in stations:
                    if station.at == moment:
                        await self._stop_at(station, pilot, size, looks)

    async def _stop_at(self, station: Station, pilot: Pilot[None], size: tuple[int, int], looks: Sequence[str]) -> None:
        app = pilot.app
        assert isinstance(app, PitbenchApp)
        where = f"{station.name} at {size[0]}x{size[1]}"
        for look in looks:
            if look == looks[0] or station.anew:
                await self._begin(app, pilot, look)
                await self._reach(station, app, pilot)
            elif app.theme != look:
                app.theme = look
                await settled(pilot)
            self._note(f"{where}, {look}", [*faults_of(app.screen), *unreadable(app.screen, look)])
        if station.shows and not any(type(each) is screen_class(station.shows) for each in app.screen_stack):
            self._note(where, [f"leads to {type(app.screen).__name__}, not to {station.shows}"])
        await self._refuse(where, pilot)

    @staticmethod
    async def _begin(app: PitbenchApp, pilot: Pilot[None], look: str) -> None:
        """On Motors, the mark on its first line, nothing said."""
        while len(app.screen_stack) > 1:
            app.pop_screen()
        app.theme = look
        app.say("")
        await settled(pilot)
        app.screen.query_one(LineList).action_move_mark("end", -1)

    @staticmethod
    async def _reach(station: Station, app: PitbenchApp, pilot: Pilot[None]) -> None:
        if station.opens is not None:
            station.opens(app)
            await settled(pilot)
        for key in station.keys:
            await pilot.press(key)
            await settled(pilot)

    async def _refuse(self, where: str, pilot: Pilot[None]) -> None:
        """A refusal in the message line is read whole, and covers nothing."""
        app = pilot.app
        assert isinstance(app, PitbenchApp)
        if isinstance(app.screen, FormScreen):
            app.screen.say(REFUSAL, trouble=True)
        elif isinstance(app.screen, ListScreen):
            app.say(REFUSAL, trouble=True)
        else:
            return
        await settled(pilot)
        self._note(f"{where}, refused", [*unseen_words(app.screen, REFUSAL), *faults_of(app.screen, said=True)])
        app.say("")

    def _note(self, where: str, found: list[str]) -> None:
        self.found += [f"{where}: {each}" for each in found]


def _app(path: Path, now: datetime, look: str) -> PitbenchApp:
    return PitbenchApp(partial(open_for_app, path), "logbook.json", hands={"theme": look}, clock=lambda: now)


async def settled(pilot: Pilot[None]) -> None:
    await rest(pilot)
    for box in pilot.app.screen.query(Input):
        box.cursor_blink = False
