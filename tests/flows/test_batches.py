"""Any batch of keys gives what the same keys give one by one: on random batches over lists, forms and dialogs.

The logbook opens slowly and every save is slow while the batch comes in. `PITBENCH_BATCHES=300 pytest -n 0
tests/flows/test_batches.py` tries as many, others at each run.
"""

import asyncio
import json
import os
import re
import shutil
import time
from contextlib import asynccontextmanager
from functools import partial
from unittest.mock import patch

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from textual import events
from textual.keys import _character_to_key
from textual.widgets import Input

from pitbench.app.app import PitbenchApp
from pitbench.app.dialogs.choose import Choose
from pitbench.app.forms.form_screen import FormScreen
from pitbench.app.widgets.line_list import LineList
from pitbench.bootstrap import open_for_app
from pitbench.demo import demo_logbook
from pitbench.records.stamps import stamp_of
from pitbench.store.journal import Journal
from pitbench.store.logbook import Logbook
from tests.flows.conftest import NOW

TRIED = int(os.environ.get("PITBENCH_BATCHES", "10"))
PATIENCE_S = 60.0
SLOW_OPENING_S, SLOW_SAVE_S = 0.3, 0.05
SAVE = Logbook.save

NAMED = ("enter", "escape", "tab", "shift+tab", "up", "down", "home", "end", "pagedown", "backspace")
NAMED += tuple(f"f{n}" for n in range(2, 10))
TYPED = ("3950", "39500", "4,1", "31", "42.1", "whio", "22/5:03.4", "20", "pinion", "y", "n", "b")
PASTED = ("3897 4,21", "3953;4.1;31", "15.1 15.2 15.0 15.3", "31", "pinion\t30\t31", "two\nlines")
ON_LISTS = "123456abctmredqxzuUgwvhpPsyflLokn+i/?=-"

PARTS = st.one_of(
    st.sampled_from(NAMED).map(lambda key: (key, None)),
    st.sampled_from(NAMED).map(lambda key: (key, None)),
    st.sampled_from(TYPED).map(lambda text: ("typed", text)),
    st.sampled_from(PASTED).map(lambda text: ("pasted", text)),
    st.sampled_from(ON_LISTS).map(lambda key: ("typed", key)),
    st.sampled_from(ON_LISTS).map(lambda key: ("typed", key)),
    st.sampled_from(
        [("F5", "3897 4,21"), ("F5", "3921 4,01 29"), ("F6", ""), ("/", "dunlin"), ("a", "3947"), ("draft", "4001")]
    ).map(lambda both: ("run", both)),
)
RUNS = {
    "F5": "f5 {} enter f3",
    "F6": "f6 enter f2",
    "/": "/ {} enter",
    "a": "a {} enter 4.1 f2",
    "draft": "b {} escape b",
}


def keys_of(parts):
    """One event a key, a paste one event."""
    for what, text in parts:
        if what == "pasted":
            yield partial(events.Paste, text)
        elif what == "run":
            for word in RUNS[text[0]].format(text[1].replace(" ", "_")).split():
                yield from keys_of([(word, None) if word in NAMED else ("typed", word.replace("_", " "))])
        elif what == "typed":
            yield from (partial(events.Key, _character_to_key(each), each) for each in text)
        else:
            yield partial(events.Key, what, None)


@asynccontextmanager
async def app_on(path, opening_s):
    def opened(accept_hand_edit):
        time.sleep(opening_s)
        return open_for_app(path, accept_hand_edit)

    app = PitbenchApp(opened, "logbook.json", hands={"theme": "dark"}, clock=lambda: NOW)
    async with app.run_test(size=(80, 24)) as pilot:
        yield app, pilot


async def settled(app, pilot):
    """Nothing is under way any more, whatever the queue says of itself."""
    end = time.monotonic() + PATIENCE_S
    calm = 0
    while calm < 2:
        assert time.monotonic() < end, "it never came to rest"
        await pilot.pause()
        at_work = app.opening.under_way or not app.keys.idle or any(worker.is_running for worker in app.workers)
        calm = 0 if at_work else calm + 1


def state(app, path):
    """What stands: screens, their marks and values, and the whole logbook, its ids by the order they come in."""
    shown = []
    for screen in app.screen_stack:
        stands = [type(screen).__name__]
        stands += [listed.key for listed in screen.query(LineList)]
        if isinstance(screen, FormScreen):
            stands += [dict(screen.values), screen.at]
        if isinstance(screen, Choose):
            stands.append(screen._at)
        stands += [box.value for box in screen.query(Input)]
        shown.append(stands)
    shown.append(type(app.focused).__name__)
    tree = json.loads(path.read_bytes())
    tree.pop("seal")
    found: dict[str, str] = {}
    text = json.dumps([shown, tree], indent=1)
    text = re.sub(r'"saved_at": "[^"]*"', '"saved_at": "now"', text)
    return re.sub(r"\b[0-9a-f]{16}\b", lambda id_: found.setdefault(id_[0], f"id {len(found)}"), text)


async def in_one_batch(path, keys):
    async with app_on(path, SLOW_OPENING_S) as (app, pilot):
        for key in keys:
            app.post_message(key())
        await settled(app, pilot)
        return state(app, path)


async def one_by_one(path, keys):
    async with app_on(path, 0) as (app, pilot):
        await settled(app, pilot)
        for key in keys:
            app.post_message(key())
            await settled(app, pilot)
        return state(app, path)


@pytest.fixture(scope="module")
def weekend(tmp_path_factory):
    return tmp_path_factory.mktemp("batches")


def slow_save(self, *what, **more):
    time.sleep(SLOW_SAVE_S)
    return SAVE(self, *what, **more)


def compared(folder, parts):
    keys = list(keys_of(parts))
    path = folder / "logbook.json"

    def ended(way):
        for old in folder.iterdir():
            shutil.rmtree(old) if old.is_dir() else old.unlink()
        shutil.copy(demo_logbook(), path)
        return asyncio.run(way(path, keys))

    with patch.object(Journal, "now", lambda self: stamp_of(NOW, seconds=True)):
        with patch.object(Logbook, "save", slow_save):
            together = ended(in_one_batch)
        assert together.splitlines() == ended(one_by_one).splitlines()


LINE = ("run", ("F5", "3897 4,21"))


@settings(max_examples=TRIED, derandomize="PITBENCH_BATCHES" not in os.environ)
@given(st.lists(PARTS, min_size=3, max_size=9))
@example([("typed", "a"), LINE, LINE, LINE, ("escape", None)])
@example([("typed", "="), ("down", None), ("typed", "=="), ("enter", None), ("typed", "v-1"), ("down", None)])
def test_a_batch_gives_what_its_keys_give_one_by_one(weekend, parts):
    compared(weekend, parts)
