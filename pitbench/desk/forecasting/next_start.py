"""When the next round starts: read from an event's start times as somebody wrote them down.

`qualifier 1 11:20, main 14:30` is free text; only the times of day and the words beside each are used.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Any

_PARTS, _TIME = re.compile(r"[,;]"), re.compile(r"\b(\d{1,2})[:.h](\d{2})\b")
SOON = timedelta(minutes=60)
"""Where no start time is written down, so much from now. Ours."""


@dataclass(frozen=True)
class Start:
    """A round and when it starts; `told` false: nobody wrote it down."""

    at: datetime
    round: str
    told: bool


def starts_of(event: Mapping[str, Any] | None, now: datetime) -> list[Start]:
    """All start times of the event, on today's date, in order of time.

    >>> now = datetime(2026, 5, 17, 13, 0)
    >>> [(s.round, f"{s.at:%H:%M}") for s in starts_of({"start_times": "qualifier 1 11:20, main 14:30"}, now)]
    [('qualifier 1', '11:20'), ('main', '14:30')]
    """
    found = []
    for part in _PARTS.split((event or {}).get("start_times", "")):
        told = _TIME.search(part)
        if told and int(told[1]) < 24 and int(told[2]) < 60:
            at = datetime.combine(now.date(), time(int(told[1]), int(told[2])))
            words = f"{part[: told.start()]} {part[told.end() :]}"
            found.append(Start(at, " ".join(words.split()).strip(" :-"), True))
    return sorted(found, key=lambda start: start.at)


def next_start(event: Mapping[str, Any] | None, now: datetime) -> Start:
    """The next round of the event that has not started; an hour from now where none is known."""
    coming = (start for start in starts_of(event, now) if start.at > now)
    return next(coming, Start(_in_fives(now + SOON), "", False))


def _in_fives(at: datetime) -> datetime:
    """A time on the next full five minutes."""
    return at.replace(minute=0, second=0, microsecond=0) + timedelta(minutes=-(-at.minute // 5) * 5)
