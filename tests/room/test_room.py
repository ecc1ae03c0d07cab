"""Room on every screen: nothing cut, covered or unreadable. A third of the places at each size, in one look each; all
of them in all looks: `python -m tests.room`.
"""

import pytest

from pitbench.app.routes import ROUTES
from tests.room.stations import STATIONS
from tests.room.walk import SIZES, Walk

LOOKS = ("16 colours", "light", "sunlight")
"""For each size one; dark is the look of the pictures."""
IN_INK_OF_ITS_OWN = ("rankings, next view", "temperature, plot")


def test_every_screen_has_its_place_in_the_walk():
    assert {station.shows for station in STATIONS if station.shows} == set(ROUTES)


@pytest.mark.parametrize(("nth", "size", "look"), [(*each,) for each in zip(range(3), SIZES, LOOKS, strict=True)])
async def test_nothing_is_cut_covered_or_unreadable(tmp_path, nth, size, look):
    walk = Walk()
    await walk.go(tmp_path, size, [look], STATIONS[nth :: len(SIZES)])
    assert walk.found == []


async def test_a_plot_changes_its_inks_with_the_look(tmp_path):
    walk = Walk()
    await walk.go(tmp_path, (100, 30), stations=[each for each in STATIONS if each.name in IN_INK_OF_ITS_OWN])
    assert walk.found == []
