"""Told to end by the system, or its terminal closed: drafts are kept and the terminal is given back."""

from __future__ import annotations

import asyncio
import os
import signal
from contextlib import suppress
from threading import Timer
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp

ENDS_WITHIN_S = 5.0
"""Painting on a terminal that is gone may never end, and the process would hold the logbook's lock; all is saved."""


def heed_signals(app: PitbenchApp) -> None:
    """End as by the key, with the status a shell expects; Windows has no such signals."""

    def end(number: int) -> None:
        at_the_latest = Timer(ENDS_WITHIN_S, os._exit, [128 + number])
        at_the_latest.daemon = True
        at_the_latest.start()
        app.exit(return_code=128 + number)

    for name in ("SIGTERM", "SIGHUP"):
        with suppress(NotImplementedError, AttributeError):
            number = getattr(signal, name)
            asyncio.get_running_loop().add_signal_handler(number, end, number)
