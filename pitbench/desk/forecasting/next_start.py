"""When rounds start, and which one a run was: read from an event's start times as somebody wrote them down.

`qualifier 1 11:20, main 14:30` is free text; only the times of day and the words beside each are used. Where a later
round has an earlier time, the next day begins.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from pitbench.records.kinds import Row
from pitbench.records.rounds import KINDS, next_round, read_round, round_text
from pitbench.records.stamps import moment

_PARTS, _TIME = re.compile(r"[,;]"), re.compile(r"\b(\d{1,2})[:.h](\d{2})\b")
SOON = timedelta(minutes=60)
"""Where no start time is written down, so much from now. Ours."""
SHORTEST = timedelta(minutes=3)
"""A run that ended sooner after a start was not of that round. Ours."""


@dataclass(frozen=True)
class Start:
    """A round and when it starts; `told` false: nobody wrote it down."""

    at: datetime
    round: str
    told: bool


def starts_of(event: Mapping[str, Any] | None, now: datetime) -> list[Start]:
    """All start times of the event, on today's date, in order of time; of one told day by day, those of today.

    >>> now = datetime(2026, 5, 17, 13, 0)
    >>> [(s.round, f"{s.at:%H:%M}") for s in starts_of({"start_times": "qualifier 1 11:20, main 14:30"}, now)]
    [('qualifier 1', '11:20'), ('main', '14:30')]
    """
    days = _days(event, now.date())
    nth = (now.date() - moment(event["date"]).date()).days if event and "date" in event else -1
    meant = days[nth] if 0 <= nth < len(days) else [start for day in days for start in day]
    return sorted(meant, key=lambda start: start.at)


def starts_after(event: Mapping[str, Any], at: datetime) -> list[Start]:
    """All start times of the event after a moment, each on its own day.

    >>> event = {"date": "2026-05-16", "start_times": "main A1 17:30, main A2 11:20"}
    >>> [f"{start.round} {start.at:%d %H:%M}" for start in starts_after(event, datetime(2026, 5, 16, 18, 0))]
    ['main A2 17 11:20']
    """
    first = moment(event["date"]).date()
    days = (_days(event, first + timedelta(days=nth))[nth] for nth in range(len(_days(event, first))))
    return [start for day in days for start in sorted(day, key=lambda start: start.at) if start.at > at]


def _days(event: Mapping[str, Any] | None, date: date) -> list[list[Start]]:
    """The start times of every day of the event, all on one date, in the order they are told."""
    days: list[list[Start]] = [[]]
    for part in _parts((event or {}).get("start_times", "")):
        told = _TIME.search(part)
        if told and int(told[1]) < 24 and int(told[2]) < 60:
            at = datetime.combine(date, time(int(told[1]), int(told[2])))
            words = f"{part[: told.start()]} {part[told.end() :]}"
            start = Start(at, " ".join(words.split()).strip(" :-"), True)
            if days[-1] and at < days[-1][-1].at and _rank(start.round) >= _rank(days[-1][-1].round):
                days.append([])
            days[-1].append(start)
    return days


def _parts(told: str) -> list[str]:
    """One for each time; where no comma parts them, each begins with the words before its time, or with the time.

    >>> _parts("qualifier 3 19:20 main 19:50, 20:30"), _parts("19:20 19:50")
    (['qualifier 3 19:20', ' main 19:50', ' 20:30'], ['19:20 ', '19:50'])
    """
    parts = []
    for part in _PARTS.split(told):
        times = list(_TIME.finditer(part))
        after = bool(times) and not part[: times[0].start()].strip(" :-")
        cuts = [each.start() for each in times[1:]] if after else [each.end() for each in times[:-1]]
        parts += [part[begin:end] for begin, end in zip([0, *cuts], [*cuts, len(part)], strict=True)]
    return parts


def _rank(words: str) -> tuple[int, str]:
    """Sorts rounds as a race day has them; what is none comes first."""
    kind, _, number = _round_named(words, ()).partition(" ")
    return (KINDS.index(kind) if kind else -1, number)


def round_due(event: Mapping[str, Any] | None, runs: Sequence[Row], finish: datetime) -> str:
    """The round of a run that ended then: the one whose start was the last before, if no run is of it yet; else the one
    that follows the runs there are. runs: of the event, in time.

    >>> event = {"name": "Saltmouth", "date": "2026-05-17", "start_times": "qualifier 3 13:00, main 14:30"}
    >>> before = [{"round_kind": "qualifier", "round": "2"}]
    >>> [round_due(event, before, datetime(2026, 5, 17, 14, minute)) for minute in (31, 36)]
    ['qualifier 3', 'main']
    """
    begun = [start.round for start in starts_of(event, finish) if start.at + SHORTEST <= finish]
    named = _round_named(begun[-1], runs) if begun else ""
    ran = {round_text(run) for run in runs}
    return named if named and named not in ran else next_round(runs)


def _round_named(words: str, runs: Sequence[Row]) -> str:
    """The round as it is typed; empty for words that name none."""
    try:
        kind, number = read_round(words, runs)
    except ValueError:
        return ""
    return " ".join(each for each in (kind, number) if each)


def next_start(event: Mapping[str, Any] | None, now: datetime) -> Start:
    """The next round of the event that has not started; an hour from now where none is known."""
    coming = (start for start in starts_of(event, now) if start.at > now)
    return next(coming, Start(_in_fives(now + SOON), "", False))


def _in_fives(at: datetime) -> datetime:
    """A time on the next full five minutes."""
    return at.replace(minute=0, second=0, microsecond=0) + timedelta(minutes=-(-at.minute // 5) * 5)
