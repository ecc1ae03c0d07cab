"""Pictures of the screens on the demo weekend: a change of a screen shows here, and is looked at before it is taken.

`pytest tests/snapshots --snapshot-update` takes the new ones.
"""

import shutil
from datetime import datetime
from functools import partial

import pytest
from textual.widgets import Input

from pitbench.app.app import PitbenchApp
from pitbench.bootstrap import open_for_app
from pitbench.demo import demo_logbook
from tests.rest import rest
from tests.unit.desk.test_link import season_file

NOW = datetime(2026, 5, 16, 20, 30)
SHOTS = {
    "motors": (),
    "motor-page": ("down", "down", "down", "enter"),
    "motor-model": ("enter", "shift+tab", "shift+tab"),
    "motor-model-plot": ("enter", "shift+tab", "shift+tab", "v"),
    "runs": ("2",),
    "rankings": ("3",),
    "rankings-plot": ("3", "v"),
    "swap-form": ("down", "down", "enter", "c", "r", "r", "2"),
    "bench-form": ("b", "3", "9", "5", "3", "enter", "4", "comma", "1", "0", "enter"),
    "conditions": ("b", "f6"),
    "motor-form": ("m",),
    "weights": ("3", "w"),
    "gearing": ("3", "g"),
    "keys": ("question_mark",),
    "setup-log": ("4",),
    "on-car": ("4", "tab"),
    "season": ("4", "tab", "tab"),
    "gear-sets": ("6",),
    "parts": ("7",),
    "track-form": ("2", "t"),
    "side-by-side": ("equals_sign", "down", "down", "down", "equals_sign"),
    "four-side-by-side": ("equals_sign", "down", "down", "equals_sign", "equals_sign", "1", "equals_sign", "2", "down"),
    "load-log": ("2", "j", "enter"),
    "load-logs-beside": ("2", "j", "enter", "equals_sign", "enter", "v"),
}
AFTER_THE_MAIN, BEFORE_THE_NEXT = datetime(2026, 5, 16, 17, 41), datetime(2026, 5, 17, 10, 50)
BETWEEN_ROUNDS = {
    "temperature": (AFTER_THE_MAIN, ("5",)),
    "temperature-plot": (AFTER_THE_MAIN, ("5", "tab")),
    "main-card": (BEFORE_THE_NEXT, ("3", "tab")),
}
BENCH_AND_TRACK = {"link": ("3", "T"), "link-plot": ("3", "T", "v")}


def app_on(path, theme="dark", now=NOW):
    return PitbenchApp(partial(open_for_app, path), "logbook.json", hands={"theme": theme}, clock=lambda: now)


@pytest.fixture
def weekend(tmp_path):
    return shutil.copy(demo_logbook(), tmp_path / "logbook.json")


async def settled(pilot, keys=()):
    """Let the file open and every ranking come, then press, then let what was pressed come; no cursor blinks."""
    for key in ("", *keys):
        if key:
            await pilot.press(key)
        await rest(pilot)
    for box in pilot.app.screen.query(Input):
        box.cursor_blink = False  # which shows it
    await pilot.pause()


@pytest.mark.parametrize("name", SHOTS)
def test_screen_at_80_by_24(snap_compare, weekend, name):
    assert snap_compare(app_on(weekend), terminal_size=(80, 24), run_before=partial(settled, keys=SHOTS[name]))


@pytest.mark.parametrize("name", BETWEEN_ROUNDS)
def test_screen_between_rounds(snap_compare, weekend, name):
    now, keys = BETWEEN_ROUNDS[name]
    shot = partial(settled, keys=keys)
    assert snap_compare(app_on(weekend, now=now), terminal_size=(80, 24), run_before=shot)


@pytest.mark.parametrize("name", ["motors", "rankings", "parts", "load-log"])
def test_screen_when_wide(snap_compare, weekend, name):
    assert snap_compare(app_on(weekend), terminal_size=(132, 40), run_before=partial(settled, keys=SHOTS[name]))


@pytest.mark.parametrize("theme", ["light", "sunlight", "16 colours"])
def test_rankings_in_every_look(snap_compare, weekend, theme):
    shot = partial(settled, keys=SHOTS["rankings"])
    assert snap_compare(app_on(weekend, theme), terminal_size=(80, 24), run_before=shot)


def test_first_start(snap_compare, tmp_path):
    assert snap_compare(app_on(tmp_path / "logbook.json"), terminal_size=(80, 24), run_before=settled)


@pytest.mark.parametrize("name", BENCH_AND_TRACK)
def test_screen_of_a_season(snap_compare, tmp_path, name):
    path = season_file(tmp_path / "logbook.json")
    shot = partial(settled, keys=BENCH_AND_TRACK[name])
    assert snap_compare(app_on(path), terminal_size=(80, 24), run_before=shot)
