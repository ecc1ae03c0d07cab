"""Keys named on a screen do something there: a sample of the places. All of them, with default and with changed keys:
`python -m tests.room.named_keys`.
"""

import pytest

from pitbench.app.actions import ACTIONS, FORM
from tests.room.named_keys import CHANGED, Presses
from tests.room.stations import STATIONS

SAMPLE = {
    "default": ({}, ("motors", "weights")),
    "changed": (CHANGED, ("setup log",)),
}


def test_changed_keys_still_mean_one_thing_in_one_place():
    for place in {action.where for action in ACTIONS} - {FORM}:
        keys = [CHANGED.get(action.id, action.keys) for action in ACTIONS if action.where == place and action.keys]
        assert len(set(keys)) == len(keys)
    assert len(CHANGED) > 30 and all(CHANGED[action.id] != action.keys for action in ACTIONS if action.id in CHANGED)


@pytest.mark.parametrize(("keymap", "names"), SAMPLE.values(), ids=SAMPLE)
async def test_every_key_that_is_named_does_something(tmp_path, keymap, names):
    presses = Presses(keymap)
    await presses.go(tmp_path, [station for station in STATIONS if station.name in names])
    assert presses.found == [] and presses.pressed >= 6
