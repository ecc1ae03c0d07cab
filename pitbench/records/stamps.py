"""Points in time as people type them, kept as local wall clock text that sorts: 2026-04-12 or 2026-04-12T14:02[:30].

The one reader for dates. It never reads the clock: the caller passes `now`.
"""

import re
from datetime import date, datetime, time, timedelta

STAMP = r"^\d{4}-\d{2}-\d{2}(T\d{2}:\d{2}(:\d{2})?)?$"
OLDEST = "1970"
_MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
_CLOCK = re.compile(r"(?:^|[ T])(\d{1,2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?(?: ?([ap])\.?m\.?)?$", re.IGNORECASE)
_AGO = re.compile(r"^(\d{1,9}) ?(s|sec|seconds?|min|minutes?|h|hours?) ago$")
_SECONDS = {"s": 1, "m": 60, "h": 3600}
_DAYS_BACK = {"": 0, "today": 0, "yesterday": 1}
_AHEAD = timedelta(hours=1)
"""So far a clock may be off: a time of day further ahead is that of yesterday, for what is written down has been."""
_FORMS = "2026-04-12 14:02, today 9:10 or 7 Mar would be right"


class UnreadableTime(ValueError):
    """What was typed is no point in time; the text says what would be right."""


def read_stamp(text: str, now: datetime, day_first: bool = True, seconds: bool = False) -> str:
    """The stamp meant by `text`; raises UnreadableTime with a clause for a person.

    `seconds`: whether what is said from now backwards (`now`, `2 min ago`) is kept to the second.

    >>> noon = datetime(2026, 3, 9, 12, 0)
    >>> read_stamp("today 9:10", noon), read_stamp("7 Mar", noon), read_stamp("9:10", noon)
    ('2026-03-09T09:10', '2026-03-07', '2026-03-09T09:10')
    >>> read_stamp("23:50", datetime(2026, 3, 9, 0, 10))
    '2026-03-08T23:50'
    """
    words = " ".join(text.split())
    if not words:
        raise UnreadableTime(f"is empty, {_FORMS}")
    stamp = _with_offset(words) or _relative(words, now, seconds) or _written(words, now, day_first)
    if moment(stamp) > now + timedelta(hours=24):
        raise UnreadableTime(f"lies ahead of this computer's clock, which says {now:%Y-%m-%d %H:%M}")
    if stamp < OLDEST:
        raise UnreadableTime(f"is too long ago, {_FORMS}")
    return stamp


def moment(stamp: str) -> datetime:
    """The stamp as a datetime; a date alone is its first minute."""
    return datetime.fromisoformat(stamp)


def time_key(stamp: str) -> str:
    """What two spellings of one point in time have in common; sorts like the stamps.

    >>> time_key("2026-04-12T14:02:00") == time_key("2026-04-12T14:02")
    True
    """
    return stamp[:16] if stamp[16:] == ":00" else stamp


def stamp_of(when: datetime, seconds: bool = False) -> str:
    """A datetime as a stamp, to the minute or to the second."""
    return when.replace(tzinfo=None).isoformat(timespec="seconds" if seconds else "minutes")


def shown_stamp(stamp: str) -> str:
    """As sheets and sentences show it: 2026-04-12 14:02."""
    return stamp.replace("T", " ")


def friendly(stamp: str, now: datetime | None) -> str:
    """As lists show it: `today 14:02`, `12 Apr 16:40`, `12 Apr 2024`; on paper, without a now, `12 Apr 2024 16:40`."""
    when = moment(stamp)
    clock = f" {when:%H:%M}" if "T" in stamp else ""
    if now is None:
        return f"{when.day} {when:%b %Y}{clock}"
    if when.date() == now.date():
        return f"today{clock}"
    if when.year == now.year:
        return f"{when.day} {when:%b}{clock}"
    return f"{when.day} {when:%b %Y}"


def friendly_day(stamp: str, now: datetime) -> str:
    """As a narrow column shows it, in at most 8 characters.

    >>> [friendly_day(f"{day}T14:02", datetime(2026, 5, 16)) for day in ("2026-05-16", "2026-04-12", "2024-04-12")]
    ['14:02', '12 Apr', 'Apr 2024']
    >>> friendly_day("2026-05-16", datetime(2026, 5, 16))
    'today'
    """
    when = moment(stamp)
    if when.date() == now.date():
        return f"{when:%H:%M}" if "T" in stamp else "today"
    return f"{when.day} {when:%b}" if when.year == now.year else f"{when:%b %Y}"


