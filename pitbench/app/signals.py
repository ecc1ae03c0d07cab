"""Told to end by the system, or its terminal closed: drafts are kept and the terminal is given back."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from threading import Thread, Timer
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp

ENDS_WITHIN_S = 5.0
"""Painting on a terminal that is gone may never end, and the process would hold the logbook's lock; all is saved."""


def heed_signals(app: PitbenchApp) -> None:
    """End as by the key, with the status a shell expects; Windows has no such signals."""
    loop = asyncio.get_running_loop()

    def end(number: int) -> None:
        _end_at_the_latest(number)
        app.exit(return_code=128 + number)

    def gone() -> None:
        _end_at_the_latest(signal.SIGHUP)  # the loop itself may be stuck
        with suppress(RuntimeError):  # it has ended by now
            loop.call_soon_threadsafe(end, signal.SIGHUP)

    for name in ("SIGTERM", "SIGHUP"):
        with suppress(NotImplementedError, AttributeError):
            number = getattr(signal, name)
            loop.add_signal_handler(number, end, number)
    if sys.__stdin__ is not None and sys.__stdin__.isatty():
        Thread(target=_watch, args=(sys.__stdin__.fileno(), gone), daemon=True).start()


def _end_at_the_latest(number: int) -> None:
    timer = Timer(ENDS_WITHIN_S, os._exit, [128 + number])
    timer.daemon = True
    timer.start()


def _watch(terminal: int, gone: Callable[[], None]) -> None:
    """Wait, without any work, until a terminal is gone: no signal tells those who do not lead its session, and reading
    and painting would go on for ever. Where a terminal cannot be waited for, signals alone tell."""
    import select

    if hasattr(select, "poll"):
        poll = select.poll()
        poll.register(terminal, 0)  # a hang-up is told without being asked for
        if any(event & (select.POLLHUP | select.POLLERR) for _, event in poll.poll()):
            gone()
