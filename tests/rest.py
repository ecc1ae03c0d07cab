"""When the app has come to rest, however busy the machine is, so that what stands on the screen can be looked at."""

from time import monotonic
from typing import Any

from textual.pilot import Pilot

from pitbench.app.app import PitbenchApp

PATIENCE_S = 60.0


async def rest(pilot: Pilot[Any]) -> None:
    """Until every key and question has done its work and the screen is laid out, on two looks running."""
    app = pilot.app
    assert isinstance(app, PitbenchApp)
    end = monotonic() + PATIENCE_S
    looks = 0
    while looks < 2:
        assert monotonic() < end, "it never came to rest"
        await app.workers.wait_for_complete()
        await pilot.pause()
        looks = 0 if app.is_running and not app._exit and _at_work(app) else looks + 1


def _at_work(app: PitbenchApp) -> bool:
    return not app.keys.idle or app.screen._layout_required or bool(app.workers) or _asked(app)


def _asked(app: PitbenchApp) -> bool:
    """Whether a question is on its way: its work begins a frame after it was asked."""
    now = app.logbook.revision if app.logbook else None
    questions = app.answers._asked.values()
    return any(each.answer is None and not each.failed and each.revision == now for each in questions)