def _with_offset(words: str) -> str | None:
    """A stamp that carries an offset or Z, converted once to this computer's wall clock."""
    try:
        when = datetime.fromisoformat(words)
    except ValueError:
        return None
    if when.tzinfo is None:
        return None
    try:
        return stamp_of(when.astimezone().replace(tzinfo=None), seconds=bool(when.second))
    except (OverflowError, OSError, ValueError):
        raise UnreadableTime(f"is no date a logbook can hold, {_FORMS}") from None


def _relative(words: str, now: datetime, seconds: bool) -> str | None:
    if words.casefold() in {"now", "just now"}:
        return stamp_of(now, seconds)
    match = _AGO.match(words.casefold())
    if not match:
        return None
    count = int(match.group(1))
    if count > 10_000:
        raise UnreadableTime(f"is too long ago, {_FORMS}")
    return stamp_of(now - timedelta(seconds=count * _SECONDS[match.group(2)[0]]), seconds)


def _written(words: str, now: datetime, day_first: bool) -> str:
    clock = _CLOCK.search(words)
    day = _day(words[: clock.start()] if clock else words, now, day_first)
    if not clock:
        return day.isoformat()
    try:
        at = time(_hour(int(clock.group(1)), clock.group(4)), int(clock.group(2)), int(clock.group(3) or 0))
    except ValueError:
        raise UnreadableTime(f"has no such time of day, {_FORMS}") from None
    when = datetime.combine(day, at)
    if clock.start() == 0 and when > now + _AHEAD:
        when -= timedelta(days=1)
    return stamp_of(when, seconds=clock.group(3) is not None)


def _hour(hour: int, half: str | None) -> int:
    """Of 24: 12 am is midnight, 12 pm noon. ValueError: no hour of a clock with halves."""
    if half is None:
        return hour
    if not 1 <= hour <= 12:
        raise ValueError("no such hour")
    return hour % 12 + (12 if half in "pP" else 0)


def _day(words: str, now: datetime, day_first: bool) -> date:
    """The calendar day meant; none written means today."""
    text = words.strip().rstrip(",").casefold()
    if text in _DAYS_BACK:
        return now.date() - timedelta(days=_DAYS_BACK[text])
    try:
        return _numbers_day(text, now, day_first) or _month_day(text, now)
    except ValueError as why:
        if isinstance(why, UnreadableTime):
            raise
        raise UnreadableTime(_no_day(text, now, day_first)) from None


def _no_day(text: str, now: datetime, day_first: bool) -> str:
    """Of 3/14: which of the two is read first, where the other way round would be a day."""
    try:
        meant = _numbers_day(text, now, not day_first)
    except ValueError:
        meant = None
    if meant is None:
        return f"is no day of the calendar, {_FORMS}"
    first = "day" if day_first else "month"
    return f"is no day of the calendar, the {first} is read first (Settings tell which), {meant} would be right"


def _numbers_day(text: str, now: datetime, day_first: bool) -> date | None:
    iso = re.match(r"^(\d{4})([-/.])(\d{1,2})\2(\d{1,2})$", text)
    if iso:
        return date(int(iso.group(1)), int(iso.group(3)), int(iso.group(4)))
    match = re.match(r"^(\d{1,2})[./](\d{1,2})(?:[./](\d{4}|\d{2})?)?$", text)
    if not match:
        return None
    first, second = int(match.group(1)), int(match.group(2))
    day, month = (first, second) if day_first else (second, first)
    return _with_year(day, month, match.group(3), now)


def _month_day(text: str, now: datetime) -> date:
    match = re.match(r"^(?:(\d{1,2})\.? )?([a-z]{3,9})\.?(?: (\d{1,2})(?!\d))?,?(?: (\d{4}))?$", text)
    if not match or match.group(2)[:3] not in _MONTHS or not (match.group(1) or match.group(3)):
        raise UnreadableTime(f"is no point in time, {_FORMS}")
    return _with_year(int(match.group(1) or match.group(3)), _MONTHS.index(match.group(2)[:3]) + 1, match.group(4), now)


def _with_year(day: int, month: int, year: str | None, now: datetime) -> date:
    """Without a year, the latest such day that is not ahead of tomorrow."""
    if year:
        return date(int(year) + (2000 if len(year) == 2 else 0), month, day)
    for candidate in (now.year + 1, now.year, now.year - 1, now.year - 2, now.year - 3, now.year - 4):
        try:
            found = date(candidate, month, day)
        except ValueError:
            continue
        if found <= now.date() + timedelta(days=1):
            return found
    raise ValueError("no such day")
